package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"sync/atomic"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// task is something worked out from the facts as they stood at one moment. It is
// worked out once, by a goroutine of its own and outside the house's lock, so
// that writing down goes on meanwhile; whoever asks for it waits for the same
// work.
type task struct {
	id       string
	version  uint64 // of the facts it is worked out from
	day      units.Day
	ended    chan struct{}
	value    any
	broke    any // a panic, to be raised again where it is asked for
	progress atomic.Pointer[season.Progress]
	stop     atomic.Bool
	enough   *atomic.Bool // set: what was found so far will do; nil = there is no such thing
}

// look is what the work calls to tell how far it is, and whether to go on.
func (t *task) look(p season.Progress) bool {
	t.progress.Store(&p)
	return !t.stop.Load()
}

// running tells whether the work goes on.
func (t *task) running() bool {
	select {
	case <-t.ended:
		return false
	default:
		return true
	}
}

// keepTasks is how many answers are kept, what-ifs mostly.
const keepTasks = 64

// begin gives the task of this key by the facts of now: the one there is, or a
// new one that does f. The state f gets is its own to read.
func (h *house) begin(key string, f func(st *season.State, at units.Moment, look season.Watch) any) *task {
	return h.beginCut(key, nil, f)
}

// beginCut is [house.begin] for work that can give what it found so far: it looks
// at enough.
func (h *house) beginCut(key string, enough *atomic.Bool, f func(st *season.State, at units.Moment, look season.Watch) any) *task {
	h.mu.Lock()
	defer h.mu.Unlock()
	at := h.at(h.journal.Now())
	if t, ok := h.cache[key]; ok && t.version == h.version && t.day == at.Day() {
		return t
	}
	if h.frozen == nil {
		h.frozen = h.journal.Frozen()
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%d %v %s", h.version, at.Day(), key))
	t := &task{id: hex.EncodeToString(sum[:8]), version: h.version, day: at.Day(), ended: make(chan struct{}), enough: enough}
	h.tidy(t)
	h.cache[key] = t
	st := h.frozen
	go func() {
		defer func() {
			t.broke = recover()
			if err, ok := t.value.(error); ok && fault.Is(err, fault.Stopped) {
				h.forget(key, t) // asked again, it is worked out again
			}
			close(t.ended)
		}()
		t.value = f(st, at, t.look)
	}()
	return t
}

// tidy makes room for another answer: those of older facts go first.
func (h *house) tidy(next *task) {
	if len(h.cache) < keepTasks {
		return
	}
	for k, t := range h.cache {
		if t.version != next.version || t.day != next.day {
			delete(h.cache, k)
		}
	}
	if len(h.cache) >= keepTasks {
		clear(h.cache)
	}
}

func (h *house) forget(key string, t *task) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.cache[key] == t {
		delete(h.cache, key)
	}
}

// forgetEnded lets go of all that was worked out, so that it is worked out again
// where it is asked for.
func (h *house) forgetEnded() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for k, t := range h.cache {
		if !t.running() {
			delete(h.cache, k)
		}
	}
}

// task gives the running task with this id, nil when there is none.
func (h *house) task(id string) *task {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, t := range h.cache {
		if t.id == id && t.running() {
			return t
		}
	}
	return nil
}

// wait gives what the task worked out.
func wait[V any](t *task) (V, error) {
	<-t.ended
	if t.broke != nil {
		panic(t.broke)
	}
	switch v := t.value.(type) {
	case V:
		return v, nil
	case error:
		var none V
		return none, v
	}
	var none V
	return none, errors.New("web: two kinds of answer under one key")
}

// remember gives the kept value of key, or makes it with f and keeps it until
// the facts or the day change.
func remember[V any](h *house, key string, f func(st *season.State, at units.Moment) V) V {
	v, err := wait[V](h.begin(key, func(st *season.State, at units.Moment, _ season.Watch) any { return f(st, at) }))
	if err != nil {
		panic(err) // a key used twice is a mistake of the program
	}
	return v
}
