package cli

import (
	"context"
	"encoding/json"
	"strconv"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/postgres"
)

// sideStore keeps who may come in beside a book on a server, so that all programs
// that serve the book know the same.
type sideStore struct {
	book *postgres.Book
	ctx  context.Context
}

var _ access.Store = (*sideStore)(nil)

// accessName is the name of the text it is kept in; sideWait is how long the
// server may take.
const (
	accessName = "access"
	sideWait   = 10 * time.Second
)

func (s *sideStore) in() (context.Context, context.CancelFunc) {
	return context.WithTimeout(s.ctx, sideWait)
}

// Load gives what is kept.
func (s *sideStore) Load() (access.State, error) {
	ctx, done := s.in()
	defer done()
	raw, _, err := s.book.Side(ctx, accessName)
	if err != nil {
		return access.State{}, err
	}
	return readState(raw)
}

func readState(raw string) (access.State, error) {
	var s access.State
	if raw == "" {
		return s, nil
	}
	if err := json.Unmarshal([]byte(raw), &s); err != nil {
		return access.State{}, &fault.Error{Kind: fault.Damaged, Say: "the password and the paired phones cannot be read from the server", Err: err,
			Hint: "delete the row access of larder_side, set the password anew with `larder password`, and pair the phones again; the book is not concerned"}
	}
	if s.Version > access.StateVersion {
		return access.State{}, fault.New(fault.Damaged, "", "this list of the password and the phones was written by a newer version").WithHint("use that version")
	}
	return s, nil
}

// Stamp is the number of the last change; of a server that does not answer it is
// another each time, so that it is asked again.
func (s *sideStore) Stamp() string {
	ctx, done := s.in()
	defer done()
	n, err := s.book.SideChange(ctx, accessName)
	if err != nil {
		return "?" + strconv.FormatInt(time.Now().UnixNano(), 36)
	}
	return strconv.FormatInt(n, 10)
}

// Change applies f to what is kept, one program at a time.
func (s *sideStore) Change(f func(*access.State) error) (access.State, error) {
	ctx, done := s.in()
	defer done()
	var out access.State
	err := s.book.ChangeSide(ctx, accessName, func(old string) (string, []string, error) {
		x, err := readState(old)
		if err != nil {
			return "", nil, err
		}
		if err := f(&x); err != nil {
			return "", nil, err
		}
		x.Version = access.StateVersion
		lines, err := linesOf(x.Notes())
		if err != nil {
			return "", nil, err
		}
		raw, err := json.Marshal(x)
		if err != nil {
			return "", nil, fault.Wrap(err, "access")
		}
		out, err = readState(string(raw)) // without the events
		return string(raw), lines, err
	})
	return out, err
}

func linesOf(events []access.Event) ([]string, error) {
	var lines []string
	for _, e := range events {
		raw, err := json.Marshal(e)
		if err != nil {
			return nil, fault.Wrap(err, "access")
		}
		lines = append(lines, string(raw))
	}
	return lines, nil
}

// Note writes events down.
func (s *sideStore) Note(events ...access.Event) error {
	lines, err := linesOf(events)
	if err != nil {
		return err
	}
	ctx, done := s.in()
	defer done()
	return s.book.AddTrail(ctx, lines...)
}

// Trail gives the last events.
func (s *sideStore) Trail(most int) ([]access.Event, error) {
	ctx, done := s.in()
	defer done()
	lines, err := s.book.Trail(ctx, most)
	if err != nil {
		return nil, err
	}
	var out []access.Event
	for _, l := range lines {
		var e access.Event
		if err := json.Unmarshal([]byte(l), &e); err != nil {
			return nil, &fault.Error{Kind: fault.Damaged, Say: "a line of the trail cannot be read", Err: err}
		}
		out = append(out, e)
	}
	return out, nil
}
