package season_test

import (
	"slices"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

func TestReadYards(t *testing.T) {
	us := units.Locale{Decimal: '.', System: units.US}
	for _, c := range []struct {
		text string
		want []season.NewYard
	}{
		{"Home 24\nMill Lane 18, 6 mi\n", []season.NewYard{
			{Line: 1, Name: "Home", ID: "home", Count: 24}, {Line: 2, Name: "Mill Lane", ID: "mill-lane", Count: 18, Road: 6 * units.Mile}}},
		{"Mill 18, 6\r\n", []season.NewYard{{Line: 1, Name: "Mill", ID: "mill", Count: 18, Road: 6 * units.Mile}}},
		{"Hill: 14, 15; 16A", []season.NewYard{{Line: 1, Name: "Hill", ID: "hill", Hives: []string{"14", "15", "16A"}}}},
		{"Hill: 14-16, m1-m3, x-1", []season.NewYard{{Line: 1, Name: "Hill", ID: "hill", Hives: []string{"14", "15", "16", "m1", "m2", "m3", "x-1"}}}},
		{"Mill\tA\nMill\tB\nHill\t7", []season.NewYard{
			{Line: 1, Name: "Mill", ID: "mill", Hives: []string{"A", "B"}}, {Line: 3, Name: "Hill", ID: "hill", Hives: []string{"7"}}}},
		{"Mill\t18\nHill\t7", []season.NewYard{{Line: 1, Name: "Mill", ID: "mill", Count: 18}, {Line: 2, Name: "Hill", ID: "hill", Count: 7}}},
		{"\n Café del Río 3 ", []season.NewYard{{Line: 2, Name: "Café del Río", ID: "café-del-río", Count: 3}}},
		{"Yard 2 5", []season.NewYard{{Line: 1, Name: "Yard 2", ID: "yard-2", Count: 5}}},
	} {
		got, bad := season.ReadYards(c.text, us)
		if len(bad) > 0 {
			t.Errorf("%q: %v", c.text, bad[0].Err)
		}
		if !slices.EqualFunc(got, c.want, func(a, b season.NewYard) bool {
			return a.Line == b.Line && a.Name == b.Name && a.ID == b.ID && a.Count == b.Count && a.Road == b.Road && slices.Equal(a.Hives, b.Hives)
		}) {
			t.Errorf("%q:\n got %+v\nwant %+v", c.text, got, c.want)
		}
	}
	if got, _ := season.ReadYards("Mill 18, 6", units.Locale{Decimal: ',', System: units.Metric}); len(got) != 1 || got[0].Road != 6*units.Kilometre {
		t.Errorf("%+v", got)
	}
}

func TestReadYardsTellsWhatItCannotRead(t *testing.T) {
	for text, want := range map[string]fault.Kind{
		"":                             fault.Missing,
		"Home":                         fault.NotUnderstood,
		"Home 0":                       fault.NotUnderstood,
		"Home -3":                      fault.NotUnderstood,
		"Home 1e3":                     fault.NotUnderstood,
		"Home 99999":                   fault.NotUnderstood,
		"?? 24":                        fault.Missing,
		"Home 24\nhome 3":              fault.Conflict,
		"Hill: ":                       fault.Missing,
		"Hill: 20-14":                  fault.NotUnderstood,
		"Hill: a, a":                   fault.Conflict,
		"Home 24, 6 lb":                fault.NotUnderstood,
		"Home 24, 9000 mi":             fault.OutOfRange,
		"A 2000\nB 2000":               fault.OutOfRange,
		strings.Repeat("x", 70) + " 3": fault.OutOfRange,
	} {
		got, bad := season.ReadYards(text, units.Locale{Decimal: '.'})
		if len(bad) != 1 || bad[0].Err.Kind != want {
			t.Errorf("%.20q: %+v, %+v; want %v", text, got, bad, want)
		}
	}
	// The good lines are read all the same.
	if got, bad := season.ReadYards("Home 24\nMill\nHill 3", units.Locale{}); len(got) != 2 || len(bad) != 1 || bad[0].Line != 2 || bad[0].Text != "Mill" {
		t.Errorf("%+v %+v", got, bad)
	}
}

// TestHivesNamedAfterALongName: found by fuzzing. A yard may have a name of 64
// bytes, and "-1" after it is more than a hive may have.
func TestHivesNamedAfterALongName(t *testing.T) {
	long := strings.Repeat("a", 63)
	for text, refused := range map[string]bool{long + " 1": true, long[:62] + " 9": false, long[:62] + " 10": true, long + ": 1, 2": false} {
		got, bad := season.ReadYards(text, units.Locale{})
		if (len(bad) == 1) != refused || (len(got) == 0) != refused || refused && bad[0].Err.Hint == "" {
			t.Errorf("%q: %+v, %+v; refused should be %v", text, got, bad, refused)
		}
	}
	if _, err := season.ReadHives("2", long[:62], 9); err == nil {
		t.Error("hives 9 and 10 of a yard with room for one digit")
	}
}

func FuzzReadYards(f *testing.F) {
	for _, s := range []string{"Home 24\nMill 18, 6 mi", "Hill: 14, 15, 16A", "a\tb\na\tc", "a: 1-3000", "ß 3\r\nÅ 4", "x:y:z", "\x00 3", "A 1,000"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 4000 {
			return
		}
		for _, l := range []units.Locale{{Decimal: '.', System: units.US}, {Decimal: ',', System: units.Metric}} {
			got, bad := season.ReadYards(text, l)
			if len(got)+len(bad) == 0 {
				t.Fatal("neither read nor refused")
			}
			st := season.NewJournal().AsOf(units.Moment{})
			m := st.Make(got, season.Usual{}, nil)
			for _, b := range m.Bodies {
				fact := season.Fact{ID: season.ID{1}, Seen: at, Body: b}
				if err := fact.Check(); err != nil {
					t.Fatalf("%q makes a fact that cannot be kept: %v", text, err)
				}
			}
		}
	})
}

