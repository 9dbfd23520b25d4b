package season_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// table cuts a table written with bars, for reading's sake.
func table(text string) [][]string {
	var out [][]string
	for _, line := range strings.Split(strings.Trim(text, "\n"), "\n") {
		var row []string
		for _, c := range strings.Split(line, "|") {
			row = append(row, strings.TrimSpace(c))
		}
		out = append(out, row)
	}
	return out
}

func pasteOf(text string) season.Paste {
	head, rows := season.SplitHead(table(text))
	first := 1
	if head != nil {
		first = 2
	}
	return season.Paste{Head: head, Rows: rows, First: first, Usual: "lb", FeedUnit: "US gal", Today: day(10), Day: day(4),
		Locale: units.Locale{Decimal: '.', System: units.US}, NewYard: "mill"}
}

func fates(p season.PasteRead) string {
	var b strings.Builder
	for _, r := range p.Rows {
		fmt.Fprintf(&b, "%d:%s ", r.N, r.Fate)
	}
	return strings.TrimSpace(b.String())
}

func fieldsOf(p season.PasteRead) []season.Field {
	var out []season.Field
	for _, c := range p.Columns {
		out = append(out, c.Field)
	}
	return out
}

func TestPasteOfASpreadsheet(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	p := st.ReadPaste(pasteOf(`
Hive   | Date       | Hive weight (kg) | Remarks
M 01   | 2026-09-04 | 41,5             | windy
m2     | 2026-09-04 | 46,0             |
m3     | 2026-09-04 | abc              |
hive h1| 2026-09-04 | -                |
h2     | 2026-09-04 |                  |
X9     | 2026-09-04 | 40,0             |
m1     | 2026-09-04 | 41,5             | again
       |            | 12               |
       |            |                  |
m2     | 2027-01-01 | 40,0             |
`))
	if got, want := fieldsOf(p), []season.Field{season.FieldHive, season.FieldDate, season.FieldWeight, season.FieldNote}; !slices.Equal(got, want) {
		t.Errorf("columns %v, want %v", got, want)
	}
	if p.Unit != "kg" || p.Columns[2].Decimal != ',' || !p.Columns[2].Sure {
		t.Errorf("unit %q, decimal %q", p.Unit, p.Columns[2].Decimal)
	}
	if got, want := fates(p), "2:take 3:take 4:bad 5:blank 6:blank 7:name 8:same 9:bad 10:blank 11:bad"; got != want {
		t.Errorf("rows  %s\nwant %s", got, want)
	}
	if len(p.Names) != 1 || p.Names[0].Name != "X9" || p.Names[0].Choice != season.NameLeave {
		t.Errorf("names %+v", p.Names)
	}
	b := p.Bodies()
	if len(b) != 2 {
		t.Fatalf("%d facts", len(b))
	}
	r := b[0].Body.(stores.Reading)
	if r.Colony != "m1" || r.Gross.Q != 41.5 || r.Note != "windy" || b[0].Seen != units.OnDay(day(4)) {
		t.Errorf("first reading %+v at %s", r, b[0].Seen)
	}
	if w := p.Rows[2].Why; len(w) != 1 || w[0].Cell != "Hive weight (kg)" {
		t.Errorf("why not: %+v", w)
	}
}

func TestPastePassesOverWhatIsKnown(t *testing.T) {
	s := newSmall(t) // m1 was weighed at 38 kg on the third
	s.add(4, ledger.Left{Colony: "m2", Volume: units.In(units.Volume(0.5))})
	st := s.journal(t).AsOf(at)
	p := st.ReadPaste(pasteOf(`
hive | date       | weight | feeder
m1   | 2026-09-03 | 38 kg  |
m1   | 2026-09-04 | 38 kg  |
m2   | 2026-09-04 |        | 0.5 L
m2   | 2026-09-04 |        | 0
`))
	if got, want := fates(p), "2:same 3:take 4:same 5:take"; got != want {
		t.Errorf("rows %s, want %s", got, want)
	}
}

