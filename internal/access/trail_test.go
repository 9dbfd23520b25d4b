package access

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/fault"
)

// A trail in a file is only ever added to, also by several programs and after a
// line that a power cut left half.
func TestTrailInAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "season.larder.access")
	trail := strings.TrimSuffix(path, ".access") + ".trail"
	one, c := newDoor(t, &File{path})
	two, err := Open(&File{path}, c.now, seeded(2))
	sound(t, err)
	_, err = one.SetPassword(goodPassword, Console())
	sound(t, err)
	_, err = two.AddHelper("Eva", goodPassword, Console())
	sound(t, err)
	before, err := os.ReadFile(trail)
	sound(t, err)
	f, err := os.OpenFile(trail, os.O_APPEND|os.O_WRONLY, 0)
	sound(t, err)
	_, err = f.WriteString(`{"at":"2026-09-04T10:00:00Z","role":"console","what":"pass`)
	sound(t, err)
	sound(t, f.Close())
	if _, err := one.Login("", "a guess", "192.168.1.9"); !fault.Is(err, fault.Conflict) {
		t.Errorf("%v", err)
	}
	sound(t, two.Note(Console(), Restored, strings.Repeat("é", 300)))
	sound(t, two.Note(Actor{Role: RoleNobody, Name: "x\r\n{\"what\":\"restored\"}\x1b[2J", From: "a\nb"}, SignedOut, "one\nwhat: two"))
	if raw, err := os.ReadFile(trail); err != nil || strings.ContainsAny(string(raw), "\r\x1b") || strings.Count(string(raw), "\n") != 6 {
		t.Errorf("what is typed makes lines of its own: %q, %v", raw, err)
	}
	list, err := one.Trail(10)
	sound(t, err)
	list = list[1:]
	var got []string
	for _, e := range list {
		got = append(got, string(e.What))
		if len(e.About) > mostAbout {
			t.Errorf("%d bytes about", len(e.About))
		}
	}
	if s := strings.Join(got, " "); s != "restored sign-in-failed helper-added password-set" {
		t.Errorf("the trail says %s", s)
	}
	if list, err := one.Trail(2); err != nil || len(list) != 2 || list[1].What != Restored {
		t.Errorf("%v %v", list, err)
	}
	after, err := os.ReadFile(trail)
	sound(t, err)
	if !strings.HasPrefix(string(after), string(before)) {
		t.Error("what stood in the trail was changed")
	}
	if info, err := os.Stat(trail); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
}

// Nothing is changed that the trail could not be told of.
func TestNoTrailNoChange(t *testing.T) {
	path := filepath.Join(t.TempDir(), "season.larder.access")
	d, _ := newDoor(t, &File{path})
	sound(t, os.Mkdir(strings.TrimSuffix(path, ".access")+".trail", 0o700))
	if _, err := d.SetPassword(goodPassword, Console()); !fault.Is(err, fault.NoRoom) || d.HasPassword() {
		t.Errorf("%v", err)
	}
}

