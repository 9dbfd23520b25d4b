package access

import (
	"errors"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"larder/internal/fault"
)

// Fate is what became of a phone.
type Fate uint8

// The fates of a token a phone shows.
const (
	Unknown Fate = iota // no phone has it
	Paired              // let in
	Revoked             // taken off the list by the owner
	Expired             // not seen for too long, or paired too long ago
)

// Offer makes a pairing code for a phone that goes into these hands; the one
// offered before no longer works. Faults: fault.NotFound for a helper who is none.
func (d *Door) Offer(hands Hands, by Actor) (code string, till time.Time, err error) {
	c, err := newCode(d.random)
	if err != nil {
		return "", till, fault.Wrap(err, "pairing code")
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	till = d.now().Add(CodeLife)
	err = d.change(func(s *State) error {
		about := ""
		if hands.ID != "" {
			i := s.helper(hands.ID)
			if i < 0 || s.Helpers[i].ID != hands.ID {
				return fault.New(fault.NotFound, "", "there is no helper of this name").WithHint("larder helpers lists them")
			}
			hands.Helper, about = true, s.Helpers[i].Name
		}
		s.Code = Code{Hash: keep(c), Till: till.UTC(), For: hands}
		s.note(d.event(by, CodeOffered, about))
		return nil
	})
	if err != nil {
		return "", time.Time{}, err
	}
	d.code.text, d.code.till = c, till
	return c, till, nil
}

// Offered gives the code that works now and whom it is for, "" when there is none
// or when another process made it: only its hash is kept.
func (d *Door) Offered() (code string, hands Hands, till time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	s := d.look()
	if d.code.text == "" || !s.Code.lives(d.now()) || !same(keep(d.code.text), s.Code.Hash) {
		return "", Hands{}, time.Time{}
	}
	return d.code.text, s.Code.For, d.code.till
}

// lives tells whether there is a code that works. A clock set back does not make
// it live longer than it could.
func (c *Code) lives(now time.Time) bool {
	left := c.Till.Sub(now)
	return c.Hash != "" && left > 0 && left <= CodeLife
}

// mostName is the longest name of a phone, in letters.
const mostName = 40

// PhoneName makes a name of what was typed. Faults: fault.Missing, fault.OutOfRange.
func PhoneName(typed string) (string, error) {
	name := strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		if unicode.IsControl(r) || r == unicode.ReplacementChar || unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, typed)), " ")
	switch {
	case name == "":
		return "", fault.New(fault.Missing, "", "the phone has no name yet").WithHint("for example the first name of who carries it; it stands beside what the phone writes down")
	case utf8.RuneCountInString(name) > mostName:
		return "", fault.Newf(fault.OutOfRange, "", "this name is longer than %d letters", mostName).WithHint("a first name will do")
	}
	return name, nil
}

// Pair takes a phone in by the code on offer, which is used up by it, and gives
// the phone's token. from is the address it comes from. Faults: those of
// [PhoneName]; fault.Conflict for a name that is another's, or a code that is
// wrong, used or too old; *Wait. A fault of the name uses nothing up.
func (d *Door) Pair(typed, name, from string) (token string, p Phone, err error) {
	if name, err = PhoneName(name); err != nil {
		return "", p, err
	}
	if wait := d.pairings.take(from, d.now()); wait > 0 {
		return "", p, &Wait{wait}
	}
	code, _ := ReadCode(typed)
	d.mu.Lock()
	defer d.mu.Unlock()
	wrong := wrongCode()
	if c := &d.look().Code; !same(keep(code), c.Hash) || !c.lives(d.now()) {
		return "", p, errors.Join(wrong, d.Note(Actor{Role: RoleNobody, From: from}, PairingFailed, name))
	}
	d.pairings.clear(from)
	now := d.now().UTC()
	id, err := newName(d.random)
	if err != nil {
		return "", p, err
	}
	token, kept, err := newToken(d.random)
	if err != nil {
		return "", p, fault.Wrap(err, "pair")
	}
	p = Phone{ID: id, Name: name, Token: kept, Paired: now, Seen: now, From: from}
	err = d.change(func(s *State) error {
		if !same(keep(code), s.Code.Hash) || !s.Code.lives(now) { // used up this moment by another
			return wrong
		}
		p.For = s.Code.For
		if s.anothers(name, p.For) {
			return fault.New(fault.Conflict, name, "somebody else has this name, or had it").WithHint("take another name: what is written down is told apart by it")
		}
		living := 0
		for i := range s.Phones {
			x := &s.Phones[i]
			if x.fate(now) == Paired {
				living++
			}
			if !strings.EqualFold(x.Name, name) {
				continue
			}
			switch x.fate(now) {
			case Paired:
				return fault.New(fault.Conflict, name, "another phone has this name").WithHint("take another name, or take the old one off the list at home first")
			case Expired: // the same phone come back: its old entry goes
				x.Revoked = now
			}
		}
		if living >= mostPhones {
			return fault.New(fault.NoRoom, "", "there are too many phones on the list").WithHint("take some off at home first")
		}
		s.Phones, s.Code = append(s.Phones, p), Code{} // the code is used up
		s.note(d.event(p.Actor(from), PhonePaired, name))
		return nil
	})
	if err != nil {
		return "", Phone{}, err
	}
	d.code.text = ""
	return token, p, nil
}

