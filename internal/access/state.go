package access

import (
	"slices"
	"sync"
	"time"
)

// State is all that is kept. Its JSON form is that of the file.
type State struct {
	Version  int       `json:"version"`
	Password string    `json:"password,omitempty"` // argon2id, in the usual one-line form; "" = none set
	Set      time.Time `json:"password_set,omitzero"`
	Helpers  []Helper  `json:"helpers,omitempty"`
	Logins   []Login   `json:"logins,omitempty"`
	Phones   []Phone   `json:"phones,omitempty"`
	Code     Code      `json:"code,omitzero"`

	notes []Event // of the change at hand: kept in the trail with it
}

// StateVersion goes up when an older program could no longer read the state, or
// would let in who may not: one that knows no helpers would take them for owners.
const StateVersion = 2

// Helper is a person who may log work and see no more than he needs for it.
type Helper struct {
	ID       string    `json:"id"`
	Name     string    `json:"name"`
	Password string    `json:"password"` // argon2id; "" once removed
	Added    time.Time `json:"added"`
	Removed  time.Time `json:"removed,omitzero"`
}

// Login is one login that has not ended.
type Login struct {
	ID     string    `json:"id,omitempty"` // to name it by; says nothing of the token
	Token  string    `json:"token_sha256"`
	Helper string    `json:"helper,omitempty"` // id of who; "" = the owner
	Made   time.Time `json:"made"`
	Seen   time.Time `json:"seen"`
	From   string    `json:"from"` // address it was made from
}

// Code is the pairing code on offer, hashed like a token.
type Code struct {
	Hash string    `json:"sha256"`
	Till time.Time `json:"till"`
	For  Hands     `json:"for,omitzero"`
}

// Hands says into whose hands a phone goes: the owner's, a helper's, or those of
// one helper by his id.
type Hands struct {
	Helper bool   `json:"helper,omitempty"`
	ID     string `json:"id,omitempty"`
}

// Phone is a phone that was paired.
type Phone struct {
	ID      string    `json:"id"`
	Name    string    `json:"name"`
	Token   string    `json:"token_sha256"`
	Paired  time.Time `json:"paired"`
	Seen    time.Time `json:"seen"`
	From    string    `json:"from"` // address it was last seen at
	Revoked time.Time `json:"revoked,omitzero"`
	For     Hands     `json:"for,omitzero"`
}

// note writes an event down with the change at hand.
func (s *State) note(e Event) { s.notes = append(s.notes, e) }

// Notes gives the events of the change at hand: a store keeps them with it.
func (s *State) Notes() []Event { return s.notes }

// clone gives a copy that shares nothing.
func (s State) clone() State {
	s.Helpers, s.Logins, s.Phones, s.notes = slices.Clone(s.Helpers), slices.Clone(s.Logins), slices.Clone(s.Phones), nil
	return s
}

// Store keeps the state. A change is durable before it is acknowledged, and
// made on what is kept at that moment, also when another process changed it.
type Store interface {
	// Load gives what is kept; nothing kept is the zero State. Faults:
	// fault.Damaged, fault.NoRoom for a place that cannot be read.
	Load() (State, error)
	// Stamp changes whenever the state may have been changed by others.
	Stamp() string
	// Change applies f to what is kept and keeps the result; an error of f changes
	// nothing. The events f noted are in the trail when the change is. It gives what
	// is kept then.
	Change(f func(*State) error) (State, error)
	// Note writes events at the end of the trail, durably.
	Note(events ...Event) error
	// Trail gives the last events, newest first, at most so many.
	Trail(most int) ([]Event, error)
}

// Memory is a Store that forgets with the program: for tests and stories.
type Memory struct {
	mu    sync.Mutex
	state State
	trail []Event
}

// Load gives what is kept.
func (m *Memory) Load() (State, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.state.clone(), nil
}

// Stamp never changes: nobody else writes here.
func (m *Memory) Stamp() string { return "" }

// Change applies f.
func (m *Memory) Change(f func(*State) error) (State, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	s := m.state.clone()
	if err := f(&s); err != nil {
		return State{}, err
	}
	m.trail = append(m.trail, s.notes...)
	s.notes = nil
	m.state = s
	return s.clone(), nil
}

// Note writes events down.
func (m *Memory) Note(events ...Event) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.trail = append(m.trail, events...)
	return nil
}

// Trail gives the last events.
func (m *Memory) Trail(most int) ([]Event, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return lastOf(m.trail, most), nil
}

// lastOf turns the end of a trail round.
func lastOf(trail []Event, most int) []Event {
	out := slices.Clone(trail[max(0, len(trail)-most):])
	slices.Reverse(out)
	return out
}
