package web

import (
	"context"
	"encoding/json"
	"errors"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode"

	"larder/internal/access"
	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// The talk between a phone and home. A phone keeps what was logged in the yard
// as entries with names of its own and sends them until each is acknowledged;
// home answers entry by entry. Sending twice, late or out of order is harmless.
const (
	// phoneProtocol goes up when older pages could no longer be understood; the
	// one before is understood too.
	phoneProtocol = 1
	// maxBatch is the most entries in one sending.
	maxBatch = 200
	// maxHave is the most ids a phone may ask about at once.
	maxHave = 5000
)

// Clocks nearer than this are taken for right; a clock further off than the
// second is told of. Figures of our own: phones set by their network are right
// to the second, and a sending takes a few.
const (
	skewIgnored = 2 * time.Minute
	skewTold    = 10 * time.Minute
)

// phoneKinds are the kinds of fact a phone in the yard may write.
var phoneKinds = map[string]bool{
	"given": true, "not-fed": true, "left": true, "taken": true, "reading": true, "look": true, "feeder": true, "end": true,
	"colony": true, "strike": true, "chore": true,
}

// lentKinds are the kinds of fact a helper may write, by whatever page or phone.
var lentKinds = map[string]bool{
	"given": true, "not-fed": true, "left": true, "taken": true, "reading": true, "look": true, "feeder": true, "end": true,
	"strike": true, "chore": true,
}

// phoneBatch is what a phone sends.
type phoneBatch struct {
	Protocol int          `json:"protocol"`
	Device   string       `json:"device"` // its own id
	Name     string       `json:"name"`   // what its owner calls it
	Now      string       `json:"now"`    // its clock as it sends
	Entries  []phoneEntry `json:"entries"`
}

// phoneEntry is one fact as it was logged.
type phoneEntry struct {
	ID       string          `json:"id"`
	Seq      int64           `json:"seq"`  // counts up on the phone
	Made     string          `json:"made"` // by the phone's clock
	Kind     string          `json:"kind"`
	Replaces string          `json:"replaces,omitempty"`
	Body     json.RawMessage `json:"body"`
}

// The answers to an entry.
const (
	entryStored  = "stored"  // written down now
	entryAlready = "already" // was written down before
	entryRefused = "refused" // cannot be; the phone keeps it for a person to look at
)

type phoneAnswer struct {
	ID   string `json:"id"`
	Is   string `json:"is"`
	Say  string `json:"say,omitempty"`
	Hint string `json:"hint,omitempty"`
}

// phoneReply is what every answer to a phone carries.
type phoneReply struct {
	Larder  int           `json:"larder"` // the protocol: tells ours from a stranger's page
	Epoch   string        `json:"epoch"`  // of this run of the program: when it changes, phones ask what is missing
	Now     string        `json:"now"`
	SkewS   int64         `json:"skew_s"` // how much the phone's clock is ahead
	Answers []phoneAnswer `json:"answers,omitempty"`
	Missing []string      `json:"missing,omitempty"`
	Codes   []string      `json:"codes,omitempty"` // read in a picture
	Say     string        `json:"say,omitempty"`   // why the whole was not taken
}

// phoneFacts takes a batch of entries.
func (s *Server) phoneFacts(w http.ResponseWriter, r *http.Request) {
	v := s.visitorOf(r)
	paired := v.phone != nil && v.fate == access.Paired
	if paired {
		if wait := s.options.Door.Sending(v.phone.ID); wait > 0 {
			s.holdBack(w, "POST /phone/facts", wait)
			return
		}
	}
	b, skew, ok := s.readBatch(w, r)
	if !ok {
		return
	}
	if paired { // it writes under the name it was paired by, whatever it calls itself
		b.Name = v.phone.Name
	}
	answers, err := s.takeEntries(r.Context(), b, skew, s.langOf())
	if err != nil {
		s.phoneRefuse(w, err, skew)
		return
	}
	s.phoneSay(w, http.StatusOK, phoneReply{Answers: answers, SkewS: int64(skew / time.Second)})
}

// readBatch reads what a phone sends; it answers itself when it cannot.
func (s *Server) readBatch(w http.ResponseWriter, r *http.Request) (b phoneBatch, skew time.Duration, ok bool) {
	if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "application/json" {
		s.phoneSay(w, http.StatusUnsupportedMediaType, phoneReply{Say: "entries come as application/json"})
		return b, 0, false
	}
	if err := json.NewDecoder(r.Body).Decode(&b); err != nil {
		code := http.StatusBadRequest
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			code = http.StatusRequestEntityTooLarge
		}
		s.phoneSay(w, code, phoneReply{Say: "this cannot be read"})
		return b, 0, false
	}
	skew = s.skewOf(b.Now)
	switch {
	case b.Protocol != phoneProtocol && b.Protocol != phoneProtocol-1:
		s.phoneSay(w, http.StatusConflict, phoneReply{Say: "this page is of another version of the program: open Round anew at home. Nothing is lost: the entries stay on the phone"})
		return b, 0, false
	case len(b.Entries) > maxBatch:
		s.phoneSay(w, http.StatusRequestEntityTooLarge, phoneReply{Say: "too many entries at once"})
		return b, 0, false
	}
	return b, skew, true
}

