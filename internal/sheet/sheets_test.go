package sheet_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/sheet"
	"larder/internal/units"
)

// ways are the ways a keeper may have his paper.
var ways = []struct {
	lang   string
	system units.System
}{{"en", units.US}, {"en", units.UK}, {"en", units.Metric}, {"es", units.Metric}, {"es", units.US}}

// number gives the number of a written amount.
func number(amount string) string { n, _, _ := strings.Cut(amount, " "); return n }

// printed prints sheets in one file and gives the words of each sheet.
func printed(t *testing.T, p sheet.Paper, docs []sheet.Doc) [][]string {
	t.Helper()
	ps := pages(t, press(t, p, docs...))
	var out [][]string
	for i := range docs {
		n := len(docs[i].Pages(p))
		out = append(out, slices.Concat(ps[:n]...))
		ps = ps[n:]
	}
	if len(ps) > 0 {
		t.Errorf("%d pages too many", len(ps))
	}
	return out
}

// TestYardSheetHasThePlan holds every amount of a yard sheet, as printed, to
// the plan, for all yards and days of the example and all units.
func TestYardSheetHasThePlan(t *testing.T) {
	for _, w := range ways {
		s := source(t, w.lang, w.system)
		var docs []sheet.Doc
		var stops []feeding.Stop
		for _, l := range s.Plan.Loads {
			for _, st := range l.Stops {
				docs, stops = append(docs, one(t)(sheet.YardSheet(s, st.Yard, l.Day))), append(stops, st)
			}
		}
		seen := 0
		for k, words := range printed(t, sheet.Letter, docs) {
			st := stops[k]
			var sum units.Volume
			for _, f := range st.Fills {
				i := slices.Index(words, f.Colony)
				if i < 0 {
					t.Fatalf("%s: %s is not on its sheet", st.Yard, f.Colony)
				}
				// Hive, short by, give: in the order of the row.
				row := words[i : i+4]
				if !slices.Contains(row, number(s.Style.VolumeSmall(f.Volume))) {
					t.Errorf("%s %s: give %s is not in %q", st.Yard, f.Colony, s.Style.VolumeSmall(f.Volume), row)
				}
				sum += f.Volume
				seen++
			}
			if want := s.T("sheets.rounded", "Amount", s.Style.VolumeBig(sum)); !slices.Contains(words, want) {
				t.Errorf("%s: the sheet lacks %q", st.Yard, want)
			}
			if docs[k].Code == "" || !slices.Contains(words, docs[k].Code) {
				t.Errorf("%s: no code", st.Yard)
			}
		}
		if seen != s.Plan.Totals.Fills {
			t.Errorf("%d fills printed, %d planned", seen, s.Plan.Totals.Fills)
		}
	}
}

// TestYardSheetWalks: all living colonies, in walking order, numbered.
func TestYardSheetWalks(t *testing.T) {
	s := source(t, "en", units.US)
	d := one(t)(sheet.YardSheet(s, "mill", s.NextDay("mill")))
	table := d.Parts[0].(sheet.Table)
	var got []string
	for i, r := range table.Rows {
		if r.Cells[0].Say != strconv.Itoa(i+1) {
			t.Errorf("row %d is numbered %s", i+1, r.Cells[0].Say)
		}
		got = append(got, r.Cells[1].Say)
	}
	if want := "m1 m2 m3 m4 m5 m6 m8 m9 m10 m11 m12"; strings.Join(got, " ") != want { // m7 died
		t.Errorf("rows %v, want %s", got, want)
	}
	for _, r := range table.Rows {
		give, box := r.Cells[3].Say, !r.Cells[4].Off
		if (give != "–") != box {
			t.Errorf("%s: give %q, box %v", r.Cells[1].Say, give, box)
		}
	}
	note := func(hive string) string {
		for _, r := range table.Rows {
			if r.Cells[1].Say == hive {
				return r.Cells[8].Say
			}
		}
		return ""
	}
	for hive, want := range map[string]string{"m12": "NO syrup: no queen", "m10": "not known: heft first", "m3": "heft again"} {
		// Where the yard is called at again for it, that day follows.
		if got, _, _ := strings.Cut(note(hive), " · next "); got != want {
			t.Errorf("%s: note %q, want %q", hive, note(hive), want)
		}
	}
	if c := table.Rows[8].Cells[2].Say; c != "?" {
		t.Errorf("m10 is short by %q, want ?", c)
	}
}