// made is a book into which lists are typed.
type made struct {
	t *testing.T
	s *small
}

func (m made) st() *season.State { return m.s.journal(m.t).AsOf(units.Moment{}) }

func (m made) take(text string, usual season.Usual, before *season.Before) season.Making {
	m.t.Helper()
	list, bad := season.ReadYards(text, units.Locale{Decimal: '.', System: units.US})
	if len(bad) > 0 {
		m.t.Fatalf("%q: %v", text, bad[0].Err)
	}
	out := m.st().Make(list, usual, before)
	if len(out.Trouble) > 0 {
		return out
	}
	for _, b := range out.Bodies {
		m.s.add(1, b)
	}
	for _, id := range out.Strike {
		m.s.add(1, season.Strike{Fact: id})
	}
	return out
}

func (m made) names(yard string) string {
	var out []string
	for _, c := range m.st().HivesAt(yard) {
		out = append(out, c.ID)
	}
	return strings.Join(out, " ")
}

func TestMakeFromAList(t *testing.T) {
	m := made{t, &small{}}
	usual := season.Usual{Stack: mustStack(t, "lang10-deep x2"), Feeder: "tray-2", Yard: apiary.Yard{Climate: apiary.Cold, Stop: day(30)}}
	out := m.take("Home 3\nMill Lane 2, 6 mi", usual, nil)
	if out.Yards != 2 || out.Hives != 5 || m.names("home") != "home-1 home-2 home-3" || m.names("mill-lane") != "mill-lane-1 mill-lane-2" {
		t.Fatalf("%+v: %s, %s", out, m.names("home"), m.names("mill-lane"))
	}
	st := m.st()
	y, _ := st.Yard("mill-lane")
	c, _ := st.Colony("mill-lane-2")
	road, ok := st.Road("", "mill-lane")
	if y.Name != "Mill Lane" || y.Climate != apiary.Cold || y.Stop != day(30) || c.Stand != 2 || c.Kind != apiary.Full || c.Feeder != "tray-2" || !ok || road.Dist != 6*units.Mile {
		t.Errorf("%+v %+v %+v", y, c.Colony, road)
	}

	// The same list again changes nothing.
	if out := m.take("Home 3\nMill Lane 2, 6 mi", usual, nil); len(out.Bodies)+len(out.Strike)+len(out.Trouble) > 0 {
		t.Errorf("%+v", out)
	}
	// More, fewer, another woodenware, a yard less: what was typed wrongly is put
	// right by typing it again.
	before := &season.Before{Yards: []string{"home", "mill-lane"}, Usual: usual}
	other := usual
	other.Stack, other.Feeder = mustStack(t, "nuc5-deep"), "nuc-tray"
	out = m.take("Home 4", other, before)
	if out.Hives != 1 || out.Gone != 2 || m.names("home") != "home-1 home-2 home-3 home-4" || m.names("mill-lane") != "" {
		t.Fatalf("%+v: %s, %s", out, m.names("home"), m.names("mill-lane"))
	}
	c, _ = m.st().Colony("home-1")
	if c.Stack.String() != other.Stack.String() || c.Feeder != "nuc-tray" || c.Kind != apiary.Nuc {
		t.Errorf("%+v", c.Colony)
	}
	if y, _ := m.st().Yard("mill-lane"); !y.Closed {
		t.Error("a yard with no line must be closed")
	}
	m.take("Home 2\nMill Lane 1", other, &season.Before{Yards: []string{"home"}, Usual: other})
	if m.names("home") != "home-1 home-2" || m.names("mill-lane") != "mill-lane-1" {
		t.Errorf("%s, %s", m.names("home"), m.names("mill-lane"))
	}
	if y, _ := m.st().Yard("mill-lane"); y.Closed {
		t.Error("a yard that is typed again must be open")
	}
}

