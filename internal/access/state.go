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
	Logins   []Login   `json:"logins,omitempty"`
	Phones   []Phone   `json:"phones,omitempty"`
}

// stateVersion goes up when an older program could no longer read the state.
const stateVersion = 1

// Login is one login of the owner that has not ended.
type Login struct {
	Token string    `json:"token_sha256"`
	Made  time.Time `json:"made"`
	Seen  time.Time `json:"seen"`
	From  string    `json:"from"` // address it was made from
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
}

// clone gives a copy that shares nothing.
func (s State) clone() State {
	s.Logins, s.Phones = slices.Clone(s.Logins), slices.Clone(s.Phones)
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
	// nothing. It gives what is kept then.
	Change(f func(*State) error) (State, error)
}

// Memory is a Store that forgets with the program: for tests and stories.
type Memory struct {
	mu    sync.Mutex
	state State
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
	m.state = s
	return s.clone(), nil
}