func TestCautionsStandOnPaper(t *testing.T) {
	s := source(t, "es", units.Metric)
	day := s.NextDay("mill")
	en := catalogue(t, "en")
	for kind, d := range map[string]sheet.Doc{
		"sting super robbing":  one(t)(sheet.YardSheet(s, "mill", day)),
		"axle fuse lift sting": one(t)(sheet.LoadCard(s, 1)),
		"mains scald label":    one(t)(sheet.BatchCard(s, 1)),
		"sting":                one(t)(sheet.HeftSheet(s, "mill")),
	} {
		// Words on paper are broken into lines: join them again.
		flat := strings.Join(strings.Fields(text(pages(t, press(t, sheet.A4, d)))), " ")
		for key := range strings.FieldsSeq(kind) {
			for _, want := range []string{s.T("caution." + key), en("caution." + key)} {
				if !strings.Contains(flat, want) {
					t.Errorf("%s lacks %q", d.Kind, want)
				}
			}
		}
	}
}

func TestLoadCardHasTheLoad(t *testing.T) {
	for _, w := range ways {
		s := source(t, w.lang, w.system)
		var docs []sheet.Doc
		for _, l := range s.Plan.Loads {
			docs = append(docs, one(t)(sheet.LoadCard(s, l.N)))
		}
		for k, words := range printed(t, sheet.A4, docs) {
			l := s.Plan.Loads[k]
			flat := strings.Join(words, " ")
			c, _ := s.Plan.LoadCard(l.N)
			for _, want := range []string{s.Style.VolumeBig(l.Syrup), s.Style.Mass(c.Mass), s.Style.Road(l.Dist), s.Style.Duration(l.Time), s.Style.DayYear(l.Day)} {
				if !strings.Contains(flat, want) {
					t.Errorf("load %d lacks %q", l.N, want)
				}
			}
			for _, y := range c.Yards {
				if i := slices.Index(words, y.Name); i < 0 || !slices.Contains(words[i:i+6], number(s.Style.VolumeBig(y.Syrup))) {
					t.Errorf("load %d lacks %s for %s", l.N, s.Style.VolumeBig(y.Syrup), y.Name)
				}
			}
		}
	}
}

func TestBatchCardHasTheBatch(t *testing.T) {
	for _, w := range ways {
		s := source(t, w.lang, w.system)
		var docs []sheet.Doc
		for i := range s.Plan.Batches {
			docs = append(docs, one(t)(sheet.BatchCard(s, i+1)))
		}
		for i, words := range printed(t, sheet.Letter, docs) {
			if n := len(docs[i].Pages(sheet.Letter)); n != 1 {
				t.Errorf("batch %d in %s takes %d pages", i+1, w.lang, n)
			}
			b := s.Plan.Batches[i]
			flat := strings.Join(words, " ")
			for _, want := range []string{s.Style.VolumeBig(b.Syrup), s.Style.Mass(b.Sugar), s.Style.VolumeBig(b.Water), s.Style.StrengthFull(s.Plan.Strength),
				"invented powder", "g " + strconv.Itoa(int(b.Syrup.L())), "T-204"} { // its label: 1 g per 1 L of syrup, rounded down
				if !strings.Contains(flat, want) {
					t.Errorf("batch %d lacks %q in %s", i+1, want, flat)
				}
			}
		}
	}
}