func TestHelperLives(t *testing.T) {
	m := &Memory{}
	d, c := newDoor(t, m)
	if _, err := d.Login("Eva", goodPassword, "a"); !fault.Is(err, fault.Missing) {
		t.Errorf("no password at all: %v", err)
	}
	_, err := d.SetPassword(goodPassword, Console())
	sound(t, err)
	h, err := d.AddHelper("  Eva\nB ", "lift the lids gently", Console())
	sound(t, err)
	if h.Name != "Eva B" || h.Password != "" {
		t.Errorf("%+v", h)
	}
	for name, password := range map[string]string{"": "lift the lids gently", "Eva B": goodPassword, "nobody": goodPassword, h.ID: "lift the lids gently"} {
		c.pass(longestWait)
		if _, err := d.Login(name, password, "a"); !fault.Is(err, fault.Conflict) {
			t.Errorf("%q %q: %v", name, password, err)
		}
	}
	c.pass(longestWait)
	token, err := d.Login(" eva b ", "lift the lids gently", "a")
	sound(t, err)
	if x, ok := d.Session(token); !ok || x.Helper != h.ID || x.Name != "Eva B" || owner(d, token) {
		t.Errorf("%+v %v", x, ok)
	}
	// The owner's new password is none of hers; hers ends her login only.
	mine, err := d.Login("", goodPassword, "a")
	sound(t, err)
	_, err = d.SetPassword(goodPassword+"!", Console())
	sound(t, err)
	if _, ok := d.Session(token); !ok || owner(d, mine) {
		t.Error("the owner's password ended the helper's login, or not his own")
	}
	mine, err = d.Login("", goodPassword+"!", "a")
	sound(t, err)
	_, err = d.SetHelperPassword("EVA B", "smoke before you lift", Console())
	sound(t, err)
	if _, ok := d.Session(token); ok || !owner(d, mine) {
		t.Error("a helper's new password ends his logins, not the owner's")
	}
	// Taken off, his name is free again and opens nothing of the former.
	token, err = d.Login("Eva B", "smoke before you lift", "a")
	sound(t, err)
	_, err = d.RemoveHelper("Eva B", Console())
	sound(t, err)
	if _, ok := d.Session(token); ok {
		t.Error("let in after he was taken off")
	}
	again, err := d.AddHelper("Eva B", "lift the lids gently", Console())
	sound(t, err)
	if _, ok := d.Session(token); ok || again.ID == h.ID {
		t.Error("the former login opens the new one's door")
	}
	if _, err := d.Login("Eva B", "smoke before you lift", "a"); err == nil {
		t.Error("the former password works")
	}
	if _, _, err := d.Offer(Hands{ID: h.ID}, Console()); !fault.Is(err, fault.NotFound) {
		t.Errorf("a code for one who was taken off: %v", err)
	}
}

// A code made by one process works in another, once; only the hash is kept.
func TestCodeIsOneForAllProcesses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "season.larder.access")
	one, c := newDoor(t, &File{path})
	two, err := Open(&File{path}, c.now, seeded(2))
	sound(t, err)
	code, _, err := one.Offer(Hands{Helper: true}, Console())
	sound(t, err)
	raw, err := os.ReadFile(path)
	sound(t, err)
	if strings.Contains(string(raw), code) {
		t.Error("the code is kept in the clear")
	}
	if got, _, _ := two.Offered(); got != "" {
		t.Errorf("another process shows %q, which it cannot know", got)
	}
	token, p, err := two.Pair(code, "Cleo", "b")
	sound(t, err)
	if !p.For.Helper {
		t.Error("whose hands it is in was lost")
	}
	if _, fate := one.Phone(token, "b"); fate != Paired {
		t.Errorf("fate %v", fate)
	}
	if _, _, err := one.Pair(code, "Dan", "b"); err == nil {
		t.Error("a code works twice")
	}
	if got, _, _ := one.Offered(); got != "" {
		t.Error("a code that was used up is on offer")
	}
}

