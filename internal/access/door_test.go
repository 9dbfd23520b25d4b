package access

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"larder/internal/fault"
)

// clock is a time that tests move.
type clock struct{ t time.Time }

func (c *clock) now() time.Time       { return c.t }
func (c *clock) pass(d time.Duration) { c.t = c.t.Add(d) }
func seeded(n uint64) *rand.ChaCha8   { return rand.NewChaCha8([32]byte{byte(n), byte(n >> 8)}) }
func begin() *clock                   { return &clock{time.Date(2026, 9, 4, 10, 0, 0, 0, time.UTC)} }

// owner tells whether a token is of a login of the owner.
func owner(d *Door, token string) bool {
	x, ok := d.Session(token)
	return ok && x.Helper == ""
}

func sound(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

const goodPassword = "four hives behind the barn"

func newDoor(t *testing.T, store Store) (*Door, *clock) {
	t.Helper()
	c := begin()
	d, err := Open(store, c.now, seeded(1))
	sound(t, err)
	return d, c
}

func TestLoginLivesAndEnds(t *testing.T) {
	d, c := newDoor(t, &Memory{})
	if d.HasPassword() {
		t.Fatal("a password nobody set")
	}
	if _, err := d.Login("", goodPassword, "192.168.1.9"); !fault.Is(err, fault.Missing) {
		t.Errorf("login without a password: %v", err)
	}
	_, err := d.SetPassword(goodPassword, Console())
	sound(t, err)
	if _, err := d.Login("", "something else", "192.168.1.9"); !fault.Is(err, fault.Conflict) || fault.HintOf(err) == "" {
		t.Errorf("a wrong password: %v", err)
	}
	one, err := d.Login("", goodPassword, "192.168.1.9")
	sound(t, err)
	two, err := d.Login("", goodPassword, "192.168.1.9")
	sound(t, err)
	if one == two || len(one) != 43 {
		t.Errorf("tokens %q %q", one, two)
	}
	for _, bad := range []string{"", "x", one + "x", one[:42], strings.ToLower(one)} {
		if owner(d, bad) {
			t.Errorf("%q is let in", bad)
		}
	}
	sound(t, d.Logout(one, Console()))
	if owner(d, one) || !owner(d, two) {
		t.Error("logging out ends that login and no other")
	}
	// Used every eleven hours it lives on, for thirty days; unused, twelve hours.
	for end := c.t.Add(LoginLife); c.t.Before(end.Add(-11 * time.Hour)); c.pass(11 * time.Hour) {
		if !owner(d, two) {
			t.Fatalf("ended at %v", c.t)
		}
	}
	c.pass(11 * time.Hour)
	if owner(d, two) {
		t.Error("it lives longer than thirty days")
	}
	three, err := d.Login("", goodPassword, "192.168.1.9")
	sound(t, err)
	c.pass(12 * time.Hour)
	if owner(d, three) {
		t.Error("it lives longer than twelve hours unused")
	}
	// A new password ends what there is.
	four, err := d.Login("", goodPassword, "192.168.1.9")
	sound(t, err)
	ended, err := d.SetPassword(goodPassword+" and more", Console())
	sound(t, err)
	if ended != 1 || owner(d, four) {
		t.Errorf("%d ended", ended)
	}
	if _, err := d.Login("", goodPassword, "192.168.1.9"); err == nil {
		t.Error("the old password still works")
	}
}

// A login made with é as two signs opens what was set with é as one; a hash of
// less cost is made anew.
func TestPasswordForms(t *testing.T) {
	m := &Memory{}
	d, _ := newDoor(t, m)
	_, err := d.SetPassword("caf\u00e9 y az\u00facar", Console())
	sound(t, err)
	_, err = d.Login("", "cafe\u0301 y azu\u0301car", "::1")
	sound(t, err)
	// Values of the reference implementation's own test (argon2id, v=19, t=2, m=256
	// KiB, p=1, "password", salt "somesalt"): phc-winner-argon2, src/test.c.
	const old = "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"
	if ok, cheap := checkHash(old, "password"); !ok || !cheap {
		t.Errorf("the reference value: ok %v, cheap %v", ok, cheap)
	}
	_, err = m.Change(func(s *State) error { s.Password = old; return nil })
	sound(t, err)
	d, _ = newDoor(t, m)
	_, err = d.Login("", "password", "::1")
	sound(t, err)
	s, _ := m.Load()
	if ok, cheap := checkHash(s.Password, "password"); !ok || cheap {
		t.Errorf("after the login: %v %v %s", ok, cheap, s.Password)
	}
	for _, bad := range []string{"", "$", "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$", strings.Replace(old, "argon2id", "argon2i", 1), strings.Replace(old, "m=256", "m=99999999", 1), strings.Replace(old, "p=1", "p=0", 1), strings.Replace(old, "t=2", "t=0", 1)} {
		if ok, _ := checkHash(bad, "password"); ok {
			t.Errorf("%q lets in", bad)
		}
	}
}

func TestPasswordsNotTaken(t *testing.T) {
	for p, want := range map[string]fault.Kind{
		"": fault.OutOfRange, "seven77": fault.OutOfRange, "aaaaaaaaaaaa": fault.Unsafe, "        ": fault.Unsafe,
		"password": fault.Unsafe, "PassWord": fault.Unsafe, "12345678": fault.Unsafe, "qwertyuiop": fault.Unsafe,
		strings.Repeat("long ", 300): fault.OutOfRange,
	} {
		if err := CheckPassword(p); !fault.Is(err, want) || fault.HintOf(err) == "" {
			t.Errorf("%.20q: %v", p, err)
		}
	}
	for _, p := range []string{goodPassword, "ñandúñandú", strings.Repeat("ab", 32), "zumbido!"} {
		if err := CheckPassword(p); err != nil {
			t.Errorf("%q: %v", p, err)
		}
	}
	if n := len(common()); n < 2990 || n > 3000 {
		t.Errorf("%d common passwords", n)
	}
}

func TestPhoneLives(t *testing.T) {
	m := &Memory{}
	d, c := newDoor(t, m)
	if code, _, _ := d.Offered(); code != "" {
		t.Error("a code nobody asked for")
	}
	if _, _, err := d.Pair("", "Ann", "192.168.1.9"); err == nil {
		t.Error("paired without a code")
	}
	code, till, err := d.Offer(Hands{}, Console())
	sound(t, err)
	if got, _, _ := d.Offered(); got != code || till.Sub(c.t) != CodeLife {
		t.Errorf("offered %q, made %q", got, code)
	}
	if _, _, err := d.Pair(code, " \u202e ", "192.168.1.9"); !fault.Is(err, fault.Missing) {
		t.Errorf("no name: %v", err)
	}
	token, p, err := d.Pair(strings.ToLower(ShowCode(code)), "  Ann's\nphone ", "192.168.1.9")
	sound(t, err)
	if p.Name != "Ann's phone" {
		t.Errorf("name %q", p.Name)
	}
	if _, _, err := d.Pair(code, "Bob", "192.168.1.10"); !fault.Is(err, fault.Conflict) {
		t.Errorf("a code works twice: %v", err)
	}
	if got, fate := d.Phone(token, "192.168.1.9"); fate != Paired || got.ID != p.ID {
		t.Errorf("%v %v", got, fate)
	}
	if owner(d, token) {
		t.Error("a phone's token is an owner's")
	}
	// Another of the same name is not taken, and uses no code up.
	code, _, err = d.Offer(Hands{}, Console())
	sound(t, err)
	if _, _, err := d.Pair(code, "ANN'S PHONE", "192.168.1.10"); !fault.Is(err, fault.Conflict) {
		t.Errorf("two of one name: %v", err)
	}
	two, _, err := d.Pair(code, "Bob", "192.168.1.10")
	sound(t, err)
	// Taken off the list it is known, and not let in.
	_, err = d.Revoke("nobody", Console())
	if !fault.Is(err, fault.NotFound) {
		t.Errorf("%v", err)
	}
	_, err = d.Revoke("ann's phone", Console())
	sound(t, err)
	if _, fate := d.Phone(token, ""); fate != Revoked {
		t.Errorf("fate %v", fate)
	}
	if _, fate := d.Phone("x"+token, ""); fate != Unknown {
		t.Errorf("fate %v", fate)
	}
	// It may come back under its name, with another token.
	code, _, err = d.Offer(Hands{}, Console())
	sound(t, err)
	again, q, err := d.Pair(code, "Ann's phone", "192.168.1.9")
	sound(t, err)
	if again == token || q.ID == p.ID {
		t.Error("the same as before")
	}
	var list []string
	for _, x := range d.Phones() {
		list = append(list, x.Name)
	}
	if got := strings.Join(list, ","); got != "Ann's phone,Bob,Ann's phone" {
		t.Errorf("list %s", got)
	}
	// Seen now and then it lives half a year, unseen a month.
	for range 5 {
		c.pass(29 * 24 * time.Hour)
		if _, fate := d.Phone(again, ""); fate != Paired {
			t.Fatalf("fate %v at %v", fate, c.t)
		}
	}
	if _, fate := d.Phone(two, ""); fate != Expired {
		t.Errorf("unseen: %v", fate)
	}
	c.pass(29 * 24 * time.Hour)
	d.Phone(again, "")
	c.pass(7 * 24 * time.Hour)
	if _, fate := d.Phone(again, ""); fate != Expired {
		t.Errorf("after half a year: %v", fate)
	}
	s, _ := m.Load()
	raw, _ := json.Marshal(s)
	for _, secret := range []string{token, two, again, goodPassword} {
		if bytes.Contains(raw, []byte(secret)) {
			t.Error("a secret is kept in the clear")
		}
	}
}

func TestCodeEnds(t *testing.T) {
	d, c := newDoor(t, &Memory{})
	first, _, err := d.Offer(Hands{}, Console())
	sound(t, err)
	second, _, err := d.Offer(Hands{}, Console())
	sound(t, err)
	if _, _, err := d.Pair(first, "Ann", "a"); err == nil {
		t.Error("a code that was replaced works")
	}
	c.pass(CodeLife)
	if _, _, err := d.Pair(second, "Ann", "a"); err == nil {
		t.Error("a code works after ten minutes")
	}
	third, _, err := d.Offer(Hands{}, Console())
	sound(t, err)
	c.pass(-time.Hour)
	if _, _, err := d.Pair(third, "Ann", "a"); err == nil {
		t.Error("a clock set back makes a code live on")
	}
}

// Twenty phones with one code at once: one of them gets in.
func TestCodeWorksOnceAtOnce(t *testing.T) {
	c := begin()
	d, err := Open(&Memory{}, c.now, &lockedReader{r: seeded(3)})
	sound(t, err)
	d.pairings = newThrottle(1000, time.Second)
	code, _, err := d.Offer(Hands{}, Console())
	sound(t, err)
	var wg sync.WaitGroup
	var mu sync.Mutex
	in := 0
	for i := range 20 {
		wg.Go(func() {
			if _, _, err := d.Pair(code, "phone "+string(rune('a'+i)), string(rune('a'+i))); err == nil {
				mu.Lock()
				in++
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	if in != 1 || len(d.Phones()) != 1 {
		t.Errorf("%d got in", in)
	}
}

type lockedReader struct {
	mu sync.Mutex
	r  *rand.ChaCha8
}

func (l *lockedReader) Read(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.r.Read(b)
}

func TestFileStore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "deep", "season.larder.access")
	c := begin()
	d, err := Open(&File{path}, c.now, seeded(1))
	sound(t, err)
	_, err = d.SetPassword(goodPassword, Console())
	sound(t, err)
	code, _, err := d.Offer(Hands{}, Console())
	sound(t, err)
	token, _, err := d.Pair(code, "Ann", "a")
	sound(t, err)
	if info, err := os.Stat(path); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("%v %v", info.Mode(), err)
	}
	// Another program sees it, takes the phone off, and the first heeds that.
	other, err := Open(&File{path}, c.now, seeded(2))
	sound(t, err)
	if !other.HasPassword() {
		t.Error("the other does not see the password")
	}
	_, err = other.Revoke("Ann", Console())
	sound(t, err)
	if _, fate := d.Phone(token, "a"); fate != Revoked {
		t.Errorf("fate %v", fate)
	}
	if left, _ := filepath.Glob(path + ".*.tmp"); len(left) != 0 {
		t.Errorf("left lying: %v", left)
	}
	// What cannot be read lets nobody in, and says so.
	sound(t, os.WriteFile(path, []byte(`{"version":1,"phones":[{]`), 0o600))
	if _, fate := d.Phone(token, "a"); fate != Unknown || d.HasPassword() {
		t.Error("let in on a file that cannot be read")
	}
	if _, err := Open(&File{path}, c.now, seeded(2)); !fault.Is(err, fault.Damaged) || fault.HintOf(err) == "" {
		t.Errorf("%v", err)
	}
	if _, err := d.SetPassword(goodPassword, Console()); !fault.Is(err, fault.Damaged) {
		t.Errorf("written over a file that cannot be read: %v", err)
	}
	sound(t, os.WriteFile(path, []byte(`{"version":99}`), 0o600))
	if _, err := Open(&File{path}, c.now, seeded(2)); err == nil {
		t.Error("a newer file is read")
	}
}

// Many programs change the file at once: no change is lost.
func TestFileTakesTurns(t *testing.T) {
	f := filepath.Join(t.TempDir(), "x.access")
	var wg sync.WaitGroup
	for w := range 4 {
		wg.Go(func() {
			store := &File{f}
			for n := range 10 {
				if _, err := store.Change(func(s *State) error {
					s.Phones = append(s.Phones, Phone{ID: string(rune('a'+w)) + string(rune('0'+n))})
					return nil
				}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	s, err := (&File{f}).Load()
	sound(t, err)
	if len(s.Phones) != 40 {
		t.Errorf("%d of 40", len(s.Phones))
	}
}

// A store that cannot write acknowledges nothing.
func TestFullDisk(t *testing.T) {
	m := &failing{}
	d, _ := newDoor(t, m)
	_, err := d.SetPassword(goodPassword, Console())
	sound(t, err)
	code, _, err := d.Offer(Hands{}, Console())
	sound(t, err)
	m.err = fault.New(fault.NoRoom, "", "the disk is full")
	if _, _, err := d.Pair(code, "Ann", "a"); !errors.Is(err, m.err) {
		t.Errorf("%v", err)
	}
	if _, err := d.Login("", goodPassword, "a"); err == nil {
		t.Error("logged in, and not kept")
	}
	m.err = nil
	if _, _, err := d.Pair(code, "Ann", "a"); err != nil {
		t.Errorf("the code was used up by a failure: %v", err)
	}
}

type failing struct {
	Memory
	err, away error
	asked     int
}

func (f *failing) Stamp() string {
	if f.away != nil {
		f.asked++
		return "?" + strconv.Itoa(f.asked)
	}
	return f.Memory.Stamp()
}

func (f *failing) Load() (State, error) {
	if f.away != nil {
		return State{}, f.away
	}
	return f.Memory.Load()
}

func (f *failing) Change(g func(*State) error) (State, error) {
	if f.err != nil {
		return State{}, f.err
	}
	return f.Memory.Change(g)
}

// A store that is away for a while, as a database that starts anew is, and comes
// back as it was: known again are those who were known, and none before.
func TestStoreComesBack(t *testing.T) {
	m := &failing{}
	d, c := newDoor(t, m)
	_, err := d.SetPassword(goodPassword, Console())
	sound(t, err)
	token, err := d.Login("", goodPassword, "a")
	sound(t, err)
	if !owner(d, token) || d.Blind() != 0 {
		t.Fatal("not in")
	}
	m.away = fault.New(fault.Unreachable, "", "the database does not answer")
	for range 10 {
		if owner(d, token) || d.Trouble() == nil {
			t.Error("let in on a list that cannot be read")
		}
	}
	if m.asked != 1 {
		t.Errorf("a store that keeps silent was asked %d times at once: each that asks waits for all before", m.asked)
	}
	for range 3 {
		c.pass(askAgain)
		if owner(d, token) || d.Trouble() == nil {
			t.Error("let in on a list that cannot be read")
		}
	}
	if d.Blind() == 0 {
		t.Error("it does not say that it could not look")
	}
	m.away = nil
	c.pass(askAgain)
	if !owner(d, token) || d.Trouble() != nil {
		t.Errorf("kept out for good: %v", d.Trouble())
	}
}

func TestListsStayBounded(t *testing.T) {
	d, c := newDoor(t, &Memory{})
	d.pairings = newThrottle(100000, time.Second)
	for i := range 60 {
		code, _, err := d.Offer(Hands{}, Console())
		sound(t, err)
		_, p, err := d.Pair(code, "phone", string(rune('a'+i)))
		sound(t, err)
		_, err = d.Revoke(p.ID, Console())
		sound(t, err)
	}
	if n := len(d.Phones()); n > mostRevoked+1 {
		t.Errorf("%d kept", n)
	}
	c.pass(PhoneLife + time.Hour)
	code, _, err := d.Offer(Hands{}, Console())
	sound(t, err)
	_, _, err = d.Pair(code, "phone", "z")
	sound(t, err)
	if n := len(d.Phones()); n != 1 {
		t.Errorf("%d kept after half a year", n)
	}
}

// A password opens as it was typed and no otherwise: large and small letters count,
// so do blanks at its ends and its last letter, however long it is. What is too
// long is refused, not cut off.
func TestPasswordIsTakenAsTyped(t *testing.T) {
	long := strings.Repeat("lids ", 200) + "gently now" // 1010 letters
	for _, set := range []string{"  Four Hives behind the barn ", "abc\tdef\u00a0ghi", "<b>&amp;%41+\\", long} {
		d, c := newDoor(t, &Memory{})
		d.logins = newThrottle(1000, time.Millisecond)
		_, err := d.SetPassword(set, Console())
		sound(t, err)
		if _, err := d.Login("", set, "a"); err != nil {
			t.Errorf("%.30q does not open: %v", set, err)
		}
		tried := map[string]bool{set: true}
		for _, other := range []string{strings.TrimSpace(set), set + " ", " " + set, strings.ToLower(set), strings.ToUpper(set), set[:len(set)-1], set[1:], set[:min(72, len(set)-1)], set + "\x00", strings.ReplaceAll(set, "&amp;", "&"), strings.ReplaceAll(set, "%41", "A"), strings.ReplaceAll(set, "+", " "), strings.ReplaceAll(set, "\u00a0", " "), set + strings.Repeat("x", 100)} {
			if tried[other] {
				continue
			}
			tried[other] = true
			c.pass(time.Hour)
			if _, err := d.Login("", other, "a"); err == nil {
				t.Errorf("%.30q is opened by %.30q", set, other)
			}
		}
		if len(tried) < 6 {
			t.Errorf("%.30q: only %d others", set, len(tried)-1)
		}
	}
	if err := CheckPassword(strings.Repeat("lids ", 300)); err == nil {
		t.Error("more letters than are looked at are taken")
	}
}