// anothers tells whether a name stands beside what somebody else wrote: a phone of
// other hands, or another helper. Who pairs a phone names it himself, and a helper
// may take back what bears his name.
func (s *State) anothers(name string, hands Hands) bool {
	for i := range s.Phones {
		if x := &s.Phones[i]; strings.EqualFold(x.Name, name) && x.For != hands {
			return true
		}
	}
	if s.called(hands.ID, name) {
		return false
	}
	return slices.ContainsFunc(s.Helpers, func(h Helper) bool { return strings.EqualFold(h.Name, name) })
}

// called tells whether the helper of an id, also one who has left, has a name.
func (s *State) called(id, name string) bool {
	return slices.ContainsFunc(s.Helpers, func(h Helper) bool { return h.ID == id && strings.EqualFold(h.Name, name) })
}

func wrongCode() error {
	return fault.New(fault.Conflict, "", "this code does not work").
		WithHint("a code works once, for ten minutes: press Pair a phone at home for a new one")
}

// Actor is the phone as who does something, for the trail.
func (p *Phone) Actor(from string) Actor {
	role := RolePhone
	if p.For.Helper {
		role = RoleHelper
	}
	return Actor{Role: role, Name: p.Name, From: from, Session: p.ID}
}

func (p *Phone) fate(now time.Time) Fate {
	switch {
	case !p.Revoked.IsZero():
		return Revoked
	case now.Sub(p.Seen) >= PhoneIdle, now.Sub(p.Paired) >= PhoneLife:
		return Expired
	}
	return Paired
}

// Phone gives the phone of a token, and its fate. from is the address it comes
// from.
func (d *Door) Phone(token, from string) (Phone, Fate) {
	if token == "" {
		return Phone{}, Unknown
	}
	want, now := keep(token), d.now()
	d.mu.Lock()
	defer d.mu.Unlock()
	i := findPhone(d.look(), want)
	if i < 0 {
		return Phone{}, Unknown
	}
	p := d.state.Phones[i]
	fate := p.fate(now)
	if fate == Paired && now.Sub(p.Seen) > seenEvery {
		// That it cannot be noted shuts nobody out now.
		_ = d.change(func(s *State) error {
			if j := findPhone(s, want); j >= 0 {
				s.Phones[j].Seen, s.Phones[j].From = now.UTC(), from
			}
			return nil
		})
	}
	return p, fate
}

func findPhone(s *State, want string) int {
	at := -1
	for i := range s.Phones { // all of them, so that time tells nothing
		if same(s.Phones[i].Token, want) {
			at = i
		}
	}
	return at
}

// Listed is a phone on the list, with its fate.
type Listed struct {
	Phone
	Fate Fate
}

// Phones lists the phones by name, those that are let in first.
func (d *Door) Phones() []Listed {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	var out []Listed
	for _, p := range d.look().Phones {
		out = append(out, Listed{p, p.fate(now)})
	}
	rank := map[Fate]int{Paired: 0, Expired: 1, Revoked: 2}
	slices.SortStableFunc(out, func(a, b Listed) int {
		if n := rank[a.Fate] - rank[b.Fate]; n != 0 {
			return n
		}
		if n := strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)); n != 0 {
			return n
		}
		return strings.Compare(a.ID, b.ID)
	})
	return out
}

// Revoke takes a phone off the list, by its id or its name: it is not let in
// again. Faults: fault.NotFound.
func (d *Door) Revoke(idOrName string, by Actor) (p Phone, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now().UTC()
	err = d.change(func(s *State) error {
		at := -1
		for i := range s.Phones {
			x := &s.Phones[i]
			if x.Revoked.IsZero() && (x.ID == idOrName || strings.EqualFold(x.Name, strings.TrimSpace(idOrName))) {
				at = i
				if x.ID == idOrName {
					break
				}
			}
		}
		if at < 0 {
			return fault.New(fault.NotFound, idOrName, "there is no paired phone of this name").WithHint("larder phones lists them")
		}
		s.Phones[at].Revoked = now
		p = s.Phones[at]
		s.note(d.event(by, PhoneRevoked, p.Name))
		return nil
	})
	return p, err
}
