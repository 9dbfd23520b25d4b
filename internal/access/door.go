package access

import (
	"errors"
	"io"
	"sync"
	"time"

	"larder/internal/fault"
)

// How long things last.
//
// A login ends twelve hours after it was last used (a working day at the desk)
// and in any case after thirty days. A phone that was not seen for thirty days,
// and any phone after half a year, is paired anew: it takes half a minute at the
// desk, loses nothing, and a phone lost in between is shut out by itself. A code
// is read off the desk's screen at once: ten minutes.
const (
	LoginIdle = 12 * time.Hour
	LoginLife = 30 * 24 * time.Hour
	PhoneIdle = 30 * 24 * time.Hour
	PhoneLife = 180 * 24 * time.Hour
	CodeLife  = 10 * time.Minute
)

// seenEvery is how often "last seen" is written down: each time costs a flush of
// the disk.
const seenEvery = 5 * time.Minute

// Bounds of the lists; the oldest go.
const (
	mostLogins  = 50
	mostRevoked = 50
	mostPhones  = 200
)

// Door lets in or not. It is safe for concurrent use.
type Door struct {
	store  Store
	now    func() time.Time
	random io.Reader

	mu    sync.Mutex
	state State
	stamp string
	code  code

	hashing  chan struct{} // at most two at once: each takes 19 MiB
	logins   *throttle
	pairings *throttle
	strange  *meter
	phones   *meter
}

// code is the pairing code on offer.
type code struct {
	text string
	till time.Time
}

// Open reads what the store keeps.
func Open(store Store, now func() time.Time, random io.Reader) (*Door, error) {
	d := &Door{store: store, now: now, random: random, hashing: make(chan struct{}, 2),
		logins: newThrottle(20, 10*time.Second), pairings: newThrottle(10, 10*time.Second),
		strange: newMeter(time.Minute/50, 50), phones: newMeter(time.Second/10, 50)}
	d.stamp = store.Stamp()
	var err error
	d.state, err = store.Load()
	return d, err
}

// look gives the state, read anew when others changed it; mu is held. Of a state
// that can no longer be read nothing counts: nobody is let in on it.
func (d *Door) look() *State {
	if stamp := d.store.Stamp(); stamp != d.stamp {
		s, err := d.store.Load()
		if err != nil {
			d.state = State{}
			return &d.state
		}
		d.state, d.stamp = s, stamp
	}
	return &d.state
}

// change changes the state; mu is held.
func (d *Door) change(f func(*State) error) error {
	s, err := d.store.Change(func(s *State) error {
		prune(s, d.now())
		return f(s)
	})
	if err != nil {
		return err
	}
	d.state = s
	d.stamp = d.store.Stamp()
	return nil
}

// HasPassword tells whether the owner has set one.
func (d *Door) HasPassword() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.look().Password != ""
}

