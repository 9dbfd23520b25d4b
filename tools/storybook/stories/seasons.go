package stories

import (
	"fmt"
	"io/fs"
	"math"
	"net/url"
	"slices"
	"time"

	"larder/internal/apiary"
	"larder/internal/cli/example"
	"larder/internal/fault"
	"larder/internal/folder"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/web"
)

// told is a season and when it is looked at.
type told struct {
	facts    []season.Fact
	now      func() time.Time
	example  bool
	lan      *web.Lan                // how phones reach it; nil = they do not
	fresh    bool                    // nobody has set a password yet
	keeper   string                  // one of several keepers, by the name he signs in with
	acts     []Story                 // what the keeper did on the screens before they are looked at
	patience time.Duration           // 0 = a minute: only the page of progress is shown sooner
	shut     error                   // why the book is not open; nil = it is
	held     func(look season.Watch) // what holds up the plan, nil = nothing
}

// working is the example season on a machine that takes its time: its plan is
// never ready.
func working() (told, error) {
	t, err := exampleSeason(0)
	t.patience = time.Millisecond
	t.held = func(look season.Watch) {
		for look(season.Progress{Stage: "plan", Done: 38, Of: 120, Found: true, Loads: 7}) {
			time.Sleep(50 * time.Millisecond)
		}
	}
	return t, err
}

// shut is a book that is damaged, of which there is a backup.
func shut() (told, error) {
	return told{now: clock(0), shut: fault.New(fault.Damaged, "season.larder", "this book is damaged").
		WithHint(`nothing in it was changed; bring the newest backup back with: larder restore --replace "backups/season-backup-20260930-080000.larder"`)}, nil
}

// seasonNames are the seasons every page has a story of, in order.
var seasonNames = []string{"empty", "unread", "typical", "thousand", "stale"}

// seasons makes each: nothing yet; hives nobody has weighed; the example
// season; a thousand hives; the example season left alone for weeks; sixty
// hives, the size the figures to reach are told for; and the example season
// after something was done in it.
var seasons = map[string]func() (told, error){
	"empty":    func() (told, error) { return told{now: clock(0)}, nil },
	"unread":   unread,
	"typical":  func() (told, error) { return exampleSeason(0) },
	"sixty":    func() (told, error) { return many(4, 15) },
	"thousand": func() (told, error) { return many(40, 25) },
	"stale":    func() (told, error) { return exampleSeason(26) },
	"winter":   func() (told, error) { return exampleKnown(94) },
	"spring":   spring,

	"working": working,
	"shut":    shut,

	"lan":       lan("plain"),
	"lent":      lent,
	"fresh":     fresh,
	"co":        co,
	"code":      lan("plain", offered),
	"home":      lan("home"),
	"out":       after(Story{Path: "/plan/out", Form: url.Values{}}),
	"elsewhere": after(elsewhere...),
	"elseout":   after(append(elsewhere[:len(elsewhere):len(elsewhere)], Story{Path: "/plan/out", Form: url.Values{}})...),
	"told": after( // what the planner takes, typed on the screens
		Story{Path: "/yards/mill/gate", Form: form("opens", "8 am", "shuts", "17:30", "shut", "sun; 2015-09-16", "access", "key under the third stone")},
		Story{Path: "/yards/mill", Form: form("name", "Mill Lane", "place", "41.748, -74.087", "station", "new-york", "setup", "10", "windy", "1")},
		Story{Path: "/yards/mill/days", Form: form("day", "2015-09-20", "until", "2015-09-21", "round", "no", "day_note", "the field is sprayed")},
		Story{Path: "/yards/mill/days", Form: form("day", "2015-09-23", "round", "yes", "part", "50 %")},
		Story{Path: "/rig/trucks", Form: form("name", "flatbed", "tank", "100", "payload", "1800 lb", "per_day", "8", "loads", "3")},
		Story{Path: "/rig/trucks", Form: form("name", "old van", "gone", "1")},
		Story{Path: "/rig/trucks/days", Form: form("work_day", "2015-09-19", "work_per_day", "4", "work_people", "4", "work_note", "the club comes")},
		Story{Path: "/rig/trucks/days", Form: form("work_day", "2015-09-20", "work_off", "1")},
		Story{Path: "/hives/m4/need", Form: form("need", "3", "need_note", "by eye")},
		Story{Path: "/hives/m4", Form: form("stack", "lang10-deep + lang10-medium", "feeder", "tray-2", "kind", "full", "never_empty", "1", "wrapped", "1")}),
	"service": after(Story{Path: "/house", Form: form("weather.service", "https://weather.example/daily?a={lat}&o={lon}")}),
	"super":   after(Story{Path: "/hives/c1/look", Form: form("day", "2015-09-12", "super", "yes")}),
	"sky":     after(Story{Path: "/weather", Form: form("text", weatherTable, "whose", "ridge", "unit", "f")}),
	"pasted":  after(Story{Path: "/readings/paste/save", Form: pasteForm}),
	"mixed": after( // a batch of what the plan asks for, one that is too weak, and sugar nobody told of
		Story{Path: "/mix/done", Form: form("batch", "b15-02", "day", "2015-09-12", "syrup", "30 US gal", "brix", "66.7", "sugar_used", "1300 lb", "water_used", "13 US gal", "lots", "")},
		Story{Path: "/mix/done", Form: form("batch", "b15-03", "day", "2015-09-12", "syrup", "5 US gal", "brix", "1:1", "sugar_used", "", "water_used", "", "lots", "")}),
	"given": after( // more left than was given, and an amount put right
		Story{Path: "/given/sheet", Form: form("yard", "creek", "feed", "syrup", "hive.0", "c1", "left.0", "3", "given.0", "5", "hive.1", "c2", "why.1", "wasps", "note.1", "at the gate")},
		Story{Path: "/given/" + nthID(3).String(), Form: form("hive", "c1", "day", "2015-09-12", "amount", "2", "note", "misread")}),
}