func TestMakeAsksBeforeItWritesOver(t *testing.T) {
	usual := season.Usual{Stack: mustStack(t, "lang10-deep x2")}
	m := made{t, newSmall(t)}
	for text, what := range map[string]string{
		"Creek: m1, c1":           "a hive that stands in another yard",
		"Creek: a, b\nBank: b, c": "a name twice on the list",
	} {
		if out := m.take(text, usual, nil); len(out.Trouble) == 0 || out.Trouble[0].Err.Kind != fault.Conflict {
			t.Errorf("%s: %+v", what, out)
		}
	}
	// m1 was weighed: it does not vanish because a list got shorter.
	out := m.take("mill: m2, m3", usual, &season.Before{Yards: []string{"mill"}, Usual: usual})
	if len(out.Trouble) != 1 || out.Trouble[0].Err.Kind != fault.Conflict {
		t.Errorf("%+v", out)
	}
	// Without the list before, nothing is ever taken back.
	if out := m.take("mill: m2, m3", usual, nil); out.Gone != 0 || len(out.Trouble) > 0 || m.names("mill") != "m1 m2 m3" {
		t.Errorf("%+v: %s", out, m.names("mill"))
	}
	// A dead colony's name is not used again.
	m.s.add(4, apiary.Ended{Colony: "m3", State: apiary.Dead})
	if out := m.take("Creek: m3", usual, nil); len(out.Trouble) != 1 {
		t.Errorf("%+v", out)
	}
	// A reading may come before anybody says where the hive stands.
	m.s.add(4, stores.Reading{Colony: "z1", Way: stores.Full, Gross: units.In(units.Mass(40))})
	if out := m.take("Creek: z1", usual, nil); out.Hives != 1 || len(out.Trouble) > 0 {
		t.Errorf("%+v", out)
	}
}

func TestAddHives(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	usual := season.Usual{Stack: mustStack(t, "lang10-deep x2"), Feeder: "tray-2"}
	names, err := season.ReadHives("2", "mill", st.NextNumber("mill"))
	if err != nil || !slices.Equal(names, []string{"mill-1", "mill-2"}) {
		t.Fatal(names, err)
	}
	got, err := st.AddHives("mill", names, usual)
	if err != nil || len(got) != 2 || got[0].(apiary.Placed).Colony.Stand != 4 {
		t.Errorf("%+v %v", got, err)
	}
	if _, err := st.AddHives("mill", []string{"h1"}, usual); !fault.Is(err, fault.Conflict) {
		t.Error(err)
	}
	usual.Feeder = "nuc-tray" // does not go on a Langstroth
	if _, err := st.AddHives("mill", []string{"n1"}, usual); !fault.Is(err, fault.WontFit) {
		t.Error(err)
	}
}

