package web

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// say sends a phone's batch and gives the answer.
func (s *site) say(path string, batch any) (int, phoneReply) {
	s.t.Helper()
	raw, err := json.Marshal(batch)
	if err != nil {
		s.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(string(raw)))
	r.Header.Set("Content-Type", "application/json")
	a := s.do(r)
	var reply phoneReply
	if err := json.Unmarshal([]byte(a.Body), &reply); err != nil {
		s.t.Fatalf("%d %q: %v", a.Code, a.Body, err)
	}
	return a.Code, reply
}

func entry(n int, made, kind, body string) phoneEntry {
	return phoneEntry{ID: booktest.ID(5000 + n).String(), Seq: int64(n), Made: made, Kind: kind, Body: json.RawMessage(body)}
}

const madeNow = "2026-09-04T09:58:31.250+00:00"

func batch(entries ...phoneEntry) phoneBatch {
	return phoneBatch{Protocol: 1, Device: "d", Name: "Ann's phone", Now: smallNow.Format(time.RFC3339), Entries: entries}
}

func is(a phoneReply) []string {
	var out []string
	for _, x := range a.Answers {
		out = append(out, x.Is)
	}
	return out
}

const gave = `{"colony":"m1","feed":"syrup","volume":"2 L","plan":"p/1"}`

func TestPhoneAnswersEntryByEntry(t *testing.T) {
	s := newSmallSite(t)
	b := batch(
		entry(1, madeNow, "given", gave),
		entry(2, madeNow, "given", `{"colony":"m1","feed":"syrup","volume":"a lot"}`),
		entry(3, madeNow, "setting", `{"key":"house.units","value":"uk"}`),
		entry(4, madeNow, "left", `{"colony":"m2","volume":"0 L"}`),
		entry(5, madeNow, "nonsense", `{}`),
		phoneEntry{ID: "what", Made: madeNow, Kind: "left", Body: json.RawMessage(`{"colony":"m2","volume":"0 L"}`)},
		entry(6, madeNow, "colony", `{"colony":{"id":"m1","yard":"hill"}}`),
		entry(7, madeNow, "colony", `{"colony":{"id":"new one","yard":"hill","kind":"full"}}`),
	)
	code, a := s.say("/phone/facts", b)
	want := []string{"stored", "refused", "refused", "stored", "refused", "refused", "refused", "stored"}
	if code != 200 || !slices.Equal(is(a), want) || a.Larder != 1 || a.Epoch == "" {
		t.Fatalf("%d %v, want %v", code, is(a), want)
	}
	for i, x := range a.Answers {
		if x.ID != b.Entries[i].ID || x.Is == "refused" && x.Say == "" {
			t.Errorf("answer %d: %+v", i, x)
		}
	}
	facts := kept(t, s)
	if len(facts) != 3 {
		t.Fatalf("%d facts: %+v", len(facts), facts)
	}
	g := facts[0]
	if g.Seen.String() != "2026-09-04T09:58Z" || g.By != "Ann's phone" || g.Body.(ledger.Given).Volume.Q != 2 {
		t.Errorf("%v by %q: %+v", g.Seen, g.By, g.Body)
	}
	// Sent again, in another order, half an hour later by a clock that was set: all
	// there. The same name with other content is refused, and the first stands.
	again := batch(b.Entries[3], b.Entries[0], entry(1, madeNow, "given", strings.Replace(gave, "2 L", "3 L", 1)))
	again.Now = smallNow.Add(31 * time.Minute).Format(time.RFC3339)
	if _, a := s.say("/phone/facts", again); !slices.Equal(is(a), []string{"already", "already", "refused"}) || a.SkewS != 31*60 {
		t.Errorf("again: %v, skew %d", is(a), a.SkewS)
	}
	if n := len(kept(t, s)); n != 3 {
		t.Errorf("%d facts after the second sending", n)
	}
	// Twice within one sending.
	if _, a := s.say("/phone/facts", batch(entry(8, madeNow, "given", gave), entry(8, madeNow, "given", gave))); !slices.Equal(is(a), []string{"stored", "already"}) {
		t.Errorf("twice in one: %v", is(a))
	}
}

