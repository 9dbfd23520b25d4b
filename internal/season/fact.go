package season

import (
	"bytes"
	"encoding/json"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// Fact is one thing that was seen, given, left, mixed, bought, moved, set or
// taken out. Facts are only ever added. A correction is a later fact that
// Replaces an earlier one; a [Strike] takes one out of force. Both stay
// readable.
//
// The order of truth is Seen, then ID. What was believed at some past moment
// is what had been both seen and made by then.
type Fact struct {
	ID       ID
	Seen     units.Moment // when it was so, in the yard's local time
	Made     units.Moment // when it was written down; zero = at Seen
	By       string       // who, or which phone; may be empty
	Replaces ID           // the fact this one corrects, or none
	Body     any          // one of the types in [Kinds]
}

// WrittenAt gives Made, or Seen if that was not noted.
func (f *Fact) WrittenAt() units.Moment {
	if f.Made.IsZero() {
		return f.Seen
	}
	return f.Made
}

// Strike takes a fact out of force: it stays readable, nothing counts it. A
// Strike can itself be struck, which is how undo is undone.
type Strike struct {
	Fact ID     `json:"fact,omitzero"`
	Why  string `json:"why,omitzero"`
}

// Setting is a value the keeper chose, by name: the rig, the kitchen, prices,
// units, own figures. See [SettingKeys]. An empty Value takes the setting back.
type Setting struct {
	Key   string `json:"key,omitzero"`
	Value string `json:"value,omitzero"`
}

// Road is the way between two places as the keeper knows it. Places are yard
// ids; "" is home. It holds both ways unless the other way is told too.
type Road struct {
	From string         `json:"from,omitzero"`
	To   string         `json:"to,omitzero"`
	Dist units.Length   `json:"dist,omitzero"`
	Time units.Duration `json:"time,omitzero"`
}

// PlanOut is a plan taken out to the yard: frozen with the figures it used.
type PlanOut struct {
	Plan    string          `json:"plan,omitzero"`    // its id, referred to by Given.Plan
	Content json.RawMessage `json:"content,omitzero"` // the plan as `larder plan --json` wrote it
}

// kind says how a type of fact is called, made, checked and filed.
type kind struct {
	name    string
	decode  func([]byte) (any, error)
	matches func(any) bool
	check   func(any) error
	about   func(any) []Subject
}

func kindFor[B any](name string, about func(B) []Subject, check func(B) error) kind {
	return kind{
		name: name,
		decode: func(b []byte) (any, error) {
			var v B
			d := json.NewDecoder(bytes.NewReader(b))
			d.DisallowUnknownFields()
			if err := d.Decode(&v); err != nil {
				return nil, err
			}
			if d.More() {
				return nil, fault.New(fault.Damaged, name, "something follows the fact")
			}
			return v, nil
		},
		matches: func(v any) bool { _, ok := v.(B); return ok },
		check:   func(v any) error { return check(v.(B)) },
		about:   func(v any) []Subject { return about(v.(B)) },
	}
}

// Subject is what a fact is about: the state of a subject follows from the
// facts about it and nothing else.
type Subject struct {
	Sort string // "colony", "yard", "station", "setting", "road", "batch", "purchase", "plan", "strike"
	Name string
}

func colony(id string) Subject { return Subject{"colony", id} }

// kinds is the closed list. Names are stored in books and folders: they never
// change.
var kinds = []kind{
	kindFor("yard", func(b apiary.Yard) []Subject { return []Subject{{"yard", b.ID}} }, checkYard),
	kindFor("colony", func(b apiary.Placed) []Subject { return []Subject{colony(b.Colony.ID)} }, checkPlaced),
	kindFor("move", func(b apiary.Moved) []Subject { return []Subject{colony(b.Colony)} }, checkMoved),
	kindFor("stack", func(b apiary.Restacked) []Subject { return []Subject{colony(b.Colony)} }, func(b apiary.Restacked) error { return needName("colony", b.Colony) }),
	kindFor("feeder", func(b apiary.FeederSet) []Subject { return []Subject{colony(b.Colony)} }, func(b apiary.FeederSet) error {
		return first(needName("colony", b.Colony), notNegative("feeder volume", b.Volume.L()))
	}),
	kindFor("unite", func(b apiary.United) []Subject { return []Subject{colony(b.From), colony(b.Into)} }, checkUnited),
	kindFor("split", func(b apiary.Split) []Subject { return []Subject{colony(b.From), colony(b.New.ID)} }, checkSplit),
	kindFor("end", func(b apiary.Ended) []Subject { return []Subject{colony(b.Colony)} }, checkEnded),
	kindFor("look", func(b apiary.Look) []Subject { return []Subject{colony(b.Colony)} }, checkLook),
	kindFor("reading", func(b stores.Reading) []Subject { return []Subject{colony(b.Colony)} }, checkReading),
	kindFor("given", aboutGiven, checkGiven),
	kindFor("not-fed", func(b ledger.NotFed) []Subject { return []Subject{colony(b.Colony)} }, func(b ledger.NotFed) error { return needName("colony", b.Colony) }),
	kindFor("left", func(b ledger.Left) []Subject { return []Subject{colony(b.Colony)} }, func(b ledger.Left) error {
		return first(needName("colony", b.Colony), notNegative("left", b.Volume.Q.L()))
	}),
	kindFor("taken", func(b ledger.Taken) []Subject { return []Subject{colony(b.Colony)} }, func(b ledger.Taken) error {
		return first(needName("colony", b.Colony), notNegative("taken", b.Volume.Q.L()))
	}),
	kindFor("batch", func(b ledger.Batch) []Subject { return []Subject{{"batch", b.ID}} }, checkBatch),
	kindFor("purchase", func(b ledger.Purchase) []Subject { return []Subject{{"purchase", b.Item}} }, checkPurchase),
	kindFor("weather", func(b weather.Day) []Subject { return []Subject{{"station", b.Station}} }, checkWeather),
	kindFor("road", func(b Road) []Subject { return []Subject{{"road", b.From + "\x00" + b.To}} }, checkRoad),
	kindFor("setting", func(b Setting) []Subject { return []Subject{{"setting", b.Key}} }, checkSetting),
	kindFor("plan", func(b PlanOut) []Subject { return []Subject{{"plan", b.Plan}} }, func(b PlanOut) error { return needName("plan", b.Plan) }),
	kindFor("strike", func(b Strike) []Subject { return []Subject{{"strike", b.Fact.String()}} }, func(b Strike) error {
		if b.Fact.IsZero() {
			return fault.New(fault.Missing, "strike", "it does not say which fact is struck")
		}
		return nil
	}),
}

func aboutGiven(b ledger.Given) []Subject {
	if b.From != "" && b.From != b.Colony {
		return []Subject{colony(b.Colony), colony(b.From)}
	}
	return []Subject{colony(b.Colony)}
}

var kindByName = func() map[string]*kind {
	m := make(map[string]*kind, len(kinds))
	for i := range kinds {
		m[kinds[i].name] = &kinds[i]
	}
	return m
}()

// Kinds lists the names of all kinds of fact, in the order of the manual.
func Kinds() []string {
	out := make([]string, len(kinds))
	for i, k := range kinds {
		out[i] = k.name
	}
	return out
}

func kindOfBody(body any) *kind {
	for i := range kinds {
		if kinds[i].matches(body) {
			return &kinds[i]
		}
	}
	return nil
}

// Kind gives the name of the fact's kind, "" for a body that is none of ours.
func (f *Fact) Kind() string {
	if k := kindOfBody(f.Body); k != nil {
		return k.name
	}
	return ""
}

// About gives the subjects of the fact.
func (f *Fact) About() []Subject {
	if k := kindOfBody(f.Body); k != nil {
		return k.about(f.Body)
	}
	return nil
}

// Check tells whether the fact may be kept. It looks at the fact alone, not at
// others: a reading of a colony nobody has told us of is kept, and asked about
// later.
func (f *Fact) Check() error {
	k := kindOfBody(f.Body)
	switch {
	case k == nil:
		return &fault.Error{Kind: fault.Internal, Op: "season.Check", Say: "this is not a fact"}
	case f.ID.IsZero():
		return fault.New(fault.Missing, k.name, "the fact has no id")
	case f.Seen.IsZero():
		return fault.New(fault.Missing, k.name, "it is not said when this was").WithHint("give the day, for example 2026-10-03")
	case f.Replaces == f.ID:
		return fault.New(fault.Conflict, k.name, "a fact cannot correct itself")
	}
	if k.name == "strike" && f.Body.(Strike).Fact == f.ID {
		return fault.New(fault.Conflict, k.name, "a strike cannot strike itself")
	}
	return k.check(f.Body)
}

// wire is the stored form of a fact: JSON, one object, quantities as text in
// the unit they were entered in. Documented in the manual ("The book").
type wire struct {
	ID       ID              `json:"id"`
	Kind     string          `json:"kind"`
	Seen     units.Moment    `json:"seen"`
	Made     units.Moment    `json:"made,omitzero"`
	By       string          `json:"by,omitzero"`
	Replaces ID              `json:"replaces,omitzero"`
	Body     json.RawMessage `json:"body"`
}

// EncodeBody writes the body of a fact as JSON.
func EncodeBody(f *Fact) ([]byte, error) { return json.Marshal(f.Body) }

// DecodeBody reads the body of a fact of the named kind.
func DecodeBody(kindName string, b []byte) (any, error) {
	k := kindByName[kindName]
	if k == nil {
		return nil, fault.Newf(fault.Damaged, kindName, "there is no such kind of fact").
			WithHint("it may come from a newer larder")
	}
	v, err := k.decode(b)
	if err != nil {
		return nil, &fault.Error{Kind: fault.Damaged, Thing: kindName, Say: "this fact cannot be read", Err: err}
	}
	return v, nil
}

// MarshalJSON writes the whole fact.
func (f Fact) MarshalJSON() ([]byte, error) {
	body, err := EncodeBody(&f)
	if err != nil {
		return nil, err
	}
	return json.Marshal(wire{ID: f.ID, Kind: f.Kind(), Seen: f.Seen, Made: f.Made, By: f.By, Replaces: f.Replaces, Body: body})
}

// UnmarshalJSON reads what MarshalJSON writes and checks it.
func (f *Fact) UnmarshalJSON(b []byte) error {
	var w wire
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&w); err != nil {
		return &fault.Error{Kind: fault.Damaged, Thing: "fact", Say: "this fact cannot be read", Err: err}
	}
	body, err := DecodeBody(w.Kind, w.Body)
	if err != nil {
		return err
	}
	g := Fact{ID: w.ID, Seen: w.Seen, Made: w.Made, By: w.By, Replaces: w.Replaces, Body: body}
	if err := g.Check(); err != nil {
		return err
	}
	*f = g
	return nil
}