// SetPassword sets the owner's password and ends all his logins; ended tells how
// many. Paired phones stay. Faults: those of [CheckPassword] and of the store.
func (d *Door) SetPassword(password string) (ended int, err error) {
	if err := CheckPassword(password); err != nil {
		return 0, err
	}
	kept, err := hashPassword(password, d.random)
	if err != nil {
		return 0, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	err = d.change(func(s *State) error {
		ended = len(s.Logins)
		s.Password, s.Set, s.Logins = kept, d.now().UTC(), nil
		return nil
	})
	return ended, err
}

// Wait is the fault of one who tries too often: fault.Busy, with how long to
// wait.
type Wait struct{ For time.Duration }

// Error says so in seconds or minutes.
func (w *Wait) Error() string { return w.fault().Error() }

// As lets it be taken for the fault it is.
func (w *Wait) As(target any) bool {
	if e, ok := target.(**fault.Error); ok {
		*e = w.fault()
		return true
	}
	return false
}

func (w *Wait) fault() *fault.Error {
	return fault.New(fault.Busy, "", "this was tried too often and is held back for a while").WithHint("wait a quarter of an hour at most; on the computer at home itself no password is asked")
}

// WaitOf gives how long an error asks to wait, 0 when it does not.
func WaitOf(err error) time.Duration {
	var w *Wait
	if errors.As(err, &w) {
		return w.For
	}
	return 0
}

// Login lets the owner in and gives his token. from is the address he comes
// from. Faults: fault.Missing when no password is set, fault.Conflict for a
// wrong one, *Wait.
func (d *Door) Login(password, from string) (token string, err error) {
	if wait := d.logins.take(from, d.now()); wait > 0 {
		return "", &Wait{wait}
	}
	d.mu.Lock()
	kept := d.look().Password
	d.mu.Unlock()
	if kept == "" {
		return "", fault.New(fault.Missing, "", "no owner's password is set").WithHint("on the computer at home: larder password")
	}
	if len(password) > mostBytes {
		return "", wrongPassword()
	}
	d.hashing <- struct{}{}
	ok, cheap := checkHash(kept, password)
	<-d.hashing
	if !ok {
		return "", wrongPassword()
	}
	d.logins.clear(from)
	again := ""
	if cheap { // hashed by an older version at less cost
		if again, err = hashPassword(password, d.random); err != nil {
			return "", err
		}
	}
	token, keep, err := newToken(d.random)
	if err != nil {
		return "", fault.Wrap(err, "login")
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now().UTC()
	err = d.change(func(s *State) error {
		if s.Password != kept { // set anew this moment
			return wrongPassword()
		}
		if again != "" {
			s.Password = again
		}
		s.Logins = append(s.Logins, Login{Token: keep, Made: now, Seen: now, From: from})
		return nil
	})
	if err != nil {
		return "", err
	}
	return token, nil
}

func wrongPassword() error {
	return fault.New(fault.Conflict, "", "this is not the owner's password").WithHint("it is set anew on the computer at home with: larder password")
}

// Owner tells whether a token is of a login of the owner that has not ended.
func (d *Door) Owner(token string) bool {
	if token == "" {
		return false
	}
	want, now := keep(token), d.now()
	d.mu.Lock()
	defer d.mu.Unlock()
	i := findLogin(d.look(), want, now)
	if i < 0 {
		return false
	}
	if now.Sub(d.state.Logins[i].Seen) > seenEvery {
		// That it cannot be noted shuts nobody out now.
		_ = d.change(func(s *State) error {
			if j := findLogin(s, want, now); j >= 0 {
				s.Logins[j].Seen = now.UTC()
			}
			return nil
		})
	}
	return true
}

func findLogin(s *State, want string, now time.Time) int {
	at := -1
	for i := range s.Logins { // all of them, so that time tells nothing
		if same(s.Logins[i].Token, want) && s.Logins[i].alive(now) {
			at = i
		}
	}
	return at
}

func (l *Login) alive(now time.Time) bool {
	return now.Sub(l.Seen) < LoginIdle && now.Sub(l.Made) < LoginLife
}

// Logout ends the login of a token.
func (d *Door) Logout(token string) error {
	want := keep(token)
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.change(func(s *State) error {
		kept := s.Logins[:0:0]
		for _, l := range s.Logins {
			if !same(l.Token, want) {
				kept = append(kept, l)
			}
		}
		s.Logins = kept
		return nil
	})
}

// Stranger asks for one request of one who is not known: 0 = go on, else how
// long to wait.
func (d *Door) Stranger(address string) time.Duration {
	return d.strange.take(household(address), d.now())
}

// Sending asks for one sending of a phone: 0 = go on, else how long to wait.
func (d *Door) Sending(phone string) time.Duration { return d.phones.take(phone, d.now()) }

// prune drops what has ended and keeps the lists bounded.
func prune(s *State, now time.Time) {
	logins := s.Logins[:0:0]
	for _, l := range s.Logins {
		if l.alive(now) {
			logins = append(logins, l)
		}
	}
	s.Logins = logins[max(0, len(logins)-mostLogins):]
	revoked := 0
	for i := len(s.Phones) - 1; i >= 0; i-- {
		p := &s.Phones[i]
		if p.Revoked.IsZero() {
			continue
		}
		if revoked++; revoked > mostRevoked || now.Sub(p.Revoked) > PhoneLife {
			s.Phones = append(s.Phones[:i:i], s.Phones[i+1:]...)
		}
	}
}