// What a yard's line says reads back as the same yard.
func TestYardLineReadsBack(t *testing.T) {
	usual := season.Usual{Stack: mustStack(t, "lang10-deep x2")}
	for _, style := range []units.Style{{}, {System: units.Metric, Decimal: ','}} {
		for _, text := range []string{"Home 3", "Mill Lane 2, 6.25 mi", "Hill: 14, x1, B"} {
			m := made{t, &small{}}
			m.take(text, usual, nil)
			id := m.st().Yards()[0].ID
			line := m.st().YardLine(id, style)
			list, bad := season.ReadYards(line, style.Locale())
			if len(bad) > 0 {
				t.Fatalf("%q: %v", line, bad[0].Err)
			}
			if out := m.st().Make(list, usual, &season.Before{Yards: []string{id}, Usual: usual}); len(out.Bodies)+len(out.Strike)+len(out.Trouble) > 0 {
				t.Errorf("%q, written as %q, is read as %+v", text, line, out)
			}
		}
	}
}

// Several hives that died or were sold: by name, by ranges, all of a kind; nothing is
// made of a name that is not there.
func TestEndHives(t *testing.T) {
	m := made{t, &small{}}
	m.take("Home 4", season.Usual{Stack: mustStack(t, "lang10-deep"), Feeder: ""}, nil)
	m.take("Mill 2", season.Usual{Stack: mustStack(t, "nuc5-deep"), Feeder: ""}, nil)
	m.take("Barn2 3", season.Usual{Stack: mustStack(t, "nuc5-deep"), Feeder: ""}, nil)
	more, err := m.st().AddHives("barn2", []string{"m1", "M1", "m2", "m3", "q1", "qA", "Qa"}, season.Usual{Stack: mustStack(t, "nuc5-deep")})
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range more {
		m.s.add(1, b)
	}
	for _, c := range []struct {
		yard string
		end  season.HivesEnd
		kind fault.Kind
		want string
	}{
		{"home", season.HivesEnd{Names: "HOME-2; home-4", State: apiary.Sold, Cause: "mites"}, 0, "home-2 sold, home-4 sold"},
		{"home", season.HivesEnd{Names: "home-1", State: apiary.Dead, Cause: "mites"}, 0, "home-1 dead mites"},
		{"home", season.HivesEnd{All: true, State: apiary.Sold}, 0, "home-1 sold, home-2 sold, home-3 sold, home-4 sold"},
		{"mill", season.HivesEnd{Kind: apiary.Nuc, State: apiary.Sold}, 0, "mill-1 sold, mill-2 sold"},
		{"mill", season.HivesEnd{Kind: apiary.Full, State: apiary.Sold}, fault.Missing, ""},
		{"home", season.HivesEnd{Names: "home-1, mill-1", State: apiary.Sold}, fault.NotFound, ""},
		{"home", season.HivesEnd{Names: "home-1, HOME-1;home-1", State: apiary.Sold}, 0, "home-1 sold"},
		{"home", season.HivesEnd{Names: "home-1 - home-3", State: apiary.Sold}, 0, "home-1 sold, home-2 sold, home-3 sold"},
		{"home", season.HivesEnd{Names: "home-2-4", State: apiary.Sold}, 0, "home-2 sold, home-3 sold, home-4 sold"},
		{"home", season.HivesEnd{Names: "home-3-1", State: apiary.Sold}, fault.NotFound, ""},
		{"home", season.HivesEnd{Names: "home-1-9", State: apiary.Sold}, fault.NotFound, ""},
		{"barn2", season.HivesEnd{Names: "barn2-1, barn2-3", State: apiary.Sold}, 0, "barn2-1 sold, barn2-3 sold"},
		{"barn2", season.HivesEnd{Names: "m2", State: apiary.Sold}, 0, "m2 sold"},
		{"barn2", season.HivesEnd{Names: "M1", State: apiary.Sold}, 0, "M1 sold"},
		{"barn2", season.HivesEnd{Names: "m1-m3", State: apiary.Sold}, 0, "m1 sold, m2 sold, m3 sold"},
		{"barn2", season.HivesEnd{Names: "QA", State: apiary.Sold}, fault.Conflict, ""},
		{"barn2", season.HivesEnd{Names: ", ;", State: apiary.Sold}, fault.Missing, ""},
		{"home", season.HivesEnd{Names: " ", State: apiary.Sold}, fault.Missing, ""},
		{"home", season.HivesEnd{Names: "2", State: apiary.Sold}, fault.NotFound, ""},
		{"home", season.HivesEnd{Names: "home-1"}, fault.Missing, ""},
		{"home", season.HivesEnd{State: apiary.Dead}, fault.Missing, ""},
		{"home", season.HivesEnd{Names: "home-1", State: apiary.Joined}, fault.Missing, ""},
	} {
		bodies, err := m.st().EndHives(c.yard, c.end)
		var got []string
		for _, b := range bodies {
			e := b.(apiary.Ended)
			got = append(got, strings.TrimSpace(strings.Join([]string{e.Colony, string(e.State), e.Cause}, " ")))
		}
		if strings.Join(got, ", ") != c.want || (c.want == "") != fault.Is(err, c.kind) {
			t.Errorf("%+v: %q, %v", c.end, got, err)
		}
	}
}