// elsewhere tells of syrup that stands at the creek, and of some that is too weak.
var elsewhere = []Story{
	{Path: "/sources", Form: form("name", "Creek shed", "yard", "creek", "litres", "200 US gal", "note", "ring before")},
	{Path: "/sources", Form: form("name", "Club barn", "place", "41.7, -74.2", "litres", "60 US gal", "strength", "1:1")},
}

// after is the example season with something done in it.
func after(acts ...Story) func() (told, error) {
	return func() (told, error) {
		t, err := exampleSeason(0)
		t.acts = acts
		return t, err
	}
}

// clock stands at seven in the evening in New York, so many days after the
// example's day: every run shows the same.
func clock(days int) func() time.Time {
	day, err := units.ParseDay(example.Day)
	if err != nil {
		panic("stories: " + err.Error()) // a constant of ours
	}
	at := (day + units.Day(days)).Time().Add(23 * time.Hour)
	return func() time.Time { return at }
}

// exampleKnown is the example as known and looked at so many days after its day.
func exampleKnown(later int) (told, error) {
	t, err := exampleFacts(units.At(clock(later)()))
	t.now = clock(later)
	return t, err
}

// spring is two yards of six hives weighed at the beginning of February and again
// in March, one of them dead, looked at in the middle of March.
func spring() (told, error) {
	now := units.DayOf(2015, time.March, 14)
	sky, err := example.Weather()
	if err != nil {
		return told{}, err
	}
	sky = slices.DeleteFunc(sky, func(f season.Fact) bool { return f.Seen.Day() > now })
	m := &maker{day: units.DayOf(2015, time.February, 1)}
	m.add(season.Setting{Key: "house.zone", Value: "America/New_York"})
	m.yards(2, 6)
	m.weigh(2, 6)
	m.day = units.DayOf(2015, time.March, 7)
	m.add(apiary.Ended{Colony: "1-3", State: apiary.Dead, Cause: "starved", Left: 0.5, LeftKnown: true})
	for _, h := range []string{"1-1", "1-2", "2-1"} {
		m.add(stores.Reading{Colony: h, Way: stores.Full, Gross: units.In(units.Mass(33))})
	}
	return told{facts: append(m.facts, sky...), now: func() time.Time { return now.Time().Add(20 * time.Hour) }}, m.err
}

// exampleSeason is the example as known on its day, looked at some days later.
func exampleSeason(later int) (told, error) {
	t, err := exampleFacts(units.At(clock(0)()))
	t.now = clock(later)
	return t, err
}

// exampleFacts is the example as known at a moment.
func exampleFacts(known units.Moment) (told, error) {
	sub, err := fs.Sub(example.Files, "season")
	if err != nil {
		return told{}, err
	}
	facts, err := folder.Read(sub)
	if err != nil {
		return told{}, err
	}
	sky, err := example.Weather()
	if err != nil {
		return told{}, err
	}
	facts = slices.DeleteFunc(append(facts, sky...), func(f season.Fact) bool { return !f.KnownAt(known) })
	return told{facts: facts, example: true}, nil
}