func TestPasteGuessesWithoutAHead(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	for text, want := range map[string][]season.Field{
		"m1|93\nm2|95":     {season.FieldHive, season.FieldWeight},
		"93 lb|m1\n95|m2":  {season.FieldWeight, season.FieldHive},
		"m1|21.5\nm2|20.8": {season.FieldHive, season.FieldWeight}, // not the 21st of May
		"m1|4 Sep|light|by the gate\nm2|4 Sep|h|x": {season.FieldHive, season.FieldDate, season.FieldHeft, season.FieldNone},
		"no|first lift|second lift\nm1|48|45":      {season.FieldHive, season.FieldLift1, season.FieldLift2},
		"Yard|Hive|Total weight lbs\nmill|m1|93":   {season.FieldNone, season.FieldHive, season.FieldWeight},
		"m1|93|48\nX9|95|49\nM3x|96|47":            {season.FieldHive, season.FieldWeight, season.FieldNone},
		"701|93\n702|95":                           {season.FieldHive, season.FieldWeight},
		"Fecha|Colmena|Peso (kg)\n4.9.2026|m1|42":  {season.FieldDate, season.FieldHive, season.FieldWeight},
	} {
		if got := fieldsOf(st.ReadPaste(pasteOf(text))); !slices.Equal(got, want) {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}

func TestPasteDecidesTheDecimalMarkByColumn(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	for _, c := range []struct {
		cells string
		mark  rune
		sure  bool
		first float64 // of the first cell, in kg; 0 = it is asked about
	}{
		{"m1|1,234\nm2|48,5\nm3|47,25", ',', true, 1.234},
		{"m1|1,234\nm2|48.5", '.', true, 0}, // 1234 kg
		{"m1|1,234\nm2|48", '.', false, 0},  // as the keeper has it, who writes 48.5
		{"m1|48\nm2|47", 0, false, 48},
		{"m1|48,5\nm2|48.5\nm3|47,5", ',', true, 48.5},
	} {
		p := pasteOf(c.cells)
		p.Unit = "kg"
		got := st.ReadPaste(p)
		col := got.Columns[1]
		if col.Decimal != c.mark || col.Sure != c.sure {
			t.Errorf("%q: decimal %q sure %v", c.cells, col.Decimal, col.Sure)
		}
		r := got.Rows[0]
		if c.first == 0 && r.Fate != season.FateBad || c.first != 0 && r.Draft.Reading.Gross.Q.Kg() != c.first {
			t.Errorf("%q: first row %s %v", c.cells, r.Fate, r.Draft.Reading.Gross)
		}
	}
}

func TestPasteAsksInWhichOrderDaysAre(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	p := pasteOf("hive|date|weight\nm1|3/9/2026|93\nm2|4/9/2026|93")
	got := st.ReadPaste(p)
	if !got.AskOrder || fates(got) != "2:bad 3:bad" {
		t.Errorf("asked %v, rows %s", got.AskOrder, fates(got))
	}
	p.Order = season.DayFirst
	got = st.ReadPaste(p)
	if got.AskOrder || fates(got) != "2:take 3:take" || got.Rows[1].Seen.Day() != day(4) {
		t.Errorf("told: asked %v, rows %s", got.AskOrder, fates(got))
	}
	p = pasteOf("hive|date|weight\nm1|9/3/2026|93\nm2|8/31/2026|93")
	if got = st.ReadPaste(p); got.AskOrder || got.Rows[0].Seen.Day() != day(3) {
		t.Errorf("31 decides: %+v", got.Rows[0])
	}
}

func TestPasteMakesNewHivesAndMatchesOthers(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	p := pasteOf("hive|weight|frames\nnew 1|93|\nNEW 01|94|\nnew 2||4; 2\nmm2|95|\nm9|96|")
	p.Names = map[string]string{"new 1": season.NameNew, "NEW 01": season.NameNew, "new 2": season.NameNew, "mm2": "m2", "m9": "nobody"}
	p.NewStack, _ = newSmallStack()
	got := st.ReadPaste(p)
	if f := fates(got); f != "2:take 3:take 4:take 5:take 6:name" {
		t.Fatalf("rows %s %+v", f, got.Rows)
	}
	if len(got.New) != 2 || got.New[0].Colony.ID != "new 1" || got.New[1].Colony.Stand != got.New[0].Colony.Stand+1 || got.NewYard.ID != "" {
		t.Errorf("new hives %+v in %+v", got.New, got.NewYard)
	}
	if got.Rows[3].Colony != "m2" || !slices.Contains(got.Names[3].Near, "m2") {
		t.Errorf("mm2 is %q, near %v", got.Rows[3].Colony, got.Names[3].Near)
	}
	// Kept, they can all be judged.
	s := newSmall(t)
	for _, b := range got.Bodies() {
		s.add(4, b.Body)
	}
	x := find(t, s.journal(t).AsOf(at).Short(at), "new 2")
	if !x.Stores().Known {
		t.Errorf("new 2: %v", x.Why())
	}
}

func TestPasteIntoAnEmptyHouseMakesTheHives(t *testing.T) {
	p := pasteOf("1|48 lb\n2|50 lb\n3|x")
	p.NewYard = "Home"
	got := season.NewJournal().Now().ReadPaste(p)
	if f := fates(got); f != "1:take 2:take 3:bad" || len(got.New) != 2 || got.NewYard.ID != "Home" {
		t.Fatalf("rows %s, new %+v, yard %+v", f, got.New, got.NewYard)
	}
	b := got.Bodies()
	if _, ok := b[0].Body.(apiary.Yard); !ok || len(b) != 5 {
		t.Errorf("facts %+v", b)
	}
}

func TestPasteSaysWhatIsMissing(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	got := st.ReadPaste(pasteOf("a|b\nx|y"))
	if !got.NoRead {
		t.Errorf("%+v", got)
	}
	p := pasteOf("hive|weight|total\nm1|93|94")
	p.Fields = []season.Field{season.FieldHive, season.FieldWeight, season.FieldWeight}
	if got = st.ReadPaste(p); !slices.Equal(got.Twice, []season.Field{season.FieldWeight}) {
		t.Errorf("twice %v", got.Twice)
	}
	p = pasteOf("hive|weight|frames\nm1|93|4; 2")
	if got = st.ReadPaste(p); fates(got) != "2:bad" {
		t.Errorf("two kinds of reading in a row: %s", fates(got))
	}
}

func TestNameKey(t *testing.T) {
	for a, b := range map[string]string{"014": "14", "Hive 14": "14", "M 02": "m2", "a-07": "A7", "#3": "3", "000": "0", "Nr. 5": "5"} {
		if season.NameKey(a) != season.NameKey(b) {
			t.Errorf("%q and %q differ: %q %q", a, b, season.NameKey(a), season.NameKey(b))
		}
	}
	for a, b := range map[string]string{"14": "41", "m2": "m20", "hive": "14", "1 4": "15"} {
		if season.NameKey(a) == season.NameKey(b) {
			t.Errorf("%q and %q are one", a, b)
		}
	}
}

// Every row has one fate, facts come only from rows that are taken, and each of
// them may be kept.
func TestPasteOfAnything(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	cell := rapid.OneOf(rapid.SampledFrom([]string{"", "m1", "M 02", "zz", "93", "48,5", "1,234", "-", "light", "4; 2", "3/9/2026", "2026-09-04", "0", "e", "d", "~90", "9e9", "kg", "note"}), rapid.String())
	rapid.Check(t, func(t *rapid.T) {
		p := season.Paste{Rows: rapid.SliceOfN(rapid.SliceOfN(cell, 0, 4), 0, 6).Draw(t, "rows"), First: 1, Usual: "kg", FeedUnit: "L", Today: day(10), Day: day(4), NewYard: "mill"}
		if rapid.Bool().Draw(t, "told") {
			p.Fields = rapid.SliceOfN(rapid.SampledFrom(season.Fields), 4, 4).Draw(t, "fields")
		}
		p.Names = map[string]string{"zz": rapid.SampledFrom([]string{season.NameNew, season.NameLeave, "m3"}).Draw(t, "zz")}
		got := st.ReadPaste(p)
		n := 0
		for _, c := range got.Fates {
			n += c
		}
		if n != len(p.Rows) || len(got.Rows) != n {
			t.Fatalf("%d fates for %d rows", n, len(p.Rows))
		}
		if (len(got.Bodies()) > 0) != (got.Fates[season.FateTake] > 0) {
			t.Fatalf("%d facts of %d rows", len(got.Bodies()), got.Fates[season.FateTake])
		}
		for _, b := range got.Bodies() {
			f := season.Fact{Seen: b.Seen, Body: b.Body}
			f.ID, _ = f.Derive(0)
			if err := f.Check(); err != nil {
				t.Fatalf("%+v: %v", b, err)
			}
		}
	})
}

func BenchmarkPaste20000(b *testing.B) {
	rows := make([][]string, 20000)
	for i := range rows {
		rows[i] = []string{fmt.Sprint("h", i%3000), "2026-09-04", fmt.Sprint(30 + i%40)}
	}
	j := season.NewJournal()
	st := j.Now()
	for b.Loop() {
		st.ReadPaste(season.Paste{Rows: rows, First: 1, Usual: "lb", FeedUnit: "L", Today: day(10), NewYard: "mill"})
	}
}

func TestUsualHiveIsThatOfMost(t *testing.T) {
	s := newSmall(t)
	nuc, err := hive.ParseStack("nuc5-deep + tare 6 kg")
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"n1", "n2"} {
		s.add(-20, apiary.Placed{Colony: apiary.Colony{ID: id, Yard: "nucs", Kind: apiary.Nuc, Stack: nuc}})
	}
	st := s.journal(t).AsOf(at)
	for yard, want := range map[string]string{"mill": "lang10-deep + lang10-medium", "nucs": "nuc5-deep", "elsewhere": "lang10-deep + lang10-medium"} {
		if got, _, ok := st.UsualHive(yard); !ok || got.String() != want {
			t.Errorf("%s: %s %v", yard, got, ok)
		}
	}
	if _, _, ok := season.NewJournal().Now().UsualHive("mill"); ok {
		t.Error("usual of none")
	}
}

// A sheet as keepers keep it: frames of bees stand beside the weight and are no
// stores, and "Wt. (lbs) w/ lid" is a weight in pounds, whatever units he thinks in.
func TestPasteOfAKeepersOwnHeads(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	p := pasteOf(`
Hive #|Wt. (lbs)  w/ lid|Date checked|Frames bees|Remarks
M1|98,5|4 Sep 2026|8|ok
m 2|47.5 kg|4 Sep 2026||fed, heavy
||||
Total|612|||`)
	p.Usual = "kg"
	got := st.ReadPaste(p)
	if want := []season.Field{season.FieldHive, season.FieldWeight, season.FieldDate, season.FieldNone, season.FieldNote}; !slices.Equal(fieldsOf(got), want) {
		t.Fatalf("%v, want %v", fieldsOf(got), want)
	}
	var said []string
	for _, r := range got.Rows {
		for _, b := range r.Draft.Bodies {
			if x, ok := b.(stores.Reading); ok {
				said = append(said, fmt.Sprintf("%s %s %.1f kg", x.Colony, x.Way, x.Gross.Q.Kg()))
			}
		}
	}
	if want := []string{"m1 full 44.7 kg", "m2 full 47.5 kg"}; !slices.Equal(said, want) {
		t.Errorf("%v, want %v", said, want)
	}
}
