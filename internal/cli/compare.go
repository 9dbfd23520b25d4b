package cli

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

type compareCmd struct {
	source
	A    string `arg:"" optional:"" placeholder:"FIRST" help:"now, out, hours, days, tank, trucks, hands, mixer, store, loads, fewer, habit, care=1 in 20, or a season folder (default: now)."`
	B    string `arg:"" optional:"" placeholder:"SECOND" help:"The same (default: out where a plan is taken out, else habit)."`
	Seed uint64 `default:"1" help:"Seed of the search."`
	Why  bool   `help:"Also every reason, and every hive that differs."`
}

// Help tells what can be set beside what.
func (compareCmd) Help() string {
	return "Sets two plans beside each other: the plan as it is now, the plan taken out, the plan with one thing more or a load fewer, with another chance of being short, " +
		"as it goes by habit, or the plan of another season folder (one that bears the name of a side is written ./now)."
}

// Run sets two plans beside each other.
func (c *compareCmd) Run(r *run) error {
	m := maker{c: c, r: r}
	first := cmp.Or(c.A, season.SideNow)
	a, err := m.side(first)
	if err != nil {
		return err
	}
	second := c.B
	if second == "" {
		if second, err = m.usual(first); err != nil {
			return err
		}
	}
	b, err := m.side(second)
	if err != nil {
		return err
	}
	x := season.Compare(&a, &b)
	s := r.style(m.own)
	if r.JSON {
		j, err := x.Doc(m.at, s)
		if err != nil {
			return err
		}
		return r.printJSON(j)
	}
	printCompare(r.Out, s, &x, c.Why)
	return nil
}

// maker makes sides; the plan they start from is made once.
type maker struct {
	c   *compareCmd
	r   *run
	st  *season.State
	now *season.Planned
	at  units.Moment
	own units.Style
}

// begin makes the plan as it is now.
func (m *maker) begin() error {
	if m.now != nil {
		return nil
	}
	st, at, err := m.c.state(m.r)
	if err != nil {
		return err
	}
	p, err := st.Plan(at, m.c.Seed)
	if err != nil {
		return err
	}
	m.st, m.now, m.at, m.own = st, &p, at, st.Settings.Style()
	return nil
}