// TestCorrections holds the table of corrections to a balance by hand: sugar S
// added to mass M of strength b makes strength t when bM + S = t(M + S), water
// W when bM = t(M + W).
func TestCorrections(t *testing.T) {
	s := source(t, "en", units.Metric)
	b := s.Plan.Batches[0]
	d := one(t)(sheet.BatchCard(s, 1))
	table := d.Parts[1].(sheet.Table)
	if got := len(table.Rows); got != 6 || table.Rows[0].Cells[0].Say != "64 %" || table.Rows[5].Cells[0].Say != "69 %" {
		t.Fatalf("%d rows, from %s", got, table.Rows[0].Cells[0].Say)
	}
	want := float64(s.Plan.Strength)
	for _, r := range table.Rows {
		reads, err := units.ParseStrength(r.Cells[0].Say, s.Style.Locale())
		if err != nil {
			t.Fatal(err)
		}
		// Density of syrup at 20 °C near 66.7 %: 1.330 at 66.7, 0.0058 a point
		// (CRC Handbook, sucrose in water).
		mass := b.Syrup.L() * (1.330 + 0.58*(float64(reads)-0.667))
		sugar, water := 0.0, 0.0
		if float64(reads) < want {
			sugar = mass * (want - float64(reads)) / (1 - want)
		} else {
			water = mass * (float64(reads) - want) / want
		}
		for i, x := range []float64{sugar, water} {
			cell := r.Cells[1+i].Say
			if x == 0 {
				if cell != "0" {
					t.Errorf("reads %s: add %s, want none", r.Cells[0].Say, cell)
				}
				continue
			}
			var got float64
			if i == 0 {
				m, err := units.ParseMass(cell, s.Style.Locale())
				if err != nil {
					t.Fatal(err)
				}
				got = m.Kg()
			} else {
				v, err := units.ParseVolume(cell, s.Style.Locale())
				if err != nil {
					t.Fatal(err)
				}
				got = v.L()
			}
			if got < x*0.98-0.05 || got > x*1.02+0.05 {
				t.Errorf("reads %s: add %s, by hand %.2f", r.Cells[0].Say, cell, x)
			}
		}
	}
}

func TestHeftSheetNeedsNoPlan(t *testing.T) {
	s := source(t, "en", units.US)
	s.Plan = nil
	d := one(t)(sheet.HeftSheet(s, "ridge"))
	if n := len(d.Parts[0].(sheet.Table).Rows); n != 10 {
		t.Errorf("%d hives, want 10", n)
	}
	if _, err := sheet.HeftSheet(s, "nowhere"); fault.KindOf(err) != fault.NotFound {
		t.Errorf("unknown yard: %v", err)
	}
	for what, f := range map[string]func() error{
		"yard":     func() error { _, err := sheet.YardSheet(s, "ridge", roundDay); return err },
		"load":     func() error { _, err := sheet.LoadCard(s, 1); return err },
		"batch":    func() error { _, err := sheet.BatchCard(s, 1); return err },
		"shopping": func() error { _, err := sheet.Shopping(s); return err },
		"day":      func() error { _, err := sheet.ForDay(s, roundDay); return err },
	} {
		if err := f(); fault.KindOf(err) != fault.Missing {
			t.Errorf("%s without a plan: %v", what, err)
		}
	}
}

func TestWhatIsNotThereIsSaid(t *testing.T) {
	s := source(t, "en", units.US)
	if _, err := sheet.LoadCard(s, 99); fault.KindOf(err) != fault.NotFound {
		t.Errorf("load 99: %v", err)
	}
	for _, n := range []int{-1, 0, 99} {
		if _, err := sheet.BatchCard(s, n); fault.KindOf(err) != fault.NotFound {
			t.Errorf("batch %d: %v", n, err)
		}
	}
	if _, err := sheet.YardSheet(s, "mill", s.Plan.Loads[0].Day+300); fault.KindOf(err) != fault.Missing {
		t.Errorf("no round: %v", err)
	}
	if _, err := sheet.ForDay(s, s.Plan.Loads[0].Day+300); fault.KindOf(err) != fault.Missing {
		t.Errorf("no day: %v", err)
	}
	s.Base = ""
	if _, err := sheet.HiveLabels(s, "mill"); fault.KindOf(err) != fault.Missing {
		t.Errorf("no address: %v", err)
	}
}

