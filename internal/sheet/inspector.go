package sheet

import (
	"cmp"
	"strings"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/supplement"
)

// Retention are the periods for which records are kept, as far as the reference
// has them: a place, and the key of its sentence. Generic, no legal advice.
func Retention() []string { return []string{"uk", "eu", "us"} }

// Inspector makes the report an inspector may ask for: which hives were fed
// when with what of which lot, products with their lots and withdrawal periods,
// what was bought and what was thrown away, over the year before now and what
// the books hold of it; and how long the records are to be kept.
func Inspector(s *Source) (Doc, error) {
	st := s.Style
	d := s.doc("inspector", cmp.Or(s.State.Settings.Name, s.T("sheets.inspector.name")))
	d.When = st.DayYear(s.At.Day())
	d.File = FileName("inspector", s.At.Day().String())
	rows := InspectorRows(s)
	fed := map[string]bool{}
	for _, r := range rows {
		fed[r[2]] = true
	}
	d.Head = []Field{s.field("inspector.hives", st.Num(float64(len(fed)), 0)), s.field("inspector.gifts", st.Num(float64(len(rows)), 0))}
	d.Cautions = s.cautions("label")
	gifts := Table{Caption: s.T("sheets.inspector.fed"), Least: 5.4, Cols: []Col{
		{Head: s.T("sheets.inspector.day"), Fit: true, Wide: 22, Most: 32}, {Head: s.T("sheets.inspector.yard"), Fit: true, Wide: 16, Most: 34}, {Head: s.T("sheets.inspector.hive"), Fit: true, Wide: 12, Most: 26},
		{Head: s.T("sheets.inspector.what"), Share: 1}, {Head: s.T("sheets.inspector.much"), Kind: Number, Fit: true, Wide: 18, Most: 26},
		{Head: s.T("sheets.inspector.batch"), Fit: true, Wide: 16, Most: 26}, {Head: s.T("sheets.inspector.lots"), Share: 2, Small: true}, {Head: s.T("sheets.inspector.honey"), Small: true, Fit: true, Wide: 18, Most: 32},
	}}
	for _, r := range rows {
		row := Row{}
		for _, c := range r[:8] {
			row.Cells = append(row.Cells, Cell{Say: c})
		}
		gifts.Rows = append(gifts.Rows, row)
	}
	if len(rows) == 0 {
		gifts.Rows = []Row{{Wide: s.T("sheets.inspector.none")}}
	}
	d.Parts = []Part{gifts, s.bought(), s.products()}
	for _, k := range Retention() {
		d.Parts = append(d.Parts, Para{Say: s.T("sheets.inspector.keep." + k)})
	}
	d.Foot = []string{s.T("sheets.inspector.foot")}
	return d, nil
}

// InspectorHead are the heads of the rows of [InspectorRows].
func InspectorHead() []string {
	return []string{"date", "yard", "colony", "feed", "amount", "batch", "lots", "honey_from", "who"}
}

// InspectorRows lists every gift of syrup and feed, by time: day, yard, colony,
// what, how much, batch, lots, first day honey may be taken, and who gave it.
func InspectorRows(s *Source) [][]string {
	var out [][]string
	for _, g := range s.State.AllGifts(s.At) {
		much := s.Style.Volume(g.Volume)
		if g.Volume == 0 {
			much = s.Style.Mass(g.Mass)
		}
		what := s.T("feed." + string(g.Feed))
		if g.Strength > 0 {
			what += ", " + s.Style.Strength(g.Strength)
		}
		var lots []string
		for _, l := range g.Lots {
			lots = append(lots, strings.TrimSpace(l.Item+" "+l.Lot))
		}
		honey := ""
		if _, from := s.State.Withheld(g.Batch, g.Seen.Day()); from != 0 {
			honey = s.Style.DayYear(from)
		}
		out = append(out, []string{s.Style.DayYear(g.Seen.Day()), s.yardName(g.Yard), g.Colony, what, much, g.Batch, strings.Join(lots, ", "), honey, g.By})
	}
	return out
}