// skewOf tells by how much a phone's clock is ahead of ours; 0 when it is near
// enough or did not say.
func (s *Server) skewOf(now string) time.Duration {
	m, err := units.ParseMoment(now, time.UTC)
	if err != nil || m.DayOnly() {
		return 0
	}
	skew := m.Time().Sub(s.house.now())
	if skew.Abs() <= skewIgnored {
		return 0
	}
	return skew.Truncate(time.Second)
}

func (s *Server) phoneSay(w http.ResponseWriter, code int, a phoneReply) {
	if s.example { // the example stands on a day of its own: no phone is wrong about that
		a.SkewS = 0
	}
	a.Larder, a.Epoch, a.Now = phoneProtocol, s.epoch, s.house.now().UTC().Format("2006-01-02T15:04:05.000Z")
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(a) // the phone may have gone: it sends again
}

// phoneRefuse answers when the whole batch could not be taken: the phone keeps
// it and tries again.
func (s *Server) phoneRefuse(w http.ResponseWriter, err error, skew time.Duration) {
	code := statusOf(err)
	if code == http.StatusServiceUnavailable {
		w.Header().Set("Retry-After", "5")
	}
	say := "something went wrong inside; the entries stay on the phone"
	var e *fault.Error
	if errors.As(err, &e) && code != http.StatusInternalServerError {
		say = e.Error()
	} else {
		s.log.Error("phone", "err", err)
		code = http.StatusInternalServerError
	}
	s.phoneSay(w, code, phoneReply{Say: say, SkewS: int64(skew / time.Second)})
}

func (s *Server) langOf() (lang string) {
	s.house.view(func(st *season.State, _ units.Moment) { lang = st.Settings.Language })
	return lang
}

// takeEntries writes down what can be and answers entry by entry. An error is
// for the whole: nothing was written.
func (s *Server) takeEntries(ctx context.Context, b phoneBatch, skew time.Duration, lang string) ([]phoneAnswer, error) {
	by := deviceName(b.Name)
	if v := visitorIn(ctx); v.lent() { // under his own name, whatever a file says
		by = v.name()
	}
	if skew.Abs() > skewTold {
		by = clip(by, 40) + ", clock " + hoursOff(skew)
	}
	facts := make([]season.Fact, len(b.Entries))
	fates := make([]error, len(b.Entries))
	clock := s.phoneClock(skew)
	for i, e := range b.Entries {
		facts[i], fates[i] = e.fact(by, clock)
	}
	stored, err := s.house.takeEach(ctx, "phone", facts, fates)
	if err != nil {
		return nil, err
	}
	out := make([]phoneAnswer, len(b.Entries))
	for i, e := range b.Entries {
		a := phoneAnswer{ID: e.ID, Is: entryAlready}
		switch {
		case fates[i] != nil:
			a.Is, a.Say, a.Hint = entryRefused, "this cannot be written down", ""
			var f *fault.Error
			if errors.As(fates[i], &f) {
				a.Say = s.screens.texts.sentence(units.Style{Lang: lang}, f.Error(), nil)
				a.Hint = s.screens.texts.sentence(units.Style{Lang: lang}, f.Hint, nil)
			}
		case stored[i]:
			a.Is = entryStored
		}
		out[i] = a
	}
	return out, nil
}

