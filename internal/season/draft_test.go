package season_test

import (
	"math"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

func usSheet(way stores.Way) season.Sheet {
	return season.Sheet{Way: way, Unit: "lb", FeedUnit: "US gal", Seen: units.OnDay(day(4)), Locale: units.Locale{Decimal: '.', System: units.US}}
}

// draftOne draws one row and gives its facts' bodies and its troubles by cell.
func draftOne(t *testing.T, way stores.Way, c season.Cells) ([]any, map[string]string) {
	t.Helper()
	c.Colony = "m1"
	d := newSmall(t).journal(t).AsOf(at).Draft(usSheet(way), []season.Cells{c})
	bad := map[string]string{}
	for _, x := range d[0].Trouble {
		bad[x.Cell] = x.Say.Say
	}
	return d[0].Bodies, bad
}

func TestDraftTakesAnyMixOfWaysAndUnits(t *testing.T) {
	lb := func(x float64) units.Mass { return units.Mass(x) * units.Pound }
	one := func(r stores.Reading) func(*testing.T, []any) {
		return func(t *testing.T, b []any) {
			t.Helper()
			got, ok := b[0].(stores.Reading)
			if !ok || got.Way != r.Way || got.Gross.Q != r.Gross.Q || got.Lift1.Q != r.Lift1.Q || got.Lift2.Q != r.Lift2.Q || got.Heft != r.Heft || got.Note != r.Note || got.About != r.About {
				t.Errorf("got %+v, want %+v", b[0], r)
			}
		}
	}
	kg := func(m units.Mass) units.Entered[units.Mass] { return units.In(m) }
	for _, c := range []struct {
		name string
		way  stores.Way
		in   season.Cells
		want func(*testing.T, []any)
	}{
		{"bare number in the unit of the sheet", stores.Full, season.Cells{First: "93"}, one(stores.Reading{Way: stores.Full, Gross: kg(lb(93))})},
		{"unit typed in the cell", stores.Full, season.Cells{First: "42.5 kg"}, one(stores.Reading{Way: stores.Full, Gross: kg(42.5)})},
		{"unit of the row", stores.Full, season.Cells{First: "42", Unit: "kg"}, one(stores.Reading{Way: stores.Full, Gross: kg(42)})},
		{"one lift by the row", stores.Full, season.Cells{Way: "lift1", First: "48 lb"}, one(stores.Reading{Way: stores.LiftOne, Lift1: kg(lb(48))})},
		{"two lifts", stores.LiftBoth, season.Cells{First: "48", Second: "21 kg"}, one(stores.Reading{Way: stores.LiftBoth, Lift1: kg(lb(48)), Lift2: kg(21)})},
		{"two lifts in one cell", stores.Full, season.Cells{First: "48 + 45"}, one(stores.Reading{Way: stores.LiftBoth, Lift1: kg(lb(48)), Lift2: kg(lb(45))})},
		{"heft in a sheet of weights", stores.Full, season.Cells{First: "Heavy"}, one(stores.Reading{Way: stores.Hand, Heft: stores.Heavy})},
		{"heft by its letter", stores.Hand, season.Cells{First: "l"}, one(stores.Reading{Way: stores.Hand, Heft: stores.Light})},
		{"about", stores.Full, season.Cells{First: "~93", Note: "windy"}, one(stores.Reading{Way: stores.Full, Gross: kg(lb(93)), About: true, Note: "windy"})},
	} {
		t.Run(c.name, func(t *testing.T) {
			b, bad := draftOne(t, c.way, c.in)
			if len(bad) > 0 || len(b) != 1 {
				t.Fatalf("trouble %v, %d facts", bad, len(b))
			}
			c.want(t, b)
		})
	}
}

func TestDraftKeepsTheWordsTyped(t *testing.T) {
	b, _ := draftOne(t, stores.Full, season.Cells{First: "93"})
	if s := b[0].(stores.Reading).Gross.String(); s != "93 lb" {
		t.Errorf("kept as %q", s)
	}
}

func TestDraftBlankNotReadZeroAndDead(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	rows := st.Draft(usSheet(stores.Full), []season.Cells{
		{Colony: "m1"}, {Colony: "m2", First: "-"}, {Colony: "m3", First: "0"}, {Colony: "h1", First: "d"},
		{Colony: "h2", First: "e"}, {Colony: "h2", First: "-", Note: "wasps"}, {Colony: "h2", First: "90", Feeder: "0"},
	})
	if r := rows[0]; !r.Blank || len(r.Bodies)+len(r.Trouble) > 0 {
		t.Errorf("blank: %+v", r)
	}
	if r := rows[1]; r.Blank || !r.NotRead || len(r.Bodies)+len(r.Trouble) > 0 {
		t.Errorf("not read: %+v", r)
	}
	if r := rows[2]; len(r.Trouble) != 1 || r.Trouble[0].Cell != season.CellFirst {
		t.Errorf("a hive of 0 lb: %+v", r)
	}
	if r := rows[3]; !r.Dead || r.Bodies[0].(apiary.Ended).State != apiary.Dead {
		t.Errorf("dead: %+v", r)
	}
	if l, ok := rows[4].Bodies[0].(ledger.Left); !ok || l.Volume.Q != 0 || l.Volume.IsZero() {
		t.Errorf("feeder empty: %+v", rows[4])
	}
	if l, ok := rows[5].Bodies[0].(apiary.Look); !ok || l.Note != "wasps" {
		t.Errorf("a note alone: %+v", rows[5])
	}
	if r := rows[6]; len(r.Bodies) != 2 || r.Reading.InFeeder.IsZero() {
		t.Errorf("a weight with the feeder seen empty: %+v", r)
	}
}

func TestDraftDitto(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	rows := st.Draft(usSheet(stores.LiftBoth), []season.Cells{{Colony: "m1", First: "48", Second: "45"}, {Colony: "m2", First: "/", Second: "/"}, {Colony: "m3", First: "/", Second: "40"}})
	for i, want := range []string{"45 lb", "45 lb", "40 lb"} {
		if r := rows[i]; r.Reading.Lift1.String() != "48 lb" || r.Reading.Lift2.String() != want {
			t.Errorf("row %d: %+v", i, r.Reading)
		}
	}
}

func TestDraftRefusesWhatCannotBe(t *testing.T) {
	for _, c := range []struct {
		way  stores.Way
		in   season.Cells
		cell string
	}{
		{stores.Full, season.Cells{First: "abc"}, season.CellFirst},
		{stores.Full, season.Cells{First: "1e3"}, season.CellFirst},
		{stores.Full, season.Cells{First: "-5"}, season.CellFirst},
		{stores.Full, season.Cells{First: "1200"}, season.CellFirst},    // 544 kg
		{stores.Full, season.Cells{First: "2"}, season.CellFirst},       // 0.9 kg
		{stores.Full, season.Cells{First: "93 qt"}, season.CellFirst},   // a volume
		{stores.Full, season.Cells{First: "93 95"}, season.CellFirst},   // two numbers
		{stores.LiftBoth, season.Cells{First: "48"}, season.CellSecond}, // the second side
		{stores.Full, season.Cells{First: "93", Second: "48"}, season.CellSecond},
		{stores.Full, season.Cells{First: "93", Feeder: "full"}, season.CellFeeder},
		{stores.Hand, season.Cells{First: "medium-ish"}, season.CellFirst},
		{stores.Frames, season.Cells{First: "6"}, season.CellFirst}, // two kinds of box: which?
		{stores.Full, season.Cells{Way: "guess", First: "6"}, season.CellWay},
	} {
		_, bad := draftOne(t, c.way, c.in)
		if _, ok := bad[c.cell]; !ok || len(bad) != 1 {
			t.Errorf("%s %+v: trouble %v, want it in %s", c.way, c.in, bad, c.cell)
		}
	}
}

func TestReadFrames(t *testing.T) {
	two, err := newSmallStack()
	if err != nil {
		t.Fatal(err)
	}
	l := units.Locale{Decimal: '.'}
	for text, want := range map[string][]stores.FrameCount{
		"4; 2¼":                            {{Box: "lang10-deep", Sealed: 4}, {Box: "lang10-medium", Sealed: 2.25}},
		"4 1/2; 0":                         {{Box: "lang10-deep", Sealed: 4.5}, {Box: "lang10-medium"}},
		"0;4+1 open":                       {{Box: "lang10-deep"}, {Box: "lang10-medium", Sealed: 4, Open: 1}},
		"lang10-medium 3.5; lang10-deep 1": {{Box: "lang10-medium", Sealed: 3.5}, {Box: "lang10-deep", Sealed: 1}},
	} {
		got, err := season.ReadFrames(text, two, l)
		if err != nil || len(got) != len(want) {
			t.Errorf("%q: %v %v", text, got, err)
			continue
		}
		for i := range want {
			if got[i] != want[i] {
				t.Errorf("%q: %v, want %v", text, got, want)
			}
		}
	}
	for _, text := range []string{"", ";", "x", "-1; 2", "4 + 1", "4; 2; 1", "no-such-box 4"} {
		if got, err := season.ReadFrames(text, two, l); err == nil {
			t.Errorf("%q read as %v", text, got)
		}
	}
}

func TestJudgeDraftIsWhatKeepingMakes(t *testing.T) {
	s := newSmall(t)
	st := s.journal(t).AsOf(at)
	sheet := usSheet(stores.Full)
	rows := st.Draft(sheet, []season.Cells{{Colony: "m1", First: "-"}, {Colony: "h2", First: "84"}, {Colony: "m2", First: "x"}, {Colony: "m1", First: "86"}})
	made, err := st.JudgeDraft(sheet, rows, at)
	if err != nil {
		t.Fatal(err)
	}
	if len(made) != 2 || made[0].Row != 1 || made[1].Row != 3 {
		t.Fatalf("judged rows %+v", made)
	}
	// Kept for good, the same readings must make the same.
	s.add(4, stores.Reading{Colony: "h2", Way: stores.Full, Gross: units.Entered[units.Mass]{Q: 84 * units.Pound, As: "84 lb"}})
	s.add(4, stores.Reading{Colony: "m1", Way: stores.Full, Gross: units.Entered[units.Mass]{Q: 86 * units.Pound, As: "86 lb"}})
	kept := s.journal(t).AsOf(at)
	for i, id := range []string{"h2", "m1"} {
		want := find(t, kept.Short(at), id)
		got := made[i].Short
		if math.Abs(got.Stores().Mean-want.Stores().Mean) > 1e-9 || got.Lack.Syrup != want.Lack.Syrup {
			t.Errorf("%s: drafted %v short %v, kept %v short %v", id, got.Stores(), got.Lack.Syrup, want.Stores(), want.Lack.Syrup)
		}
		if len(made[i].Ask) > 0 {
			t.Errorf("%s: %v", id, made[i].Ask)
		}
	}
	// The state itself is as it was.
	if j, _ := st.JudgeOne("h2", at); j.Stores().Known {
		t.Error("judging a draft changed the state")
	}
}

func TestJudgeDraftAsksAboutSlips(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	sheet := usSheet(stores.Full)
	for text, code := range map[string]string{
		"415": "above-room",   // for 41.5: more than its combs hold
		"40":  "below-empty",  // less than the empty hive
		"140": "does-not-fit", // 38 kg yesterday, 63.5 today
	} {
		rows := st.Draft(sheet, []season.Cells{{Colony: "m1", First: text}})
		made, err := st.JudgeDraft(sheet, rows, at)
		if err != nil || len(made) != 1 || len(made[0].Ask) == 0 || made[0].Ask[0].Code != code {
			t.Errorf("%s lb: %+v %v, want %s", text, made[0].Ask, err, code)
		}
	}
}

func TestJudgeDraftAsksAboutTheOddOneOfAYard(t *testing.T) {
	s := newSmall(t)
	stack, _ := newSmallStack()
	for i, kg := range []units.Mass{38, 39, 38.5, 39.5, 38, 39} {
		id := "m1" + string(rune('0'+i))
		s.add(-20, apiary.Placed{Colony: apiary.Colony{ID: id, Yard: "far", Stand: i + 1, Kind: apiary.Full, Stack: stack}})
		if i > 0 {
			s.add(3, stores.Reading{Colony: id, Way: stores.Full, Gross: units.In(kg)})
		}
	}
	st := s.journal(t).AsOf(at)
	sheet := usSheet(stores.Full)
	for text, want := range map[string]bool{"39 kg": false, "58 kg": true} {
		made, err := st.JudgeDraft(sheet, st.Draft(sheet, []season.Cells{{Colony: "m10", First: text}}), at)
		if err != nil {
			t.Fatal(err)
		}
		far := len(made[0].Ask) > 0 && made[0].Ask[0].Code == "far-from-yard"
		if far != want {
			t.Errorf("%s: asked %v", text, made[0].Ask)
		}
	}
}

func TestSupposeRefusesWhatTheJournalMustWeigh(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	for _, body := range []any{season.Setting{Key: "rig.tank", Value: "100 L"}, season.Strike{Fact: season.ID{1}}} {
		_, err := st.Suppose(season.Fact{ID: season.ID{9}, Seen: at, Body: body})
		if err == nil || !strings.Contains(err.Error(), "cannot be supposed") {
			t.Errorf("%T: %v", body, err)
		}
	}
}

func newSmallStack() (hive.Stack, error) { return hive.ParseStack("lang10-deep + lang10-medium") }

// A word that is no heft is told the words there are, and a weight.
func TestDraftNamesTheHeftsOfAHand(t *testing.T) {
	d := newSmall(t).journal(t).AsOf(at).Draft(usSheet(stores.Full), []season.Cells{{Colony: "m1", First: "ligth"}})
	if len(d) != 1 || len(d[0].Trouble) != 1 || !strings.Contains(d[0].Trouble[0].Hint, "light, fair or heavy") || !strings.Contains(d[0].Trouble[0].Hint, "48 lb") {
		t.Errorf("%+v", d)
	}
}
