package access

import (
	"io"
	"strings"
	"time"
)

// Lobby stands before the doors of many keepers. Whether there is a keeper of a
// name it does not give away: who tries a name that is nobody's is answered as
// late, as seldom and in the same words as who tries a wrong password.
type Lobby struct {
	now       func() time.Time
	addresses *throttle
	names     *meter
	dummy     string
	hashing   chan struct{}
}

// NewLobby makes one.
func NewLobby(now func() time.Time, random io.Reader) (*Lobby, error) {
	dummy, err := hashPassword("nobody's", random)
	if err != nil {
		return nil, err
	}
	// Of all together as many as one address may: a flood of addresses is held back
	// by the names it tries.
	return &Lobby{now: now, addresses: newThrottle(1000, 100*time.Millisecond), names: newMeter(10*time.Second, 20), dummy: dummy, hashing: make(chan struct{}, 2)}, nil
}

// Take asks for one try of a keeper's name from an address: 0 = go on, else how
// long to wait. It is as strict as the keepers' own doors and asked before them.
func (l *Lobby) Take(name, from string) time.Duration {
	if wait := l.addresses.take(from, l.now()); wait > 0 {
		return wait
	}
	return min(l.names.take(strings.ToLower(strings.TrimSpace(name)), l.now()), longestWait)
}

// Clear forgets the tries of an address that did it right.
func (l *Lobby) Clear(from string) { l.addresses.clear(from) }

// Refuse takes as long as a wrong password does, and says what is said then.
func (l *Lobby) Refuse(helper, password string) error {
	if len(password) <= mostBytes {
		l.hashing <- struct{}{}
		checkHash(l.dummy, password)
		<-l.hashing
	}
	return wrongPassword(strings.TrimSpace(helper))
}

// RefuseCode says what is said of a code that does not work. Faults: those of
// [PhoneName].
func (l *Lobby) RefuseCode(phone string) error {
	if _, err := PhoneName(phone); err != nil {
		return err
	}
	return wrongCode()
}