// A nuc that goes into a full-size box is one no longer, unless it was called so by
// the keeper; the size told of a feeder goes with the feeder.
func TestSetHives(t *testing.T) {
	m := made{t, &small{}}
	m.take("Home 3", season.Usual{Stack: mustStack(t, "nuc5-deep"), Feeder: "nuc-tray"}, nil)
	m.s.add(1, apiary.FeederSet{Colony: "home-1", Feeder: "nuc-tray", Volume: 2 * units.Litre})
	own, _ := m.st().Colony("home-2")
	called := own.Colony
	called.Kind = apiary.Full
	m.s.add(1, apiary.Placed{Colony: called})
	take := func(set season.HiveSet) error {
		t.Helper()
		bodies, err := m.st().SetHives("home", set)
		for _, b := range bodies {
			m.s.add(1, b)
		}
		return err
	}
	tray := "tray-2"
	if err := take(season.HiveSet{Feeder: &tray}); err == nil || !strings.Contains(err.Error(), "home-1: ") {
		t.Errorf("a tray as wide as a full hive on a nuc: %v", err)
	}
	if err := take(season.HiveSet{Kind: apiary.Nuc, Stack: mustStack(t, "lang10-deep"), Feeder: &tray}); err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]struct {
		kind          apiary.Kind
		stack, feeder string
	}{
		"home-1": {apiary.Full, "lang10-deep", tray}, "home-2": {apiary.Full, "nuc5-deep", "nuc-tray"}, "home-3": {apiary.Full, "lang10-deep", tray},
	} {
		c, _ := m.st().Colony(id)
		if c.Kind != want.kind || c.Stack.String() != want.stack || c.Feeder != want.feeder || c.FeederVolume != 0 {
			t.Errorf("%s: %s in %s with %q of %v", id, c.Kind, c.Stack, c.Feeder, c.FeederVolume)
		}
	}
	none := ""
	for what, set := range map[string]season.HiveSet{"nothing": {}, "no nucs are left": {Kind: apiary.Nuc, Feeder: &none}} {
		if err := take(set); !fault.Is(err, fault.Missing) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// A number with a word for hives behind it is how many, in both languages; of nucs
// the boxes are to be told, and among names it is not a name.
func TestHowManyIsNoName(t *testing.T) {
	for _, text := range []string{"4 hives", "4 colonies", "4 Colmenas", "4 colonias"} {
		if got, err := season.ReadHives(text, "hill", 3); err != nil || strings.Join(got, " ") != "hill-3 hill-4 hill-5 hill-6" {
			t.Errorf("%s: %v %v", text, got, err)
		}
	}
	for text, hint := range map[string]string{"4 nucs": "type 4 alone", "4 núcleos": "type 4 alone", "1 nuc": "type 1 alone", "a1, 4 nucs": "type 4 alone", "a1, 4 hives": "names with commas"} {
		if got, err := season.ReadHives(text, "hill", 3); err == nil || !strings.Contains(fault.HintOf(err), hint) {
			t.Errorf("%s: %v, %v (%s)", text, got, err, fault.HintOf(err))
		}
	}
	if _, bad := season.ReadYards("Hill: 4 nucs", units.Locale{}); len(bad) != 1 {
		t.Errorf("a first list: %+v", bad)
	}
	for _, name := range []string{"nuc 4", "4n", "4 red"} {
		if got, err := season.ReadHives(name, "hill", 3); err != nil || len(got) != 1 || got[0] != name {
			t.Errorf("%s: %v %v", name, got, err)
		}
	}
}
