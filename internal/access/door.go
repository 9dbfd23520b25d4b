package access

import (
	"errors"
	"io"
	"strings"
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

// askAgain is how soon a store that could not be read is asked again.
const askAgain = 200 * time.Millisecond

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
	bad   error     // why the state could not be read, nil = it could
	blind int       // how often it could not
	tried time.Time // when that was last
	first code      // of the console; see OfferFirst
	code  code      // what is shown of the code on offer: kept only here, in memory

	hashing  chan struct{} // at most two at once: each takes 19 MiB
	logins   *throttle
	pairings *throttle
	strange  *meter
	phones   *meter
}

// code is a code on offer.
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
	// Many who ask while a server keeps silent do not each wait for it in turn.
	if since := d.now().Sub(d.tried); d.bad != nil && since >= 0 && since < askAgain {
		d.blind++
		return &d.state
	}
	// What could not be read is asked for again even when the stamp is the old one:
	// a server that comes back has changed nothing.
	if stamp := d.store.Stamp(); stamp != d.stamp || d.bad != nil {
		s, err := d.store.Load()
		if d.bad = err; err != nil {
			d.blind++
			d.tried = d.now()
			d.state = State{}
			return &d.state
		}
		d.state, d.stamp = s, stamp
	}
	return &d.state
}

// Trouble tells why nobody can be told from anybody now, nil = all is well.
func (d *Door) Trouble() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.look()
	return d.bad
}

// Blind tells how often the state could not be read: who was looked up between two
// different answers may be known all the same.
func (d *Door) Blind() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.blind
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
	// Read anew when next asked: another may have changed it since.
	d.state, d.stamp = s, "changed"
	return nil
}

// HasPassword tells whether the owner has set one.
func (d *Door) HasPassword() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.look().Password != ""
}

// SetPassword sets the owner's password and ends all his logins; ended tells how
// many. Helpers and paired phones stay. Faults: those of [CheckPassword] and of
// the store.
func (d *Door) SetPassword(password string, by Actor) (ended int, err error) {
	kept, err := d.checked(password)
	if err != nil {
		return 0, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	err = d.change(func(s *State) error {
		was := len(s.Logins)
		s.endLogins("")
		ended = was - len(s.Logins)
		s.Password, s.Set = kept, d.now().UTC()
		s.note(d.event(by, PasswordSet, ""))
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

// Login lets in the owner (no name) or a helper by name, and gives a token.
// from.From is the address. Faults: fault.Missing when no password is set,
// fault.Conflict for a name and password that do not fit, *Wait.
func (d *Door) Login(name, password, from string) (token string, err error) {
	by := Actor{Role: RoleNobody, From: from}
	if wait := d.logins.take(from, d.now()); wait > 0 {
		return "", &Wait{wait}
	}
	name = strings.TrimSpace(name)
	d.mu.Lock()
	s := d.look()
	kept, id, known := s.Password, "", name == ""
	if i := s.helper(name); i >= 0 && strings.EqualFold(s.Helpers[i].Name, name) {
		kept, id, name, known = s.Helpers[i].Password, s.Helpers[i].ID, s.Helpers[i].Name, true
	}
	d.mu.Unlock()
	if kept == "" {
		return "", fault.New(fault.Missing, "", "no owner's password is set").WithHint("on the computer at home: larder password")
	}
	ok, cheap := false, false
	if len(password) <= mostBytes {
		// A name nobody has takes as long, by the owner's hash, and never opens.
		d.hashing <- struct{}{}
		ok, cheap = checkHash(kept, password)
		<-d.hashing
	}
	if !ok || !known {
		// That it cannot be noted lets nobody in.
		about := name
		if !known { // it may be a password in the wrong box
			about = ""
		}
		return "", errors.Join(wrongPassword(name), d.Note(by, SignInFailed, about))
	}
	d.logins.clear(from)
	again := ""
	if cheap { // hashed by an older version at less cost
		if again, err = hashPassword(password, d.random); err != nil {
			return "", err
		}
	}
	token, login, err := d.newLogin(id, from)
	if err != nil {
		return "", err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	by = Actor{Role: RoleOwner, From: from, Session: login.ID}
	if id != "" {
		by.Role, by.Name = RoleHelper, name
	}
	err = d.change(func(s *State) error {
		place := &s.Password
		if id != "" {
			i := s.helper(id)
			if i < 0 {
				return wrongPassword(name)
			}
			place = &s.Helpers[i].Password
		}
		if *place != kept { // set anew this moment
			return wrongPassword(name)
		}
		if again != "" {
			*place = again
		}
		s.Logins = append(s.Logins, login)
		s.note(d.event(by, SignedIn, ""))
		return nil
	})
	if err != nil {
		return "", err
	}
	return token, nil
}

// newLogin makes a login of a helper, "" = the owner, and the token that shows it.
func (d *Door) newLogin(helper, from string) (token string, l Login, err error) {
	token, hash, err := newToken(d.random)
	if err != nil {
		return "", l, fault.Wrap(err, "login")
	}
	id, err := newName(d.random)
	now := d.now().UTC()
	return token, Login{ID: id, Token: hash, Helper: helper, Made: now, Seen: now, From: from}, err
}

func wrongPassword(name string) error {
	if name != "" {
		return fault.New(fault.Conflict, "", "this name and this password do not go together").WithHint("the owner can set a helper's password anew under House, Phones and helpers")
	}
	return fault.New(fault.Conflict, "", "this is not the owner's password").WithHint("it is set anew on the computer at home with: larder password")
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
func (d *Door) Logout(token string, by Actor) error {
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
		if len(kept) < len(s.Logins) {
			s.note(d.event(by, SignedOut, ""))
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
