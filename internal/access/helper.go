package access

import (
	"encoding/hex"
	"errors"
	"io"
	"slices"
	"strings"
	"time"

	"larder/internal/fault"
)

// mostHelpers is how many helpers there may be at once.
const mostHelpers = 100

// Helpers lists those who may sign in, by name.
func (d *Door) Helpers() []Helper {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []Helper
	for _, h := range d.look().Helpers {
		if h.Removed.IsZero() {
			h.Password = ""
			out = append(out, h)
		}
	}
	slices.SortFunc(out, func(a, b Helper) int {
		if n := strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)); n != 0 {
			return n
		}
		return strings.Compare(a.ID, b.ID)
	})
	return out
}

// AddHelper lets a person in as a helper, by name and password. Faults: those of
// [PhoneName] and [CheckPassword]; fault.Conflict for a name one has already;
// fault.NoRoom.
func (d *Door) AddHelper(typed, password string, by Actor) (Helper, error) {
	name, err := personName(typed)
	if err != nil {
		return Helper{}, err
	}
	kept, err := d.checked(password)
	if err != nil {
		return Helper{}, err
	}
	id, err := newName(d.random)
	if err != nil {
		return Helper{}, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	h := Helper{ID: id, Name: name, Password: kept, Added: d.now().UTC()}
	err = d.change(func(s *State) error {
		if s.helper(name) >= 0 {
			return fault.New(fault.Conflict, name, "another helper has this name").WithHint("take another name, or set his password anew")
		}
		for i := range s.Phones { // what is written down is told apart by the name beside it
			if p := &s.Phones[i]; strings.EqualFold(p.Name, name) && !s.called(p.For.ID, name) {
				return fault.New(fault.Conflict, name, "a phone has this name, or had it").WithHint("take another name: what is written down is told apart by it")
			}
		}
		if len(s.Helpers) >= mostHelpers {
			return fault.New(fault.NoRoom, "", "there are too many helpers on the list").WithHint("take some off first")
		}
		s.Helpers = append(s.Helpers, h)
		s.note(d.event(by, HelperAdded, name))
		return nil
	})
	h.Password = ""
	return h, err
}

// SetHelperPassword sets a helper's password anew and ends his logins. Faults: as
// those of [Door.AddHelper]; fault.NotFound.
func (d *Door) SetHelperPassword(idOrName, password string, by Actor) (Helper, error) {
	kept, err := d.checked(password)
	if err != nil {
		return Helper{}, err
	}
	return d.changeHelper(idOrName, func(s *State, h *Helper) {
		h.Password = kept
		s.endLogins(h.ID)
		s.note(d.event(by, HelperChanged, h.Name))
	})
}

// RemoveHelper takes a helper off the list: his logins end and his phones are not
// let in any more. Faults: fault.NotFound.
func (d *Door) RemoveHelper(idOrName string, by Actor) (Helper, error) {
	return d.changeHelper(idOrName, func(s *State, h *Helper) {
		now := d.now().UTC()
		h.Removed, h.Password = now, ""
		s.endLogins(h.ID)
		for i := range s.Phones {
			if p := &s.Phones[i]; p.For.ID == h.ID && p.Revoked.IsZero() {
				p.Revoked = now
				s.note(d.event(by, PhoneRevoked, p.Name))
			}
		}
		if s.Code.For.ID == h.ID {
			s.Code = Code{}
		}
		s.note(d.event(by, HelperRemoved, h.Name))
	})
}

func (d *Door) changeHelper(idOrName string, f func(*State, *Helper)) (out Helper, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	err = d.change(func(s *State) error {
		i := s.helper(idOrName)
		if i < 0 {
			return fault.New(fault.NotFound, idOrName, "there is no helper of this name").WithHint("larder helpers lists them")
		}
		f(s, &s.Helpers[i])
		out = s.Helpers[i]
		return nil
	})
	out.Password = ""
	return out, err
}

// helper finds one by id or name, -1 if none.
func (s *State) helper(idOrName string) int {
	if idOrName = strings.TrimSpace(idOrName); idOrName == "" {
		return -1
	}
	return slices.IndexFunc(s.Helpers, func(h Helper) bool {
		return h.Removed.IsZero() && (h.ID == idOrName || strings.EqualFold(h.Name, idOrName))
	})
}

func (s *State) endLogins(helper string) {
	s.Logins = slices.DeleteFunc(slices.Clone(s.Logins), func(l Login) bool { return l.Helper == helper })
}

// checked gives what is kept of a password that will do.
func (d *Door) checked(password string) (string, error) {
	if err := CheckPassword(password); err != nil {
		return "", err
	}
	d.hashing <- struct{}{}
	defer func() { <-d.hashing }()
	return hashPassword(password, d.random)
}

// personName makes a helper's name of what was typed.
func personName(typed string) (string, error) {
	name, err := PhoneName(typed)
	if fault.Is(err, fault.Missing) {
		err = fault.New(fault.Missing, "", "the helper has no name yet").WithHint("for example the first name; it stands beside what is written down")
	}
	return name, err
}

// newName makes an id of 64 bits: it names something and opens nothing.
func newName(random io.Reader) (string, error) {
	id := make([]byte, 8)
	if _, err := io.ReadFull(random, id); err != nil {
		return "", fault.Wrap(err, "access")
	}
	return hex.EncodeToString(id), nil
}

// Session is a login as its lists show it.
type Session struct {
	ID, Helper, Name string // of the helper; "" = the owner
	Made, Seen       time.Time
	From             string
}

// Session gives whose login a token is; false when it has ended.
func (d *Door) Session(token string) (Session, bool) {
	if token == "" {
		return Session{}, false
	}
	want, now := keep(token), d.now()
	d.mu.Lock()
	defer d.mu.Unlock()
	i := findLogin(d.look(), want, now)
	if i < 0 {
		return Session{}, false
	}
	l := d.state.Logins[i]
	x, ok := d.state.session(&l)
	if ok && now.Sub(l.Seen) > seenEvery {
		// That it cannot be noted shuts nobody out now.
		_ = d.change(func(s *State) error {
			if j := findLogin(s, want, now); j >= 0 {
				s.Logins[j].Seen = now.UTC()
			}
			return nil
		})
	}
	return x, ok
}

// session names a login; false when its helper is no more.
func (s *State) session(l *Login) (Session, bool) {
	x := Session{ID: l.ID, Helper: l.Helper, Made: l.Made, Seen: l.Seen, From: l.From}
	if l.Helper == "" {
		return x, true
	}
	i := s.helper(l.Helper)
	if i < 0 || s.Helpers[i].ID != l.Helper {
		return x, false
	}
	x.Name = s.Helpers[i].Name
	return x, true
}

// Sessions lists the logins that have not ended, last used first.
func (d *Door) Sessions() []Session {
	d.mu.Lock()
	defer d.mu.Unlock()
	s, now := d.look(), d.now()
	var out []Session
	for i := range s.Logins {
		if l := &s.Logins[i]; l.alive(now) {
			if x, ok := s.session(l); ok {
				out = append(out, x)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Session) int { return b.Seen.Compare(a.Seen) })
	return out
}

// EndSession ends a login by its id. Faults: fault.NotFound.
func (d *Door) EndSession(id string, by Actor) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.change(func(s *State) error {
		i := slices.IndexFunc(s.Logins, func(l Login) bool { return id != "" && l.ID == id })
		if i < 0 {
			return fault.New(fault.NotFound, "", "this login has ended already")
		}
		x, _ := s.session(&s.Logins[i])
		about := x.Name
		if about == "" {
			about = string(RoleOwner)
		}
		s.Logins = slices.Delete(slices.Clone(s.Logins), i, i+1)
		s.note(d.event(by, SessionEnded, about))
		return nil
	})
}

// ChangePassword sets the password of the one whose login a token is, the owner
// or a helper, once he has given the one he has now. All his logins end, and he
// is given a new token in place of this one. from is the address. Faults: those of
// [CheckPassword], thing "password"; fault.NotFound for a login that has ended;
// fault.Conflict for another password than he has; *Wait.
func (d *Door) ChangePassword(token, now, next, from string) (string, error) {
	if err := CheckPassword(next); err != nil {
		return "", err
	}
	x, ok := d.Session(token)
	if !ok {
		return "", fault.New(fault.NotFound, "", "this login has ended already")
	}
	if wait := d.logins.take(from, d.now()); wait > 0 { // it could be guessed here too
		return "", &Wait{wait}
	}
	by := Actor{Role: RoleOwner, From: from, Session: x.ID}
	if x.Helper != "" {
		by.Role, by.Name = RoleHelper, x.Name
	}
	d.mu.Lock()
	kept := ""
	if at := d.look().passwordOf(x.Helper); at != nil {
		kept = *at
	}
	d.mu.Unlock()
	right := false
	if kept != "" && len(now) <= mostBytes {
		d.hashing <- struct{}{}
		right, _ = checkHash(kept, now)
		<-d.hashing
	}
	wrong := fault.New(fault.Conflict, "", "this is not the password you have now")
	if !right {
		return "", errors.Join(wrong, d.Note(by, SignInFailed, x.Name))
	}
	d.logins.clear(from)
	hash, err := d.checked(next)
	if err != nil {
		return "", err
	}
	fresh, login, err := d.newLogin(x.Helper, from)
	if err != nil {
		return "", err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	err = d.change(func(s *State) error {
		at := s.passwordOf(x.Helper)
		if at == nil || *at != kept { // set anew, or taken off the list, this moment
			return wrong
		}
		*at = hash
		s.endLogins(x.Helper)
		s.Logins = append(s.Logins, login)
		if x.Helper == "" {
			s.Set = login.Made
			s.note(d.event(by, PasswordSet, ""))
		} else {
			s.note(d.event(by, HelperChanged, x.Name))
		}
		return nil
	})
	if err != nil {
		return "", err
	}
	return fresh, nil
}

// passwordOf is where the password of a helper stands, "" = the owner's; nil when
// there is no such helper any more.
func (s *State) passwordOf(helper string) *string {
	if helper == "" {
		return &s.Password
	}
	i := s.helper(helper)
	if i < 0 || s.Helpers[i].ID != helper {
		return nil
	}
	return &s.Helpers[i].Password
}
