package web

import (
	"context"
	"sync"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// house is the facts of one keeper: the book that keeps them and the journal
// that folds them. What pages show is worked out from it and kept until the next
// fact or the next day.
type house struct {
	mu      sync.Mutex
	book    season.Book
	journal *season.Journal
	now     func() time.Time
	newID   func() season.ID
	kept    func(ctx context.Context, facts []season.Fact) // told of what was kept; may be nil
	wait    time.Duration                                  // for a book on a server

	last    int64  // number of the last fact known, where others write too
	version uint64 // of the facts: one more with each Append
	groups  map[string]group
	order   []string // of groups, oldest first
	cache   map[string]*task
	frozen  *season.State // of this version; nil = not asked for yet
}

// group is what one act wrote: what one Undo takes back.
type group struct {
	Says string // message key
	IDs  []season.ID
}

// keepGroups is how many acts can be undone from the status line; older ones are
// put right under Given and taken.
const keepGroups = 200

func openHouse(ctx context.Context, book season.Book, now func() time.Time, newID func() season.ID) (*house, error) {
	var facts []season.Fact
	var last int64
	var err error
	if f, ok := book.(follower); ok {
		facts, last, err = f.Since(ctx, 0)
	} else {
		facts, err = book.Facts(ctx, units.Moment{})
	}
	if err != nil {
		return nil, err
	}
	journal, err := season.JournalOf(facts)
	if err != nil {
		return nil, fault.Wrap(err, "open house")
	}
	h := &house{wait: serverWait, last: last, book: book, journal: journal, now: now, newID: newID, groups: map[string]group{}, cache: map[string]*task{}}
	return h, nil
}

// follower is a book that other programs write too: it tells what came in after a
// number, and the number of the last.
type follower interface {
	Since(ctx context.Context, after int64) ([]season.Fact, int64, error)
}

// serverWait is how long a page waits for a book on a server: half a million facts
// come or go in less. One who waits longer holds up those after him.
const serverWait = 20 * time.Second

// catchUp folds in what other programs wrote since it was last asked.
func (h *house) catchUp(ctx context.Context) error {
	book, ok := h.book.(follower)
	if !ok {
		return nil
	}
	h.mu.Lock()
	after := h.last
	h.mu.Unlock()
	ctx, done := context.WithTimeout(ctx, h.wait)
	defer done()
	facts, last, err := book.Since(ctx, after)
	if err != nil || last == after {
		return err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	n, err := h.journal.Add(facts...) // what we wrote ourselves is in it already
	if err != nil {
		return err
	}
	if n > 0 {
		h.version++
		h.frozen = nil
	}
	h.last = max(h.last, last)
	return nil
}

// view lets f look at the state by all that is known. The state must not be kept
// past f.
func (h *house) view(f func(st *season.State, at units.Moment)) {
	h.mu.Lock()
	defer h.mu.Unlock()
	st := h.journal.Now()
	f(st, h.at(st))
}

// journaled lends the journal itself, for what needs the facts as they were written.
func (h *house) journaled(f func(j *season.Journal, at units.Moment)) {
	h.mu.Lock()
	defer h.mu.Unlock()
	f(h.journal, h.at(h.journal.Now()))
}

// at is the present moment in the keeper's zone.
func (h *house) at(st *season.State) units.Moment {
	zone, _ := st.Settings.Location(time.LoadLocation) // UTC when unknown: House says so
	return units.At(h.now().In(zone).Truncate(time.Minute))
}

// append keeps facts: durable first, then folded. says is the key of what the
// status line tells. It gives the name of the act, to undo it by.
func (h *house) append(ctx context.Context, says string, facts ...season.Fact) (string, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.appendLocked(ctx, says, facts)
}

func (h *house) appendLocked(ctx context.Context, says string, facts []season.Fact) (string, error) {
	if len(facts) == 0 {
		return "", nil
	}
	v, with := visitorIn(ctx), idsOf(facts)
	for i := range facts {
		if facts[i].By == "" {
			facts[i].By = v.name()
		}
		if v.lent() { // whatever page he came by
			if err := h.lentMay(v, &facts[i], with); err != nil {
				return "", err
			}
		}
		if err := facts[i].Check(); err != nil {
			return "", err
		}
	}
	if err := h.keep(ctx, facts); err != nil {
		return "", err
	}
	if _, err := h.journal.Add(facts...); err != nil {
		return "", err
	}
	h.version++
	h.frozen = nil
	if h.kept != nil {
		h.kept(ctx, facts)
	}
	g := group{Says: says}
	for _, f := range facts {
		g.IDs = append(g.IDs, f.ID)
	}
	name := facts[0].ID.String()
	h.groups[name] = g
	h.order = append(h.order, name)
	if len(h.order) > keepGroups {
		delete(h.groups, h.order[0])
		h.order = h.order[1:]
	}
	return name, nil
}

// keep appends to the book: one on a server is waited for no longer than serverWait,
// since all pages wait meanwhile.
func (h *house) keep(ctx context.Context, facts []season.Fact) error {
	if _, ok := h.book.(follower); ok {
		var done context.CancelFunc
		ctx, done = context.WithTimeout(ctx, h.wait)
		defer done()
	}
	return h.book.Append(ctx, facts...)
}

// fact makes a fact of a body seen at seen (zero = now), written down now.
func (h *house) fact(seen units.Moment, by string, body any) season.Fact {
	var now units.Moment
	h.view(func(_ *season.State, at units.Moment) { now = at })
	if seen.IsZero() {
		seen = now
	}
	return season.Fact{ID: h.newID(), Seen: seen, Made: now, By: by, Body: body}
}

// undo strikes what one act wrote. Undoing an undo strikes the strikes.
func (h *house) undo(ctx context.Context, act string) (string, error) {
	h.mu.Lock()
	g, ok := h.groups[act]
	h.mu.Unlock()
	if !ok {
		return "", fault.New(fault.NotFound, "", "this can no longer be undone here").WithHint("Given and taken, Put right, goes back as far as you like")
	}
	facts := make([]season.Fact, 0, len(g.IDs))
	for i := len(g.IDs) - 1; i >= 0; i-- {
		facts = append(facts, h.fact(units.Moment{}, "", season.Strike{Fact: g.IDs[i], Why: "undone"}))
	}
	return h.append(ctx, "undone", facts...)
}