// side makes a side by its name, or that of a season folder.
func (m *maker) side(name string) (season.Side, error) {
	if info, err := os.Stat(name); err == nil && (info.IsDir() || isXLSX(name)) && !known(name) {
		return m.folder(name)
	}
	if strings.ContainsAny(name, `/\`) || isXLSX(name) {
		return season.Side{}, fault.New(fault.NotFound, name, "there is no such folder").WithHint("`larder demo --folder DIR` writes one to try")
	}
	if err := m.begin(); err != nil {
		return season.Side{}, err
	}
	return m.st.Side(m.now, m.at, name, m.c.Seed, nil)
}

// known tells whether a bare name is that of a side: a folder of that name is
// asked for by its path.
func known(name string) bool {
	switch name {
	case season.SideNow, season.SideOut, season.SideFewer, season.SideHabit, "hours", "days", "tank", "trucks", "hands", "mixer", "store", "loads":
		return true
	}
	return strings.HasPrefix(name, season.SideCare+"=")
}

// folder makes the plan of another season.
func (m *maker) folder(dir string) (season.Side, error) {
	j, err := readFolder(dir)
	if err != nil {
		return season.Side{}, err
	}
	st, at, err := stateOf(m.r, j)
	if err != nil {
		return season.Side{}, err
	}
	p, err := st.Plan(at, m.c.Seed)
	if err != nil {
		return season.Side{}, err
	}
	if m.now == nil && m.at == (units.Moment{}) {
		m.at, m.own = at, st.Settings.Style()
	}
	return season.Side{Key: "season", Name: feeding.Reason{Code: "side-season", Say: "the plan of {0}", Amounts: []any{dir}}, Plan: &p}, nil
}

// usual is the second side where none is named.
func (m *maker) usual(first string) (string, error) {
	if first == season.SideHabit {
		return season.SideNow, nil
	}
	if err := m.begin(); err != nil {
		return "", err
	}
	for _, n := range m.st.SideNames(m.now) {
		if n.Key == season.SideOut && first != season.SideOut {
			return n.Key, nil
		}
	}
	if first == season.SideOut {
		return season.SideNow, nil
	}
	return season.SideHabit, nil
}

// rowWords are the lines of the two sums.
var rowWords = map[string]string{
	"short": "lacking on the stop day", "hives": "hives short", "left": "left in feeders after the stop day", "visits": "stops at yards", "loads": "loads",
	"days": "days with work", "last": "last load", "hours": "at work, mixing with it", "road": "on the road", "syrup": "syrup", "sugar": "sugar", "cost": "cost", "care": "chance of being short accepted",
}

var boundWords = map[string]string{"loads": "loads", "visits": "stops at yards", "road": "on the road", "hours": "at work"}

func printCompare(w io.Writer, s units.Style, c *season.Comparison, why bool) {
	say := func(r feeding.Reason) string { return s.Say(r.Say, r.Amounts) }
	for i, side := range []*season.Side{&c.A, &c.B} {
		fmt.Fprintf(w, "%s: %s\n", [...]string{"First ", "Second"}[i], say(side.Name))
		for _, n := range side.Notes {
			para(w, "  ! ", say(n))
		}
	}
	fmt.Fprintln(w)
	if !c.InBoth {
		para(w, "", "No hive is in both.")
	}
	t := newTable("", ">first", ">second", ">difference")
	for _, r := range c.Rows() {
		t.row(rowWords[r.What], amount(s, r.What, r.A), amount(s, r.What, r.B), more(s, r))
	}
	t.print(w)
	printCompareBounds(w, s, c)
	if c.Same() {
		fmt.Fprintf(w, "\nThe two come to the same.\n")
	}
	printOnly(w, s, "Short in the first only", c, c.OnlyA(), true)
	printOnly(w, s, "Short in the second only", c, c.OnlyB(), false)
	if n := len(c.ShortBoth()); n > 0 {
		fmt.Fprintf(w, "\n%s short in both.\n", count(n, "hive is", "hives are"))
	}
	if len(c.Moves) > 0 {
		fmt.Fprintf(w, "\nYards called at on other days\n")
		t := newTable("yard", "first", "second")
		for _, m := range c.Moves {
			t.row(c.Yards[m.Yard], dates(s, m.A), dates(s, m.B))
		}
		t.print(w)
	}
	if len(c.Days) > 0 {
		fmt.Fprintf(w, "\nDay by day\n")
		t := newTable("day", "yard", ">first", ">second", ">hives")
		for _, d := range c.Days {
			for i, y := range d.Yards {
				day := ""
				if i == 0 {
					day = s.Day(d.Day)
				}
				t.row(day, c.Yards[y.Yard], dash(s, y.A), dash(s, y.B), fmt.Sprintf("%d → %d", y.HivesA, y.HivesB))
			}
		}
		t.print(w)
	}
	l := c.Differing()
	if len(l) == 0 {
		return
	}
	fmt.Fprintf(w, "\nHives that get, lack or are left with another amount: %d\n", len(l))
	most, reasons := 20, 1
	if why {
		most, reasons = len(l), math.MaxInt
	}
	t = newTable("yard", "hive", ">first", ">second", "because")
	for i := range l[:min(most, len(l))] {
		h := &l[i]
		t.row(h.Yard, h.Colony, dash(s, h.A.Given), dash(s, h.B.Given), tell(s, h.Reasons(), reasons))
	}
	t.print(w)
	if len(l) > most {
		fmt.Fprintf(w, "… and %d more: --why lists all.\n", len(l)-most)
	}
}

// printCompareBounds writes what no plan can beat that serves all it can.
func printCompareBounds(w io.Writer, s units.Style, c *season.Comparison) {
	for i, rows := range [][]season.BoundRow{c.OfA.Bounds, c.OfB.Bounds} {
		var parts []string
		for _, b := range rows {
			if !b.Known {
				continue
			}
			p := fmt.Sprintf("%s %s", boundWords[b.What], s.Amount(b.Least))
			if b.Gap > 0 {
				p += fmt.Sprintf(" (at most %s to be saved)", s.Percent(b.Gap))
			} else {
				p += " (proven)"
			}
			parts = append(parts, p)
		}
		name := [...]string{"first", "second"}[i]
		if len(parts) == 0 {
			para(w, "  ", "Of the "+name+" no least is known.")
			continue
		}
		para(w, "  ", "No plan in place of the "+name+" could do with less than: "+strings.Join(parts, ", ")+".")
	}
}

// printOnly lists who is short in one of the two alone.
func printOnly(w io.Writer, s units.Style, title string, c *season.Comparison, l []season.HiveDiff, first bool) {
	if len(l) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s: %d\n", title, len(l))
	t := newTable("yard", "hive", ">lacks", "because")
	for i := range l {
		v := l[i].B.Short
		if first {
			v = l[i].A.Short
		}
		t.row(c.Yards[l[i].Yard], l[i].Colony, s.Volume(v), tell(s, l[i].Reasons(), 1))
	}
	t.print(w)
}

func amount(s units.Style, what string, v any) string {
	switch x := v.(type) {
	case nil:
		return "–"
	case units.Volume:
		if what == "syrup" {
			return s.VolumeBig(x)
		}
	case units.Length:
		return s.Road(x)
	case float64:
		return s.Percent(x)
	}
	return s.Amount(v)
}

// more writes a difference with its sign.
func more(s units.Style, r season.CompareRow) string {
	if r.More == nil {
		return "–"
	}
	sign := "+"
	if r.Down {
		sign = "−"
	}
	t := amount(s, r.What, r.More)
	if r.What == "last" {
		t += " days"
	}
	return sign + t
}

func dash(s units.Style, v units.Volume) string {
	if v == 0 {
		return "–"
	}
	return s.Volume(v)
}

func dates(s units.Style, l []units.Day) string {
	if len(l) == 0 {
		return "–"
	}
	out := make([]string, len(l))
	for i, d := range l {
		out[i] = s.Date(d)
	}
	return strings.Join(out, ", ")
}