// bought lists what came in and what was thrown away.
func (s *Source) bought() Table {
	st := s.Style
	t := Table{Caption: s.T("sheets.inspector.bought"), Least: 5.4, Cols: []Col{
		{Head: s.T("sheets.inspector.day"), Fit: true, Wide: 22, Most: 32}, {Head: s.T("sheets.inspector.what"), Share: 2}, {Head: s.T("sheets.inspector.lot"), Share: 1},
		{Head: s.T("sheets.inspector.much"), Kind: Number, Fit: true, Wide: 18, Most: 28}, {Head: s.T("sheets.inspector.supplier"), Share: 2}, {Head: s.T("sheets.inspector.note"), Share: 2, Small: true},
	}}
	for _, f := range s.State.ShedFacts() {
		var cells []string
		switch b := f.Body.(type) {
		case ledger.Purchase:
			much := st.Mass(b.Mass.Q)
			if b.Mass.IsZero() {
				much = st.Volume(b.Volume.Q)
			}
			cells = []string{st.DayYear(f.Seen.Day()), b.Item, b.Lot, much, b.Supplier, b.Note}
		case ledger.Handled:
			if b.What != ledger.Discarded {
				continue
			}
			much := st.Mass(b.Mass.Q)
			if b.Mass.IsZero() {
				much = st.Volume(b.Volume.Q)
			}
			cells = []string{st.DayYear(f.Seen.Day()), cmp.Or(b.Item, b.Batch), b.Lot, much, s.T("happening.discarded"), b.Note}
		default:
			continue
		}
		row := Row{}
		for _, c := range cells {
			row.Cells = append(row.Cells, Cell{Say: c})
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) == 0 {
		t.Rows = []Row{{Wide: s.T("sheets.inspector.none")}}
	}
	return t
}

// products lists the labels copied, with what the law asks of a medicine.
func (s *Source) products() Table {
	t := Table{Caption: s.T("sheets.inspector.products"), Least: 5.4, Cols: []Col{
		{Head: s.T("sheets.inspector.what"), Share: 2}, {Head: s.T("sheets.inspector.medicine"), Share: 1}, {Head: s.T("sheets.inspector.authority"), Share: 2}, {Head: s.T("sheets.inspector.withdrawal"), Kind: Number, Share: 1},
	}}
	for _, l := range s.State.Labels() {
		med, days := s.T("label.medicine.no"), ""
		switch l.Medicine {
		case supplement.Yes:
			med = s.T("label.medicine.yes")
		case supplement.NotAnswered:
			med = s.T("label.nottold")
		}
		if l.Withdrawal.Said == supplement.Says {
			days = s.Style.Num(float64(l.Withdrawal.Is), 0)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: l.Product}, {Say: med}, {Say: l.Authority}, {Say: days}}})
	}
	if len(t.Rows) == 0 {
		t.Rows = []Row{{Wide: s.T("sheets.inspector.none")}}
	}
	return t
}

// TankLabels makes labels to stick on tanks, one for each batch that is still on
// hand: what is in it, product, dose and lot, and by when it is to be fed.
func TankLabels(s *Source) (Doc, error) {
	d := s.doc("tank", s.T("sheets.tanks.name"))
	d.When = s.Style.DayYear(s.At.Day())
	d.File = FileName("tank", s.At.Day().String())
	shed := s.State.Shed(s.At)
	g := Grid{Wide: 120, High: 48}
	for _, l := range shed.Stock.Lots {
		b, ok := s.State.Batch(l.Lot)
		if l.Goods != ledger.Mixed || !ok || l.OnHand <= 0 {
			continue
		}
		g.Cells = append(g.Cells, s.batchLabel(b, l))
	}
	if len(g.Cells) == 0 {
		return Doc{}, fault.New(fault.Missing, "batches", "no mixed syrup is on hand").WithHint("write down what was mixed, under Mix")
	}
	d.Parts = []Part{g}
	return d, nil
}

func (s *Source) batchLabel(b ledger.Batch, l ledger.Lot) Drawing {
	d := Drawing{W: 120, H: 48, Unit: MM, Title: s.T("sheets.tanks.title", "Batch", b.ID)}
	var in []string
	for _, u := range b.Used {
		much := s.Style.MassSmall(u.Mass.Q)
		if u.Mass.IsZero() {
			much = s.Style.VolumeSmall(u.Volume.Q)
		}
		in = append(in, strings.TrimSpace(u.Item+" "+u.Lot)+", "+much)
	}
	lines := []string{s.T("sheets.tanks.batch", "Batch", b.ID, "Day", s.Style.DayYear(l.First.Day()), "Much", s.Style.VolumeBig(b.Volume.Q)),
		s.T("sheets.tanks.lots", "Lots", strings.Join(b.Lots, ", "))}
	if len(in) > 0 {
		lines = append(lines, s.T("sheets.tanks.in", "What", strings.Join(in, "; ")))
	}
	if l.UseBy != 0 {
		lines = append(lines, s.T("sheets.tanks.until", "Day", s.Style.DayYear(l.UseBy)))
	}
	if _, from := s.State.Withheld(b.ID, s.At.Day()); from != 0 {
		lines = append(lines, s.T("sheets.tanks.honey", "Day", s.Style.DayYear(from)))
	}
	d.Add(Rect{Box: Box{0.5, 0.5, 119, 47}, Pen: Pen{Width: 0.3, Dash: Dashed}},
		Text{X: 6, Y: 11, Say: s.T("sheets.tank.syrup", "Strength", s.Style.StrengthFull(b.Strength)), Size: 7, Bold: true})
	for i, say := range lines {
		d.Add(Text{X: 6, Y: 18 + 6.2*float64(i), Say: cut(say, 4/mmPerPt, 108), Size: 4})
	}
	return d
}