// TestForDay: what is used first comes first, and every yard of the day once.
func TestForDay(t *testing.T) {
	s := source(t, "en", units.US)
	l := s.Plan.Loads[0]
	docs, err := sheet.ForDay(s, l.Day)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, d := range docs {
		got = append(got, d.Kind+" "+d.Name)
	}
	want := []string{"Batch card Batch 1", "Load card Load 1"}
	for _, st := range l.Stops {
		y, _ := s.State.Yard(st.Yard)
		want = append(want, "Yard sheet "+y.Name)
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestSacks(t *testing.T) {
	for _, c := range []struct {
		m, sack units.Mass
		want    int
	}{{0, 25, 0}, {1, 25, 1}, {25, 25, 1}, {25.0001, 25, 2}, {259.2, 25, 11}, {572 * units.Pound, 50 * units.Pound, 12}, {600 * units.Pound, 50 * units.Pound, 12}, {5, 0, 0}, {-3, 25, 0}} {
		if got := sheet.Sacks(c.m, c.sack); got != c.want {
			t.Errorf("Sacks(%v, %v) = %d, want %d", c.m, c.sack, got, c.want)
		}
	}
}

func TestShoppingAddsUp(t *testing.T) {
	for _, w := range ways {
		s := source(t, w.lang, w.system)
		d := one(t)(sheet.Shopping(s))
		flat := strings.Join(slices.Concat(pages(t, press(t, sheet.Letter, d))...), " ")
		// The sum is taken first and rounded then, and the sheet says so.
		var sugar units.Mass
		for _, b := range s.Plan.Batches {
			sugar += b.Sugar
		}
		if want := s.T("sheets.rounded", "Amount", s.Style.Mass(sugar)); !strings.Contains(flat, want) {
			t.Errorf("lacks %q: %s", want, flat)
		}
		var have units.Mass // by the shed's own list
		for _, it := range s.State.Shed(s.At).Items {
			if strings.Contains(it.Item, "sugar") {
				have += it.OnHand.Mass()
			}
		}
		n := sheet.Sacks(sugar-have, s.State.Sack())
		row := d.Parts[0].(sheet.Table).Rows[0]
		if have <= 0 || row.Cells[2].Say != s.Style.Mass(have) {
			t.Errorf("in the shed %q, want %v", row.Cells[2].Say, have)
		}
		if row.Cells[3].Say != strconv.Itoa(n) {
			t.Errorf("buy %q, want %d", row.Cells[3].Say, n)
		}
	}
}

func TestCodesTieToThePlan(t *testing.T) {
	s := source(t, "en", units.US)
	day := s.NextDay("mill")
	a := one(t)(sheet.YardSheet(s, "mill", day))
	b := one(t)(sheet.YardSheet(source(t, "es", units.Metric), "mill", day))
	if a.Code != b.Code || len(a.Code) != 6 || !strings.HasPrefix(a.Code, "M-") {
		t.Errorf("codes %q and %q: the same plan must have the same", a.Code, b.Code)
	}
	changed := *s.Plan
	changed.Loads = slices.Clone(changed.Loads)
	for k := range changed.Loads {
		l := &changed.Loads[k]
		l.Stops = slices.Clone(l.Stops)
		for i, st := range l.Stops {
			if l.Day == day && st.Yard == "mill" {
				st.Fills = slices.Clone(st.Fills)
				st.Fills[0].Volume += 0.25
				l.Stops[i] = st
			}
		}
	}
	s.Plan = &changed
	if c := one(t)(sheet.YardSheet(s, "mill", day)); c.Code == a.Code {
		t.Errorf("another plan has the same code %q", c.Code)
	}
}
