package season

import (
	"bytes"
	"encoding/json"
	"io"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/supplement"
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
	name   string
	decode func([]byte) (any, error)
	check  func(any) error
	about  func(v any, to []Subject) []Subject // appends, so that filing allocates nothing
}

// one makes a kind whose facts are about one subject.
func one[B any](name string, about func(B) Subject, check func(B) error) *kind {
	return several(name, func(b B, to []Subject) []Subject { return append(to, about(b)) }, check)
}

func several[B any](name string, about func(B, []Subject) []Subject, check func(B) error) *kind {
	return &kind{
		name: name,
		decode: func(b []byte) (any, error) {
			var v B
			d := json.NewDecoder(bytes.NewReader(b))
			d.DisallowUnknownFields()
			if err := d.Decode(&v); err != nil {
				return nil, err
			}
			if _, err := d.Token(); err != io.EOF {
				return nil, fault.New(fault.Damaged, name, "something follows the fact")
			}
			return v, nil
		},
		check: func(v any) error { return check(v.(B)) },
		about: func(v any, to []Subject) []Subject { return about(v.(B), to) },
	}
}

// Subject is what a fact is about: the state of a subject follows from the
// facts about it and nothing else.
type Subject struct {
	Sort string // "colony", "yard", "station", "setting", "road", "batch", "purchase", "product", "truck", "workday", "feedable", "source", "plan", "strike"
	Name string
}

func colony(id string) Subject { return Subject{"colony", id} }

// kinds is the closed list. Names are stored in books and folders: they never
// change.
var (
	yardKind   = one("yard", func(b apiary.Yard) Subject { return Subject{"yard", b.ID} }, checkYard)
	colonyKind = one("colony", func(b apiary.Placed) Subject { return colony(b.Colony.ID) }, checkPlaced)
	moveKind   = one("move", func(b apiary.Moved) Subject { return colony(b.Colony) }, checkMoved)
	stackKind  = one("stack", func(b apiary.Restacked) Subject { return colony(b.Colony) }, func(b apiary.Restacked) error { return needName("colony", b.Colony) })
	feederKind = one("feeder", func(b apiary.FeederSet) Subject { return colony(b.Colony) }, func(b apiary.FeederSet) error {
		return first(needName("colony", b.Colony), notNegative("feeder volume", b.Volume.L()))
	})
	uniteKind   = several("unite", func(b apiary.United, to []Subject) []Subject { return append(to, colony(b.From), colony(b.Into)) }, checkUnited)
	splitKind   = several("split", func(b apiary.Split, to []Subject) []Subject { return append(to, colony(b.From), colony(b.New.ID)) }, checkSplit)
	endKind     = one("end", func(b apiary.Ended) Subject { return colony(b.Colony) }, checkEnded)
	lookKind    = one("look", func(b apiary.Look) Subject { return colony(b.Colony) }, checkLook)
	readingKind = one("reading", func(b stores.Reading) Subject { return colony(b.Colony) }, checkReading)
	givenKind   = several("given", aboutGiven, checkGiven)
	notFedKind  = one("not-fed", func(b ledger.NotFed) Subject { return colony(b.Colony) }, func(b ledger.NotFed) error { return needName("colony", b.Colony) })
	leftKind    = one("left", func(b ledger.Left) Subject { return colony(b.Colony) }, func(b ledger.Left) error {
		return first(needName("colony", b.Colony), needAmount("left", b.Volume.IsZero()), notNegative("left", b.Volume.Q.L()))
	})
	takenKind = one("taken", func(b ledger.Taken) Subject { return colony(b.Colony) }, func(b ledger.Taken) error {
		return first(needName("colony", b.Colony), needAmount("taken", b.Volume.IsZero()), notNegative("taken", b.Volume.Q.L()))
	})
	batchKind    = one("batch", func(b ledger.Batch) Subject { return Subject{"batch", b.ID} }, checkBatch)
	purchaseKind = one("purchase", func(b ledger.Purchase) Subject { return Subject{"purchase", b.Item} }, checkPurchase)
	stockKind    = one("stock", aboutHandled, checkHandled)
	labelKind    = one("label", func(b supplement.Label) Subject { return Subject{"product", b.Product} }, checkLabel)
	spoonKind    = one("spoon", func(b supplement.Weighing) Subject { return Subject{"product", b.Product} }, checkWeighing)
	weatherKind  = one("weather", func(b weather.Day) Subject { return Subject{"station", b.Station} }, checkWeather)
	stationKind  = one("station", func(b weather.Station) Subject { return Subject{"station", b.ID} }, checkStation)
	roadKind     = one("road", func(b Road) Subject { return Subject{"road", b.From + "\x00" + b.To} }, checkRoad)
	settingKind  = one("setting", func(b Setting) Subject { return Subject{"setting", b.Key} }, checkSetting)
	choreKind    = one("chore", func(b apiary.Chore) Subject { return Subject{"yard", b.Yard} }, checkChore)
	agreedKind   = several("agreed", func(b ledger.Agreed, to []Subject) []Subject { return append(to, colony(b.Colony), colony(b.From)) }, checkAgreed)
	truckKind    = one("truck", func(b Truck) Subject { return Subject{"truck", b.Name} }, checkTruck)
	workdayKind  = one("workday", func(b WorkingDay) Subject { return Subject{"workday", b.Day.String()} }, checkWorkingDay)
	feedableKind = one("feedable", func(b Feedable) Subject { return Subject{"feedable", feedableKey(b.Yard, b.Day)} }, checkFeedable)
	needKind     = one("need", func(b Need) Subject { return colony(b.Colony) }, checkNeed)
	sourceKind   = one("source", func(b Source) Subject { return Subject{"source", b.Place} }, checkSource)
	planKind     = one("plan", func(b PlanOut) Subject { return Subject{"plan", b.Plan} }, func(b PlanOut) error { return needName("plan", b.Plan) })
	strikeKind   = one("strike", func(b Strike) Subject { return Subject{"strike", b.Fact.String()} }, func(b Strike) error {
		if b.Fact.IsZero() {
			return fault.New(fault.Missing, "strike", "it does not say which fact is struck")
		}
		return nil
	})
)

