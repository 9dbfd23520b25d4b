package web

import (
	"encoding/json"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

// tripDoc is one trip as a phone carries it: everything it shows and writes is
// in here, so that it needs no signal. Amounts stand twice: in SI to count with,
// and in the words they are shown in. Texts of facts are written by us and
// passed back as they are.
type tripDoc struct {
	Protocol int       `json:"protocol"`
	Epoch    string    `json:"epoch"`
	Plan     string    `json:"plan"`
	Load     int       `json:"load"`
	Of       int       `json:"of"`
	On       string    `json:"on"` // what facts of this trip say they belong to
	Day      string    `json:"day"`
	DaySays  string    `json:"day_says"`
	Truck    string    `json:"truck"`
	AsOf     string    `json:"as_of"`
	AsOfSays string    `json:"as_of_says"`
	Lang     string    `json:"lang"`
	Example  bool      `json:"example"`
	SyrupL   float64   `json:"syrup_l"`
	GivenL   float64   `json:"given_l"`
	PumpLS   float64   `json:"pump_l_s"`
	Volume   unitDoc   `json:"volume"` // of the tank
	Feeder   unitDoc   `json:"feeder"` // of one hive
	Mass     unitDoc   `json:"mass"`
	Stops    []stopDoc `json:"stops"`
	NotFed   []whyDoc  `json:"not_fed"`
	Fill     *fillDoc  `json:"fill,omitempty"`   // where the tank is filled, if not at home
	Then     string    `json:"then,omitempty"`   // where to go after the last stop, if not home
	Replan   string    `json:"replan,omitempty"` // what the plan made anew changes, "" = nothing

	Words map[string]string `json:"words"`
}

// unitDoc is the unit that amounts are typed and counted in on the phone.
type unitDoc struct {
	Unit    string  `json:"unit"`
	SI      float64 `json:"si"` // litres or kg in one
	Decimal string  `json:"decimal"`
	Text    string  `json:"text"` // the unit as facts have it
}

// fillDoc says where the tank is filled and how much, and what is told of the
// place.
type fillDoc struct {
	Says     string  `json:"says"`
	More     string  `json:"more,omitempty"`
	Name     string  `json:"name"`
	HasPlace bool    `json:"has_place"`
	Lat      float64 `json:"lat"`
	Lon      float64 `json:"lon"`
}

type stopDoc struct {
	Yard      string    `json:"yard"`
	Name      string    `json:"name"`
	Access    string    `json:"access,omitempty"`
	HasPlace  bool      `json:"has_place"`
	Lat       float64   `json:"lat"`
	Lon       float64   `json:"lon"`
	SyrupL    float64   `json:"syrup_l"`
	SyrupSays string    `json:"syrup_says"`
	RoadSays  string    `json:"road_says"`
	First     bool      `json:"first"`
	Last      bool      `json:"last"`
	Chores    []string  `json:"chores"`  // still to be done here: opening, or closing on the last trip
	Changes   []string  `json:"changes"` // the greatest of what the plan made anew changes here, with why
	Hives     []hiveDoc `json:"hives"`
	Others    []hiveDoc `json:"others"`
}

type hiveDoc struct {
	Colony    string    `json:"colony"`
	Stand     int       `json:"stand"`
	Feeder    string    `json:"feeder"`
	HoldsL    float64   `json:"holds_l"`
	PlanL     float64   `json:"plan_l"`
	PlanSays  string    `json:"plan_says"`
	PlanText  string    `json:"plan_text"` // of the fact
	Seconds   int       `json:"seconds"`   // of pumping; 0 = not measured
	LeftSays  string    `json:"left_says"` // what the last look found, and when
	Expect    string    `json:"expect"`    // what is thought to be in it now
	Left      []leftDoc `json:"left"`      // 0 ¼ ½ ¾ full; empty = not known what it holds
	Hold      []sayDoc  `json:"hold"`
	Ask       []sayDoc  `json:"ask"`
	Elsewhere bool      `json:"elsewhere"`
	Done      []doneDoc `json:"done"`
}

type leftDoc struct {
	Says string  `json:"says"`
	Text string  `json:"text"`
	L    float64 `json:"l"`
}

type sayDoc struct {
	Code string `json:"code"`
	Say  string `json:"say"`
}

type doneDoc struct {
	Fact   string  `json:"fact"`
	At     string  `json:"at"`
	By     string  `json:"by,omitempty"`
	NotFed string  `json:"not_fed,omitempty"`
	GivenL float64 `json:"given_l"`
	Says   string  `json:"says"`
}

// whyDoc is a reason for not feeding, and what it says beside itself.
type whyDoc struct {
	Why  string     `json:"why"`
	Says string     `json:"says"`
	Also []alsoFact `json:"also"`
}

type alsoFact struct {
	Kind string          `json:"kind"`
	Body json.RawMessage `json:"body"` // the phone puts the colony in
}

// phoneRound gives one trip.
func (s *Server) phoneRound(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	n, err := strconv.Atoi(q.Get("load"))
	if err != nil {
		s.phoneRefuse(w, fault.New(fault.NotFound, "", "there is no such load"), 0)
		return
	}
	b := s.base(r, "trip", "title.round")
	_, _ = s.planFor(nil, nil) // the phone waits for nothing here: it shows the trip meanwhile
	doc, _, err := s.tripDoc(&b, q.Get("plan"), n)
	if err != nil {
		s.phoneRefuse(w, err, 0)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(doc)
}

// tripDoc makes the document of a trip, and gives the trip.
func (s *Server) tripDoc(b *Base, plan string, n int) (*tripDoc, season.Trip, error) {
	var t season.Trip
	var err error
	s.house.view(func(st *season.State, at units.Moment) { t, err = st.Trip(plan, n, at) })
	if err != nil {
		return nil, t, err
	}
	vol, jug, mass := b.S.VolumeCol(), b.S.VolumeSmallCol(), b.S.MassCol()
	decimal := string(b.S.Locale().Decimal)
	d := &tripDoc{
		Protocol: phoneProtocol, Epoch: s.epoch, Plan: t.Plan, Load: t.Load, Of: t.Of, On: season.OnPlan(t.Plan, t.Load),
		Day: t.Day.String(), DaySays: b.S.DayYear(t.Day), Truck: t.Truck, AsOf: b.Facts.String(), AsOfSays: b.S.Moment(b.Facts),
		Lang: b.Lang, Example: b.Example, SyrupL: t.Syrup.L(), GivenL: t.Given.L(), PumpLS: float64(t.Pump),
		Volume: unitDoc{vol.Unit, 1 / vol.Value(1), decimal, vol.Unit}, Feeder: unitDoc{jug.Unit, 1 / jug.Value(1), decimal, b.factUnit(jug.Unit)}, Mass: unitDoc{mass.Unit, 1 / mass.Value(1), decimal, mass.Unit},
		NotFed: b.notFedWhys(), Words: b.yardWords(),
	}
	d.Fill, d.Then = b.fillDoc(&t), b.thenSays(&t)
	re, replanned := s.replanned(t.Plan)
	if more, less := re.Counts(); replanned && more+less > 0 {
		d.Replan = b.T("round.replan", "More", more, "Less", less)
	}
	for i := range t.Stops {
		d.Stops = append(d.Stops, b.stopDoc(&t.Stops[i]))
		x := &d.Stops[i]
		x.Changes = []string{}
		for _, c := range re.In(x.Yard, changesShown) {
			x.Changes = append(x.Changes, b.T("round.change", "Hive", c.Colony, "Was", b.S.VolumeSmall(c.Was), "Is", b.S.VolumeSmall(c.Is), "Why", b.first(c.Why)))
		}
	}
	return d, t, nil
}

// factUnit gives a unit as facts have it: "qt" is one of two there.
func (b *Base) factUnit(shown string) string {
	one, err := units.EnterVolumeIn("1", shown, b.S.Locale())
	if err != nil {
		panic("web: " + err.Error()) // a unit of ours
	}
	return strings.TrimPrefix(one.String(), "1 ")
}

// fillDoc tells where a trip's tank is filled; nil when that is at home.
func (b *Base) fillDoc(t *season.Trip) *fillDoc {
	f := &t.Fill
	if f.Place == "" || len(t.Stops) == 0 {
		return nil
	}
	var more []string
	if f.Yard != "" {
		more = append(more, b.T("round.fill.at", "Yard", f.Yard))
	}
	if f.Note != "" {
		more = append(more, f.Note)
	}
	return &fillDoc{Says: b.T("round.fill", "Amount", b.S.VolumeBig(t.Syrup), "Place", f.Place, "Yard", t.Stops[0].Yard.Name), More: strings.Join(more, " "),
		Name: f.Place, HasPlace: f.Where.HasPlace, Lat: f.Where.Lat, Lon: f.Where.Lon}
}

// thenSays says where a trip goes from its last stop to be filled again, "" when
// it goes home.
func (b *Base) thenSays(t *season.Trip) string {
	if t.Next == 0 {
		return ""
	}
	return b.T("round.then", "Place", t.ThenTo, "No", t.Next)
}

// changesShown is how many changes of a yard a phone shows.
const changesShown = 4

// replanned sets the plan as it stands against the plan taken out; false when
// there is none, or when another was taken out since.
func (s *Server) replanned(taken string) (season.Replan, bool) {
	t := s.planTask(nil, nil)
	select {
	case <-t.ended:
	default:
		return season.Replan{}, false // a trip is not kept waiting for it: it asks again
	}
	plan, err := s.planFor(nil, nil)
	if err != nil {
		return season.Replan{}, false // Round says why no plan can be made
	}
	var re season.Replan
	ok := false
	s.house.view(func(st *season.State, at units.Moment) { re, ok = st.Replan(plan, at) })
	if !ok || re.Plan != taken {
		return season.Replan{}, false
	}
	return re, true
}

func (b *Base) stopDoc(s *season.TripStop) stopDoc {
	y := s.Yard
	x := stopDoc{Yard: y.ID, Name: y.Name, Access: y.Access, HasPlace: y.HasPlace, Lat: y.Lat, Lon: y.Lon, SyrupL: s.Syrup.L(),
		SyrupSays: b.S.VolumeBig(s.Syrup), RoadSays: b.S.Road(s.Dist), First: s.First, Last: s.Last, Chores: append([]string{}, s.Chores...), Hives: []hiveDoc{}, Others: []hiveDoc{}}
	for i := range s.Hives {
		x.Hives = append(x.Hives, b.hiveDoc(&s.Hives[i]))
	}
	for i := range s.Others {
		x.Others = append(x.Others, b.hiveDoc(&s.Others[i]))
	}
	return x
}

// leftSigns are how full a feeder is, in the order of TripHive.Quarters.
var leftSigns = []string{"0", "¼", "½", "¾", ""}

func (b *Base) hiveDoc(h *season.TripHive) hiveDoc {
	x := hiveDoc{Colony: h.Colony, Stand: h.Stand, Feeder: h.Feeder, HoldsL: h.Holds.L(), PlanL: h.Plan.L(), PlanSays: b.S.VolumeSmall(h.Plan),
		PlanText: units.In(h.Plan).String(), Seconds: wholeSeconds(h.Pump), LeftSays: b.T("round.left.never"), Left: []leftDoc{},
		Hold: b.sayDocs(h.Hold), Ask: b.sayDocs(h.Ask), Elsewhere: h.Elsewhere, Done: []doneDoc{}}
	if !h.LeftAt.IsZero() {
		x.LeftSays = b.T("round.left.last", "Amount", b.S.VolumeSmall(h.Left), "Day", b.S.Day(h.LeftAt.Day()))
	}
	if h.Expect.Known {
		x.Expect = b.S.VolumeSmall(units.Volume(h.Expect.Mean))
	}
	for i, v := range h.Quarters() {
		says := leftSigns[i]
		if says == "" {
			says = b.T("round.left.full")
		}
		x.Left = append(x.Left, leftDoc{says, v.String(), v.L()})
	}
	for _, d := range h.Done {
		x.Done = append(x.Done, b.doneDoc(d))
	}
	return x
}

func wholeSeconds(d units.Duration) int {
	return int(time.Duration(float64(d)*float64(time.Second)).Round(time.Second) / time.Second)
}

func (b *Base) doneDoc(d season.TripDone) doneDoc {
	x := doneDoc{Fact: d.Fact.String(), At: b.S.Moment(d.Seen), By: d.By, NotFed: d.NotFed, GivenL: d.Volume.L()}
	if d.NotFed != "" {
		x.Says = b.T("round.done.not", "Why", b.T("notfed."+knownWhy(d.NotFed)))
	} else {
		x.Says = b.T("round.done.given", "Amount", b.S.VolumeSmall(d.Volume))
	}
	return x
}

// knownWhy gives a reason we have words for.
func knownWhy(why string) string {
	if slices.Contains(season.NotFedWhys(), why) {
		return why
	}
	return "other"
}

func (b *Base) sayDocs(rs []feeding.Reason) []sayDoc {
	out := []sayDoc{}
	for _, r := range rs {
		out = append(out, sayDoc{r.Code, b.Say(r)})
	}
	return out
}

// notFedWhys lists the reasons with what they say beside themselves.
func (b *Base) notFedWhys() []whyDoc {
	var out []whyDoc
	for _, why := range season.NotFedWhys() {
		x := whyDoc{Why: why, Says: b.T("notfed." + why), Also: []alsoFact{}}
		for _, body := range season.Also(why, "", 0) {
			f := season.Fact{Body: body}
			raw, err := season.EncodeBody(&f)
			if err != nil {
				panic("web: " + err.Error()) // a body of ours that cannot be written is a mistake of the program
			}
			x.Also = append(x.Also, alsoFact{f.Kind(), raw})
		}
		out = append(out, x)
	}
	return out
}

// yardArgs are the gaps the phone fills in itself; names are as in the
// catalogue, gaps as the phone's script writes them.
var yardArgs = []any{"Hive", "{hive}", "Yard", "{yard}", "Amount", "{amount}", "Count", "{count}", "Of", "{of}", "Time", "{time}", "Why", "{why}", "What", "{what}", "Who", "{who}", "Name", "{name}"}

// yardWords gives the words of the phone's script.
func (b *Base) yardWords() map[string]string {
	out := map[string]string{}
	for _, key := range b.sc.texts.with("trip.") {
		out[strings.TrimPrefix(key, "trip.")] = b.T(key, yardArgs...)
	}
	for _, c := range append(season.OpeningChores(), season.ClosingChores()...) {
		out["chore."+c] = b.T("chore." + c)
	}
	return out
}