// fact makes the fact of an entry.
func (e *phoneEntry) fact(by string, clock func(string) units.Moment) (season.Fact, error) {
	id, err := season.ParseID(e.ID)
	if err != nil {
		return season.Fact{}, err
	}
	f := season.Fact{ID: id, Seen: clock(e.Made), By: by}
	if f.Replaces, err = season.ParseID(e.Replaces); err != nil {
		return f, err
	}
	if !phoneKinds[e.Kind] {
		return f, fault.Newf(fault.NotUnderstood, "", "a phone cannot write down a fact of the kind %q", e.Kind)
	}
	if f.Body, err = season.DecodeBody(e.Kind, e.Body); err != nil {
		return f, err
	}
	return f, f.Check()
}

// phoneClock reads a phone's times and puts them right: less what its clock is
// ahead, never after our own present, to the minute. The day is that of the
// keeper's zone; while none is set, that of the phone.
func (s *Server) phoneClock(skew time.Duration) func(string) units.Moment {
	var zone *time.Location
	var now units.Moment
	s.house.view(func(st *season.State, at units.Moment) {
		now = at
		if st.Settings.Zone != "" && st.Settings.Zone != "UTC" {
			zone, _ = st.Settings.Location(time.LoadLocation)
		}
	})
	return func(made string) units.Moment {
		m, err := units.ParseMoment(made, time.UTC)
		if err != nil || m.DayOnly() {
			return now
		}
		t := m.Time().Add(-skew)
		if zone != nil {
			t = t.In(zone)
		}
		if t.After(now.Time()) || t.Year() < 1990 { // a clock set between logging and sending
			return now
		}
		return units.At(t.Truncate(time.Minute))
	}
}

// deviceName makes a name that can stand beside a fact.
func deviceName(name string) string {
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, name)
	if name = clip(strings.TrimSpace(name), 60); name == "" {
		return "phone"
	}
	return name
}

// clip shortens to n bytes without cutting a letter.
func clip(s string, n int) string {
	for i := range s {
		if i > n {
			return strings.TrimSpace(s[:lastRune(s, n)])
		}
	}
	if len(s) > n {
		return strings.TrimSpace(s[:lastRune(s, n)])
	}
	return s
}

func lastRune(s string, n int) int {
	last := 0
	for i := range s {
		if i > n {
			break
		}
		last = i
	}
	return last
}

// hoursOff writes how far a clock is off, "+2 h", "-17520 h", "+15 min".
func hoursOff(d time.Duration) string {
	sign := "+"
	if d < 0 {
		sign, d = "-", -d
	}
	if d < time.Hour {
		return sign + strconv.Itoa(int(d.Round(time.Minute)/time.Minute)) + " min"
	}
	return sign + strconv.Itoa(int(d.Round(time.Hour)/time.Hour)) + " h"
}

