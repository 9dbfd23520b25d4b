package season

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/units"
)

var styles = []units.Style{{Decimal: '.'}, {System: units.Metric, Decimal: ',', Lang: "es"}, {System: units.UK, Decimal: '.'}}

// slipAt gives what is wrong with a box, nil when nothing is.
func slipAt(slips []Slip, box string) error {
	for _, s := range slips {
		if s.Box == box {
			return s.Err
		}
	}
	return nil
}

func TestReadTruckInKeepersUnits(t *testing.T) {
	us := styles[0]
	got, slips := ReadTruck(TruckText{Name: " flatbed ", Tank: "100", Payload: "1800", Pump: "2.5", PerHive: "1", Filling: "15", PerDay: "8", Loads: "3"}, Truck{}, us)
	want := Truck{Name: "flatbed", Tank: units.MustVolume("100 US gal"), Payload: units.MustMass("1800 lb"), PerHive: 60, Filling: 900, PerDay: 8 * units.Hour, Loads: 3}
	want.Pump, _ = units.Parse[units.Flow]("2.5 US gal/min", us.Locale())
	if got != want || len(slips) > 0 {
		t.Errorf("%+v, %v; want %+v", got, slips, want)
	}
	// All that is wrong is told at once, each at its box.
	_, slips = ReadTruck(TruckText{Tank: "plenty", Payload: "90000", PerDay: "30", Loads: "2.5", Filling: "-3"}, Truck{}, us)
	for _, box := range []string{"name", "tank", "payload", "per_day", "loads", "filling"} {
		if slipAt(slips, box) == nil {
			t.Errorf("nothing is wrong with %s: %v", box, slips)
		}
	}
	if err := slipAt(slips, "payload"); !fault.Is(err, fault.OutOfRange) || !strings.Contains(err.Error(), "90,000 lb") || !strings.Contains(fault.HintOf(err), "lb") {
		t.Errorf("%v (%s): not in the units it was typed in", err, fault.HintOf(err))
	}
	if _, slips = ReadTruck(TruckText{Tank: "100"}, Truck{}, us); !fault.Is(slipAt(slips, "name"), fault.Missing) {
		t.Errorf("%v", slips)
	}
	if _, slips = ReadTruck(TruckText{Name: "a"}, Truck{}, us); !fault.Is(slipAt(slips, "tank"), fault.Missing) {
		t.Errorf("%v", slips)
	}
	if got, slips = ReadTruck(TruckText{Name: "a", Gone: true}, Truck{}, us); len(slips) > 0 || !got.Gone {
		t.Errorf("%+v %v", got, slips)
	}
}

// What is shown and left as it is shown stays what it was, to the last digit; and
// what is read without a slip is a fact that may be kept.
func TestBoxesKeepWhatTheyShow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(styles).Draw(t, "style")
		x := func(name string, most float64) float64 { return rapid.Float64Range(0.01, most).Draw(t, name) }
		truck := Truck{Name: "flatbed", Tank: units.Volume(x("tank", 9000)), Payload: units.Mass(x("payload", 9000)), Pump: units.Flow(x("pump", 3)), PerHive: units.Duration(x("lid", 7000)),
			Filling: units.Duration(x("fill", 30000)), PerDay: units.Duration(x("day", 86000)), Loads: rapid.IntRange(0, 50).Draw(t, "loads")}
		if got, slips := ReadTruck(truck.Text(s), truck, s); got != truck || len(slips) > 0 {
			t.Fatalf("%+v became %+v (%v)", truck, got, slips)
		}
		y := apiary.Yard{ID: "mill", Elev: units.Length(rapid.Float64Range(-400, 4000).Draw(t, "height")), Access: "key",
			Opens: units.Duration(rapid.IntRange(1, 600).Draw(t, "opens")) * units.Minute, Shuts: units.Duration(rapid.IntRange(601, 1440).Draw(t, "shuts")) * units.Minute}
		var days ShutDays
		for i := range days.Week {
			days.Week[i] = rapid.Bool().Draw(t, "day")
		}
		y.Shut = days.String()
		if got, slips := ReadGate(GateOf(y, s), y, s); got != y || len(slips) > 0 {
			t.Fatalf("%+v became %+v (%v)", y, got, slips)
		}
		if got, slips := ReadHeight(HeightText(y.Elev, s), y, s); got != y || len(slips) > 0 {
			t.Fatalf("%+v became %+v (%v)", y, got, slips)
		}
	})
}