// kept gives the facts that came from phones, by id.
func kept(t *testing.T, s *site) []season.Fact {
	t.Helper()
	all, err := s.book.Facts(t.Context(), units.Moment{})
	if err != nil {
		t.Fatal(err)
	}
	all = slices.DeleteFunc(all, func(f season.Fact) bool { return f.By == "" })
	slices.SortFunc(all, func(a, b season.Fact) int { return a.ID.Compare(b.ID) })
	return all
}

func TestPhoneClocks(t *testing.T) {
	for _, c := range []struct {
		name, now, made, seen, by string
	}{
		{"right", "2026-09-04T10:00:30Z", "2026-09-04T09:30:40Z", "2026-09-04T09:30Z", "phone"},
		{"two years ahead", "2028-09-04T10:00:00Z", "2028-09-04T09:30:00Z", "2026-09-04T09:30Z", "phone, clock +17544 h"},
		{"two years behind", "2024-09-04T10:00:00Z", "2024-09-04T09:30:00Z", "2026-09-04T09:30Z", "phone, clock -17520 h"},
		{"an hour, in another zone", "2026-09-04T07:00:00-04:00", "2026-09-04T06:30:00-04:00", "2026-09-04T05:30-04:00", "phone, clock +1 h"},
		{"the first second of all", "1970-01-01T00:00:10Z", "1970-01-01T00:00:00Z", "2026-09-04T10:00Z", "phone, clock -496810 h"},
		{"set back between", "2026-09-04T10:00:00Z", "2026-09-05T10:00:00Z", "2026-09-04T10:00Z", "phone"},
		{"29 February", "2028-02-29T10:00:00Z", "2028-02-29T09:00:00Z", "2026-09-04T09:00Z", "phone, clock +13032 h"},
		{"past the last second of 32 bits", "2038-01-19T03:14:09Z", "2038-01-19T03:14:00Z", "2026-09-04T09:59Z", "phone, clock +99713 h"},
		{"says nothing", "", "", "2026-09-04T10:00Z", "phone"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSmallSite(t)
			b := batch(entry(1, c.made, "given", gave))
			b.Now, b.Name = c.now, " "
			if _, a := s.say("/phone/facts", b); !slices.Equal(is(a), []string{"stored"}) {
				t.Fatalf("%+v", a)
			}
			if f := kept(t, s); len(f) != 1 || f[0].Seen.String() != c.seen || f[0].By != c.by {
				t.Errorf("%v by %q, want %s by %q", f[0].Seen, f[0].By, c.seen, c.by)
			}
		})
	}
}

func TestPhoneRefusesTheWhole(t *testing.T) {
	s := newSmallSite(t)
	raw := func(kind, body string) int {
		r := httptest.NewRequest(http.MethodPost, "/phone/facts", strings.NewReader(body))
		r.Header.Set("Content-Type", kind)
		return s.do(r).Code
	}
	if c := raw("text/plain", "{}"); c != http.StatusUnsupportedMediaType {
		t.Errorf("text: %d", c)
	}
	if c := raw("application/json", "{"); c != http.StatusBadRequest {
		t.Errorf("half an object: %d", c)
	}
	if c := raw("application/json", `{"name":"`+strings.Repeat("x", maxForm)+`"}`); c != http.StatusRequestEntityTooLarge {
		t.Errorf("too much: %d", c)
	}
	old := batch(entry(1, madeNow, "given", gave))
	old.Protocol = 7
	if c, a := s.say("/phone/facts", old); c != http.StatusConflict || a.Say == "" || a.Larder != 1 {
		t.Errorf("another version: %d %+v", c, a)
	}
	old.Entries, old.Protocol = nil, phoneProtocol-1 // a page that was open when the program was replaced
	if c, a := s.say("/phone/facts", old); c != http.StatusOK || a.Larder != phoneProtocol {
		t.Errorf("the version before: %d %+v", c, a)
	}
	var many []phoneEntry
	for i := range maxBatch + 1 {
		many = append(many, entry(i+1, madeNow, "given", gave))
	}
	if c, _ := s.say("/phone/facts", batch(many...)); c != http.StatusRequestEntityTooLarge {
		t.Errorf("too many: %d", c)
	}
	if n := len(kept(t, s)); n != 0 {
		t.Errorf("%d facts", n)
	}
}