// phoneHave tells a phone which of its receipts home does not have: after a
// restore those are sent again.
func (s *Server) phoneHave(w http.ResponseWriter, r *http.Request) {
	var ask struct {
		IDs []string `json:"ids"`
	}
	if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "application/json" {
		s.phoneSay(w, http.StatusUnsupportedMediaType, phoneReply{Say: "ids come as application/json"})
		return
	}
	if err := json.NewDecoder(r.Body).Decode(&ask); err != nil || len(ask.IDs) > maxHave {
		s.phoneSay(w, http.StatusBadRequest, phoneReply{Say: "this cannot be read"})
		return
	}
	a := phoneReply{}
	s.house.mu.Lock()
	for _, text := range ask.IDs {
		id, err := season.ParseID(text)
		if err != nil {
			continue
		}
		if _, ok := s.house.journal.Fact(id); !ok {
			a.Missing = append(a.Missing, text)
		}
	}
	s.house.mu.Unlock()
	s.phoneSay(w, http.StatusOK, a)
}

// takeEach writes down the facts whose fate is still open, all in one go, and
// tells which were new. Those that cannot be get their fate; an error means that
// nothing was written.
func (h *house) takeEach(ctx context.Context, says string, facts []season.Fact, fates []error) ([]bool, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	stored := make([]bool, len(facts))
	in := map[season.ID]*season.Fact{}
	placed := map[string]bool{}
	var good []season.Fact
	v, with := visitorIn(ctx), idsOf(facts)
	for i := range facts {
		f := &facts[i]
		if fates[i] == nil && v.lent() {
			fates[i] = h.lentMay(v, f, with)
		}
		if fates[i] != nil {
			continue
		}
		old := in[f.ID]
		if o, ok := h.journal.Fact(f.ID); ok {
			old = &o
		}
		switch {
		case old != nil && !sameEntry(old, f):
			fates[i] = fault.New(fault.Conflict, f.ID.String(), "something else is already written down under this name").
				WithHint("look at Given and taken, and log it once more if it is missing")
		case old != nil:
		case h.placedBefore(f, placed):
			fates[i] = fault.Newf(fault.Conflict, f.Body.(apiary.Placed).Colony.ID, "there is a hive of this name already").
				WithHint("nothing is lost: what was given to it is written down under that name. If it is another hive, add it at home under a name of its own")
		default:
			in[f.ID] = f
			good = append(good, *f)
			stored[i] = true
		}
	}
	_, err := h.appendLocked(ctx, says, good)
	return stored, err
}

func idsOf(facts []season.Fact) map[season.ID]bool {
	ids := map[season.ID]bool{}
	for i := range facts {
		ids[facts[i].ID] = true
	}
	return ids
}

// lentMay tells, as a fault, why a helper may not write a fact down; with are
// those that come with it. mu is held.
func (h *house) lentMay(v *visitor, f *season.Fact, with map[season.ID]bool) error {
	if !lentKinds[f.Kind()] {
		return &notYours{fault.New(fault.Unsafe, "", "a helper writes down rounds, readings and looks; this is the owner's").WithHint("ask the owner; he can do it")}
	}
	of := f.Replaces
	if x, ok := f.Body.(season.Strike); ok {
		of = x.Fact
	}
	if of.IsZero() {
		return nil
	}
	if was, ok := h.journal.Fact(of); ok {
		return v.mayTakeBack(was)
	}
	if with[of] {
		return nil
	}
	return v.mayTakeBack(season.Fact{}) // not known here: it may be another's
}

// placedBefore tells whether a fact would put a hive of a known name anew: from
// a yard that is always a slip.
func (h *house) placedBefore(f *season.Fact, placed map[string]bool) bool {
	p, ok := f.Body.(apiary.Placed)
	if !ok {
		return false
	}
	if c, known := h.journal.Now().Colony(p.Colony.ID); known && c.Told || placed[p.Colony.ID] {
		return true
	}
	placed[p.Colony.ID] = true
	return false
}

// sameEntry tells whether two facts say the same; when and by whom may differ,
// since a phone's clock is put right anew at each sending.
func sameEntry(a, b *season.Fact) bool {
	x, y := *a, *b
	x.Seen, x.Made, x.By = y.Seen, y.Made, y.By
	return season.Same(&x, &y)
}
