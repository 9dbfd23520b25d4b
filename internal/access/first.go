package access

import (
	"time"

	"larder/internal/fault"
)

// OfferFirst makes the code with which the owner's first password can be set from
// another device: whoever reads the console has the computer. It works once, for
// ten minutes, in this process only, and only while there is no password.
func (d *Door) OfferFirst() (code string, till time.Time, err error) {
	c, err := newCode(d.random)
	if err != nil {
		return "", till, fault.Wrap(err, "first code")
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.first.text, d.first.till = c, d.now().Add(CodeLife)
	return c, d.first.till, nil
}

// FirstOffered tells whether such a code works now.
func (d *Door) FirstOffered() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.firstLives()
}

// firstLives is asked with mu held.
func (d *Door) firstLives() bool {
	left := d.first.till.Sub(d.now())
	return d.first.text != "" && left > 0 && left <= CodeLife && d.look().Password == ""
}

// SetFirst sets the owner's first password by the code of the console, which is
// used up by it. Faults: those of [CheckPassword], which use nothing up;
// fault.Conflict for a code that does not work; *Wait.
func (d *Door) SetFirst(typed, password, from string) error {
	if wait := d.logins.take(from, d.now()); wait > 0 {
		return &Wait{wait}
	}
	code, _ := ReadCode(typed)
	wrong := fault.New(fault.Conflict, "", "this code does not work").WithHint("it stands where larder serve was started, and works once, for ten minutes; start it anew for another")
	by := Actor{Role: RoleNobody, From: from}
	d.mu.Lock()
	ok := same(code, d.first.text) && d.firstLives()
	d.mu.Unlock()
	if !ok {
		_ = d.Note(by, SignInFailed, "") // that it cannot be noted lets nobody in
		return wrong
	}
	kept, err := d.checked(password)
	if err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if !same(code, d.first.text) || !d.firstLives() {
		return wrong
	}
	err = d.change(func(s *State) error {
		if s.Password != "" { // set this moment by another
			return wrong
		}
		s.Password, s.Set = kept, d.now().UTC()
		s.note(d.event(by, PasswordSet, ""))
		return nil
	})
	if err != nil {
		return err
	}
	d.first.text = ""
	d.logins.clear(from)
	return nil
}