// After a restore a phone asks what home lacks.
func TestPhoneHave(t *testing.T) {
	s := newSmallSite(t)
	s.say("/phone/facts", batch(entry(1, madeNow, "given", gave)))
	there, gone := booktest.ID(5001).String(), booktest.ID(5002).String()
	if _, a := s.say("/phone/have", map[string]any{"ids": []string{there, gone, "what"}}); !slices.Equal(a.Missing, []string{gone}) {
		t.Errorf("missing: %v", a.Missing)
	}
}

func TestPhoneFile(t *testing.T) {
	s := newSmallSite(t)
	b := batch(entry(1, "2026-09-04T09:30:00Z", "given", gave), entry(2, madeNow, "look", `{"colony":5}`))
	raw, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	send := func(codes string) *answer {
		body := "--x\r\nContent-Disposition: form-data; name=\"codes\"\r\n\r\n" + codes + "\r\n--x--\r\n"
		r := httptest.NewRequest(http.MethodPost, "/phone/file", strings.NewReader(body))
		r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
		return s.do(r)
	}
	s.get("/phone/file")
	if a := send(""); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("nothing: %d", a.Code)
	}
	a := send(string(raw))
	a.has("1 entries written down, 0 were there already", "this fact cannot be read")
	// As a run of codes, mixed up, one twice: there already.
	text := base64.RawURLEncoding.EncodeToString(raw)
	var lines []string
	const piece = 50
	of := (len(text) + piece - 1) / piece
	for i := 0; i < of; i++ {
		lines = append(lines, fmt.Sprintf("LARDER %d/%d %s", i+1, of, text[i*piece:min((i+1)*piece, len(text))]))
	}
	slices.Reverse(lines)
	send(strings.Join(append(lines, lines[0]), "\n")).has("0 entries written down, 1 were there already")
	// One is missing: it says which, and keeps the others for when that is read.
	if a := send(strings.Join(lines[1:], "\n")); a.Code != http.StatusOK || !strings.Contains(a.field("codes"), lines[2]) {
		t.Errorf("a code is missing: %d", a.Code)
	} else {
		a.has(fmt.Sprintf("Still missing: %d.", of))
	}
	if a := send(lines[0] + "\n" + lines[0] + "x"); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("one code that says two things: %d", a.Code)
	}
	if a := send("HELLO"); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("no code: %d", a.Code)
	}
	if f := kept(t, s); len(f) != 1 || f[0].Seen.String() != "2026-09-04T09:30Z" {
		t.Errorf("%+v", f)
	}
}

func FuzzPhoneBatch(f *testing.F) {
	good, _ := json.Marshal(batch(entry(1, madeNow, "given", gave)))
	for _, s := range []string{string(good), `{}`, `{"protocol":1,"entries":[{}]}`, `{"protocol":1,"entries":[{"id":"0198f2a4-5b6c-7d8e-9f00-112233445566","made":"9999-99-99","kind":"strike","body":{"fact":null}}]}`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s := newSmallSite(t)
		r := httptest.NewRequest(http.MethodPost, "/phone/facts", strings.NewReader(text))
		r.Header.Set("Content-Type", "application/json")
		a := s.do(r)
		if a.Code == http.StatusInternalServerError {
			t.Errorf("%q: %s", text, a.Body)
		}
		for _, x := range kept(t, s) {
			if err := x.Check(); err != nil {
				t.Errorf("%q kept %v", text, err)
			}
		}
	})
}