// unread is two yards of hives that nobody has weighed, with nothing else told.
func unread() (told, error) {
	m := &maker{day: units.DayOf(2015, time.September, 1)}
	m.yards(2, 9)
	return told{facts: m.facts, now: clock(0)}, m.err
}

// many is a season of so many yards with so many hives each, all weighed, fed
// from a big tank, under the example's weather.
func many(yards, hives int) (told, error) {
	sky, err := example.Weather()
	if err != nil {
		return told{}, err
	}
	known := units.At(clock(0)())
	sky = slices.DeleteFunc(sky, func(f season.Fact) bool { return !f.KnownAt(known) })
	m := &maker{day: units.DayOf(2015, time.September, 1)}
	for _, kv := range [][2]string{
		{"house.zone", "America/New_York"}, {"house.units", "us"}, {"house.currency", "USD"}, {"home.lat", "41.72"}, {"home.lon", "-74.06"},
		{"feed.strength", "2:1 by weight"}, {"rig.tank", "275 US gal"}, {"rig.payload", "3500 lb"}, {"rig.pump", "5 US gal/min"},
		{"kitchen.mixer", "300 US gal"}, {"kitchen.store", "1200 US gal"}, {"crew.people", "2"}, {"crew.per_day", "9 h"}, {"crew.loads_per_day", "2"},
		{"price.sugar_per_kg", "1.20 USD"}, {"price.per_km", "0.60 USD"}, {"price.per_hour", "20.00 USD"},
	} {
		m.add(season.Setting{Key: kv[0], Value: kv[1]})
	}
	m.yards(yards, hives)
	m.weigh(yards, hives)
	return told{facts: append(m.facts, sky...), now: clock(0)}, m.err
}

// maker makes facts that are the same in every run.
type maker struct {
	facts []season.Fact
	day   units.Day
	n     uint32
	err   error
}

func (m *maker) add(body any) {
	m.n++
	id := season.ID{0x01, 0x98, 6: 0x70, 8: 0x80, 12: byte(m.n >> 16), 13: byte(m.n >> 8), 14: byte(m.n), 15: 7}
	m.facts = append(m.facts, season.Fact{ID: id, Seen: units.OnDay(m.day), Body: body})
}

// yards lays yards out on a spiral around home, with so many hives each. Names
// are numbers: nobody keeps them.
func (m *maker) yards(yards, hives int) {
	stack, err := hive.ParseStack("lang10-deep + lang10-medium")
	if err != nil {
		m.err = err
		return
	}
	for y := range yards {
		turn, away := 2.4*float64(y), 0.02+0.006*float64(y)
		id := yardID(y)
		m.add(apiary.Yard{ID: id, Name: fmt.Sprintf("Yard %d", y+1), HasPlace: true, Lat: 41.72 + away*math.Cos(turn), Lon: -74.06 + 1.3*away*math.Sin(turn),
			Climate: apiary.Cold, Station: example.Station})
		for h := range hives {
			m.add(apiary.Placed{Colony: apiary.Colony{ID: hiveID(y, h), Yard: id, Stand: h + 1, Kind: apiary.Full, Stack: stack, Feeder: "tray-2"}})
		}
	}
}

// weigh looks at every hive and weighs it: most lack some stores, some nothing.
func (m *maker) weigh(yards, hives int) {
	m.day += 8
	for y := range yards {
		for h := range hives {
			id, k := hiveID(y, h), y*hives+h
			m.add(apiary.Look{Colony: id, Bees: float64(8 + k%5), BeesKnown: true, Brood: 3, BroodKnown: true,
				Queen: apiary.Yes, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No})
			if k%29 == 28 {
				continue // a few are not weighed, as in life
			}
			m.add(stores.Reading{Colony: id, Way: stores.Full, Gross: units.In(units.Mass(40 + (k*7)%23))})
		}
	}
}

func yardID(y int) string    { return fmt.Sprintf("y%02d", y+1) }
func hiveID(y, h int) string { return fmt.Sprintf("%d-%d", y+1, h+1) }

// newIDs counts ids up: the same in every run.
func newIDs() func() season.ID {
	var n uint32
	return func() season.ID {
		n++
		return nthID(n)
	}
}

// nthID is the id of the n-th fact written down on the screens.
func nthID(n uint32) season.ID {
	return season.ID{0x01, 0x9f, 6: 0x70, 8: 0x80, 12: byte(n >> 16), 13: byte(n >> 8), 14: byte(n), 15: 9}
}