// TestChangePassword: who has a login may set a new password of his own, if he
// knows the old one; then his other logins end, and nobody else's.
func TestChangePassword(t *testing.T) {
	const hers, next = "lift the lids gently", "smoke before you lift"
	d, c := newDoor(t, &Memory{})
	_, err := d.SetPassword(goodPassword, Console())
	sound(t, err)
	_, err = d.AddHelper("Eva", hers, Console())
	sound(t, err)
	mine, err := d.Login("", goodPassword, "a")
	sound(t, err)
	one, err := d.Login("Eva", hers, "a")
	sound(t, err)
	other, err := d.Login("Eva", hers, "a")
	sound(t, err)

	if _, err := d.ChangePassword(one, hers, "short", "b"); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("a short one: %v", err)
	}
	if _, err := d.ChangePassword("made up", hers, next, "b"); !fault.Is(err, fault.NotFound) {
		t.Errorf("no login: %v", err)
	}
	if _, err := d.ChangePassword(one, goodPassword, next, "b"); !fault.Is(err, fault.Conflict) {
		t.Errorf("the owner's password for her own: %v", err)
	}
	tries := 0
	for ; tries < 100; tries++ {
		if _, err := d.ChangePassword(one, "guess "+string(rune('a'+tries)), next, "c"); WaitOf(err) > 0 {
			break
		}
	}
	if tries == 100 {
		t.Error("it can be guessed at any pace by who finds a desk unlocked")
	}
	c.pass(longestWait)
	fresh, err := d.ChangePassword(one, hers, next, "b")
	sound(t, err)
	if x, ok := d.Session(fresh); !ok || x.Name != "Eva" || x.From != "b" {
		t.Errorf("%+v %v", x, ok)
	}
	for name, token := range map[string]string{"this": one, "other": other} {
		if _, ok := d.Session(token); ok {
			t.Errorf("%s login of hers goes on", name)
		}
	}
	if !owner(d, mine) {
		t.Error("the owner's login ended")
	}
	if _, err := d.Login("Eva", hers, "d"); !fault.Is(err, fault.Conflict) {
		t.Errorf("the old password: %v", err)
	}
	_, err = d.Login("Eva", next, "d")
	sound(t, err)

	mine, err = d.ChangePassword(mine, goodPassword, goodPassword+"!", "a")
	sound(t, err)
	if _, err := d.Login("", goodPassword+"!", "a"); err != nil || !owner(d, mine) {
		t.Errorf("the owner's own: %v", err)
	}
	trail, err := d.Trail(100)
	sound(t, err)
	if !slices.ContainsFunc(trail, func(e Event) bool {
		return e.What == HelperChanged && e.Role == RoleHelper && e.Name == "Eva" && e.About == "Eva"
	}) {
		t.Errorf("not in the trail: %+v", trail)
	}
}

// A name tells apart who wrote what, and who pairs a phone names it himself: he is
// not let take a name that is somebody else's, or was; his own he may.
func TestNobodyTakesAnothersName(t *testing.T) {
	d, c := newDoor(t, &Memory{})
	d.pairings = newThrottle(1000, time.Second)
	pair := func(name string, hands Hands) (Phone, error) {
		t.Helper()
		code, _, err := d.Offer(hands, Console())
		sound(t, err)
		_, p, err := d.Pair(code, name, "a")
		return p, err
	}
	add := func(name string) Helper {
		t.Helper()
		h, err := d.AddHelper(name, goodPassword, Console())
		sound(t, err)
		return h
	}
	eva, gus := add("Eva"), add("Gus")
	own, err := pair("Ann's phone", Hands{})
	sound(t, err)
	_, err = d.Revoke(own.ID, Console())
	sound(t, err)
	_, err = pair("Kitchen", Hands{})
	sound(t, err)
	_, err = d.RemoveHelper("Gus", Console())
	sound(t, err)
	for _, name := range []string{"Eva", "eva", "Gus", "Ann's phone", "ANN'S PHONE", "Kitchen"} {
		for who, hands := range map[string]Hands{"any helper": {Helper: true}, "another helper": {ID: add(c.t.Format("h150405")).ID}} {
			if _, err := pair(name, hands); !fault.Is(err, fault.Conflict) || fault.HintOf(err) == "" {
				t.Errorf("%s pairs a phone as %q: %v", who, name, err)
			}
			c.pass(time.Second)
		}
	}
	if _, err := pair("Eva", Hands{ID: eva.ID}); err != nil {
		t.Errorf("her own name: %v", err)
	}
	if _, err := pair("Ann's phone", Hands{}); err != nil {
		t.Errorf("the owner's phone come back: %v", err)
	}
	// Nor is a helper given a phone's name, but his own phone's.
	if _, err := d.AddHelper("kitchen", goodPassword, Console()); !fault.Is(err, fault.Conflict) {
		t.Errorf("a helper named as a phone: %v", err)
	}
	_, err = d.RemoveHelper("Eva", Console())
	sound(t, err)
	again := add("Eva") // her phone of last year stands in the way of nothing
	if again.ID == eva.ID || gus.ID == "" {
		t.Error("the same id")
	}
}