var kinds = []*kind{
	yardKind, colonyKind, moveKind, stackKind, feederKind, uniteKind, splitKind, endKind, lookKind, readingKind, givenKind,
	notFedKind, leftKind, takenKind, batchKind, purchaseKind, weatherKind, roadKind, settingKind, planKind, strikeKind,
	choreKind, stockKind, labelKind, spoonKind, stationKind, agreedKind, truckKind, workdayKind, feedableKind, needKind, sourceKind,
}

// kindOfBody gives the kind of a body, nil for one that is none of ours. It is
// asked for every fact several times, hence no search.
func kindOfBody(body any) *kind {
	switch body.(type) {
	case apiary.Yard:
		return yardKind
	case apiary.Placed:
		return colonyKind
	case apiary.Moved:
		return moveKind
	case apiary.Restacked:
		return stackKind
	case apiary.FeederSet:
		return feederKind
	case apiary.United:
		return uniteKind
	case apiary.Split:
		return splitKind
	case apiary.Ended:
		return endKind
	case apiary.Look:
		return lookKind
	case stores.Reading:
		return readingKind
	case ledger.Given:
		return givenKind
	case ledger.NotFed:
		return notFedKind
	case ledger.Left:
		return leftKind
	case ledger.Taken:
		return takenKind
	case ledger.Batch:
		return batchKind
	case ledger.Purchase:
		return purchaseKind
	case weather.Day:
		return weatherKind
	case weather.Station:
		return stationKind
	case Road:
		return roadKind
	case Setting:
		return settingKind
	case Truck:
		return truckKind
	case WorkingDay:
		return workdayKind
	case Feedable:
		return feedableKind
	case Need:
		return needKind
	case Source:
		return sourceKind
	case PlanOut:
		return planKind
	case Strike:
		return strikeKind
	case apiary.Chore:
		return choreKind
	case ledger.Agreed:
		return agreedKind
	case ledger.Handled:
		return stockKind
	case supplement.Label:
		return labelKind
	case supplement.Weighing:
		return spoonKind
	}
	return nil
}

func aboutGiven(b ledger.Given, to []Subject) []Subject {
	if b.From != "" && b.From != b.Colony {
		return append(to, colony(b.Colony), colony(b.From))
	}
	return append(to, colony(b.Colony))
}

// aboutHandled files what was done in the shed with what was bought of the item,
// or with the batch.
func aboutHandled(b ledger.Handled) Subject {
	if b.Batch != "" {
		return Subject{"batch", b.Batch}
	}
	return Subject{"purchase", b.Item}
}

var kindByName = func() map[string]*kind {
	m := make(map[string]*kind, len(kinds))
	for _, k := range kinds {
		m[k.name] = k
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

// Kind gives the name of the fact's kind, "" for a body that is none of ours.
func (f *Fact) Kind() string {
	if k := kindOfBody(f.Body); k != nil {
		return k.name
	}
	return ""
}

// About gives the subjects of the fact.
func (f *Fact) About() []Subject { return f.appendAbout(nil) }

func (f *Fact) appendAbout(to []Subject) []Subject {
	if k := kindOfBody(f.Body); k != nil {
		return k.about(f.Body, to)
	}
	return to
}

// KnownAt tells whether the fact had been both seen and written down by asOf;
// the zero Moment knows everything.
func (f *Fact) KnownAt(asOf units.Moment) bool {
	return asOf.IsZero() || asOf.Covers(f.Seen) && asOf.Covers(f.WrittenAt())
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
	case k == strikeKind && f.Body.(Strike).Fact == f.ID:
		return fault.New(fault.Conflict, k.name, "a strike cannot strike itself")
	}
	if err := checkWhen(k, f.Seen); err != nil {
		return err
	}
	if err := checkWhen(k, f.Made); err != nil {
		return err
	}
	if err := goodName("by", f.By); err != nil {
		return err
	}
	return k.check(f.Body)
}

// The first and last instant that can be written and read back (units reads
// years 1900 to 2199), a day taken off for the offset.
var (
	tooEarly = units.DayOf(1900, 1, 2).Time().UnixMilli()
	tooLate  = units.DayOf(2199, 12, 31).Time().UnixMilli()
)

// checkWhen refuses a moment whose text could not be read back.
func checkWhen(k *kind, m units.Moment) error {
	if m.IsZero() {
		return nil
	}
	ms := m.UnixMilli()
	if ms < tooEarly || ms >= tooLate || ms == 0 || m.DayOnly() && m.Day() == 0 {
		return fault.Newf(fault.OutOfRange, k.name, "%s is not a time we can use", m.Time().Format("2006-01-02")).WithHint("years from 1900 to 2199")
	}
	// The offset is looked at only where the local day is not that of UTC: else
	// it is less than a day for certain.
	if since := ms - int64(m.Day())*dayMS; since >= 0 && since < dayMS {
		return nil
	}
	if off := stampOf(m).Off; off <= -24*60 || off >= 24*60 {
		return fault.Newf(fault.OutOfRange, k.name, "a clock cannot be %d minutes off", off)
	}
	return nil
}