// Whatever is typed, what is read without a slip is a body that every way in takes.
func TestBoxesReadOnlyWhatMayBeKept(t *testing.T) {
	words := []string{"", "0", "-1", "1", "2,5", "24:30", "7:15", "24:00", "sun", "domingo; 2026-09-12", "half", "50 %", "120%", "½", "1e9", "99999", "8 h", "3 gal", "lots", "2026-09-19", "19 Sep", "31 Feb", "5 Oct"}
	today := units.DayOf(2026, 9, 4)
	seen := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		w := func(name, good string) string { // mostly what may stand in the box
			return rapid.OneOf(rapid.Just(good), rapid.Just(good), rapid.Just(""), rapid.SampledFrom(words)).Draw(t, name)
		}
		s := rapid.SampledFrom(styles).Draw(t, "style")
		y := apiary.Yard{ID: "mill"}
		keep := func(name string, body any, slips []Slip) {
			if len(slips) > 0 {
				for _, x := range slips {
					if x.Err == nil {
						t.Fatalf("%s: nothing is wrong with %s", name, x.Box)
					}
				}
				return
			}
			seen[name]++
			f := Fact{ID: ID{1}, Seen: units.OnDay(today), Body: body}
			if err := f.Check(); err != nil {
				t.Fatalf("%s: read as %+v, and may not be kept: %v", name, body, err)
			}
		}
		truck, slips := ReadTruck(TruckText{Name: "flatbed", Tank: w("tank", "3 gal"), Payload: w("payload", "900 lb"), Pump: w("pump", "2 gal/min"), PerHive: w("lid", "1"), Filling: w("fill", "15 min"), PerDay: w("hours", "8 h"), Loads: w("loads", "3")}, Truck{}, s)
		keep("truck", truck, slips)
		gate, slips := ReadGate(GateText{Opens: w("opens", "7:15"), Shuts: w("shuts", "24:00"), Shut: w("shut", "sun")}, y, s)
		keep("gate", gate, slips)
		high, slips := ReadHeight(w("elev", "300 m"), y, s)
		keep("height", high, slips)
		need, slips := ReadNeed("m1", w("need", "3 gal"), "", s)
		keep("need", need, slips)
		days, slips := ReadWorkingDays(WorkingDayText{Day: w("day", "19 Sep"), Until: w("until", "20 Sep"), PerDay: w("per day", "4"), People: w("people", "2"), Off: rapid.Bool().Draw(t, "off")}, s, today)
		for _, d := range append(days, WorkingDay{})[:max(1, len(days))] {
			keep("workday", d, slips)
		}
		typed, slips := ReadFeedable("mill", FeedableText{Day: w("day", "19 Sep"), Until: w("until", "20 Sep"), Round: rapid.SampledFrom([]string{"", "yes", "no"}).Draw(t, "round"), Part: w("part", "0.5")}, s, today)
		for _, d := range append(typed, Feedable{})[:max(1, len(typed))] {
			keep("feedable", d, slips)
		}
	})
	for _, k := range []string{"truck", "gate", "height", "need", "workday", "feedable"} {
		if seen[k] == 0 {
			t.Errorf("no %s was read well: this test cannot fail", k)
		}
	}
}

func TestReadTypedDays(t *testing.T) {
	today := units.DayOf(2026, 9, 4)
	days, slips := ReadFeedable("mill", FeedableText{Day: "19 Sep", Until: "21 Sep", Round: "yes", Part: "50 %", Note: " fair "}, styles[0], today)
	if len(slips) > 0 || len(days) != 3 || days[2] != (Feedable{Yard: "mill", Day: units.DayOf(2026, 9, 21), Round: apiary.Yes, Factor: 0.5, FactorKnown: true, Note: "fair"}) {
		t.Errorf("%+v %v", days, slips)
	}
	for _, c := range []struct{ day, until, round, part, box string }{
		{"", "", "yes", "", "day"}, {"some day", "", "yes", "", "day"}, {"19 Sep", "12 Sep", "yes", "", "until"}, {"1 Oct", "30 Dec", "yes", "", "until"},
		{"19 Sep", "", "", "", "round"}, {"19 Sep", "", "", "2", "part"}, {"19 Sep", "", "", "150 %", "part"}, {"19 Sep", "", "", "lots", "part"}, {"some day", "", "", "2", "part"},
	} {
		days, slips := ReadFeedable("mill", FeedableText{Day: c.day, Until: c.until, Round: c.round, Part: c.part}, styles[0], today)
		if slipAt(slips, c.box) == nil {
			t.Errorf("%+v: %+v, %v", c, days, slips)
		}
	}
	work, slips := ReadWorkingDays(WorkingDayText{Day: "19 Sep", PerDay: "4", People: "4", Note: "the club comes"}, styles[0], today)
	if len(slips) > 0 || len(work) != 1 || work[0] != (WorkingDay{Day: units.DayOf(2026, 9, 19), PerDay: 4 * units.Hour, People: 4, Note: "the club comes"}) {
		t.Errorf("%+v %v", work, slips)
	}
	for _, c := range []WorkingDayText{{Day: "19 Sep"}, {Day: "19 Sep", People: "13"}, {Day: "19 Sep", PerDay: "25"}, {Off: true}, {Day: "19 Sep", Until: "18 Sep", Off: true}} {
		if work, slips := ReadWorkingDays(c, styles[0], today); len(slips) == 0 {
			t.Errorf("%+v: %+v", c, work)
		}
	}
}

func TestReadGateSaysWhichBox(t *testing.T) {
	y := apiary.Yard{ID: "mill"}
	got, slips := ReadGate(GateText{Opens: "8 am", Shuts: "17:00", Shut: "Sunday, 2026-09-12", Access: " code 12 "}, y, styles[0])
	if len(slips) > 0 || got != (apiary.Yard{ID: "mill", Opens: 8 * units.Hour, Shuts: 17 * units.Hour, Shut: "sun; 2026-09-12", Access: "code 12"}) {
		t.Errorf("%+v %v", got, slips)
	}
	if shut := GateOf(got, styles[1]).Shut; shut != "dom; 2026-09-12" {
		t.Errorf("in Spanish %q", shut)
	}
	for _, c := range []struct {
		text GateText
		box  string
	}{{GateText{Opens: "early"}, "opens"}, {GateText{Shuts: "25:00"}, "shuts"}, {GateText{Shut: "sometimes"}, "shut"}, {GateText{Opens: "9:30", Shuts: "9:00"}, "shuts"}} {
		if _, slips := ReadGate(c.text, y, styles[0]); slipAt(slips, c.box) == nil {
			t.Errorf("%+v: %v", c, slips)
		}
	}
	if _, slips := ReadHeight("9000 m", y, styles[0]); slipAt(slips, "elev") == nil || !strings.Contains(slipAt(slips, "elev").Error(), "ft") {
		t.Errorf("%v", slips)
	}
	if _, slips := ReadHeight("300", y, styles[2]); slipAt(slips, "elev") == nil {
		t.Error("a bare height was taken where feet and metres are both usual")
	}
}
