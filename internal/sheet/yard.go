package sheet

import (
	"cmp"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

// perYardPage is the most hives on a page of a yard sheet, so that sixty fit on
// two.
const perYardPage = 30

// give is what one colony gets at a yard on a day.
type give struct {
	volume units.Volume
	nth    int // which of its fills this is, from 1
	of     int
	all    units.Volume
}

// round is one yard's part of a day.
type round struct {
	gives map[string]*give
	loads []feeding.Load
	sum   units.Volume
}

func (s *Source) round(yard string, day units.Day) round {
	r := round{gives: map[string]*give{}}
	before := map[string]int{}
	for _, l := range s.Plan.Loads {
		serves := false
		for _, st := range l.Stops {
			if st.Yard != yard {
				continue
			}
			for _, f := range st.Fills {
				switch {
				case l.Day < day:
					before[f.Colony]++
				case l.Day == day:
					serves = true
					g := r.gives[f.Colony]
					if g == nil {
						g = &give{nth: before[f.Colony] + 1}
						r.gives[f.Colony] = g
					}
					g.volume += f.Volume
					r.sum += f.Volume
				}
			}
		}
		if serves {
			r.loads = append(r.loads, l)
		}
	}
	for _, c := range s.Plan.Colonies {
		if g := r.gives[c.Colony]; g != nil {
			g.of, g.all = c.Fills, c.Given
		}
	}
	return r
}

// code ties a sheet to its rows and their amounts.
func (r *round) code(name, yard string, day units.Day, rows []string) string {
	matter := []string{"yard", yard, day.String()}
	for _, colony := range rows {
		matter = append(matter, colony)
		if g := r.gives[colony]; g != nil {
			matter = append(matter, g.volume.String())
		}
	}
	return code(name, matter...)
}

// YardCode gives the code that the sheet of a yard and a day has when these are
// its rows.
func YardCode(plan *season.Planned, yard apiary.Yard, day units.Day, rows []string) string {
	s := Source{Plan: plan}
	r := s.round(yard.ID, day)
	return r.code(cmp.Or(yard.Name, yard.ID), yard.ID, day, rows)
}

// YardAmounts gives what each colony gets at a yard on a day of a plan: the
// amounts of its sheet.
func YardAmounts(plan *season.Planned, yard string, day units.Day) map[string]units.Volume {
	s := Source{Plan: plan}
	r := s.round(yard, day)
	out := map[string]units.Volume{}
	for id, g := range r.gives {
		out[id] = g.volume
	}
	return out
}

// ReadCode puts a typed code into the form it is printed in: capitals, with its
// hyphen.
func ReadCode(text string) string {
	text = strings.ToUpper(strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == '-' || r == ' ' || r == '–' }), ""))
	if len(text) > 1 && len(text) < 9 {
		return text[:1] + "-" + text[1:]
	}
	return text
}

// YardSheet makes the sheet for one yard on one day of the plan: all its
// colonies in walking order, the amount for each in large type, boxes to pencil
// in what was given, what was left, a heft and what was wrong. Faults:
// fault.NotFound, fault.Missing where no round goes there that day.
func YardSheet(s *Source, yard string, day units.Day) (Doc, error) {
	y, err := s.yard(yard)
	if err != nil {
		return Doc{}, err
	}
	if s.Plan == nil {
		return Doc{}, s.noPlan()
	}
	r := s.round(yard, day)
	if len(r.loads) == 0 {
		return Doc{}, fault.New(fault.Missing, yard, "no round goes to this yard on this day").WithHint("see Plan for the days of its rounds")
	}
	d := s.doc("yard", y.Name)
	d.When = s.Style.DayYear(day)
	shorts := s.inYard(yard)
	var rows []string
	for _, x := range shorts {
		rows = append(rows, x.Colony.ID)
	}
	d.Code = r.code(y.Name, yard, day, rows)
	d.File = FileName("yard", yard, day.String())
	d.Head = s.yardHead(y.Access, &r, len(shorts))
	d.Cautions = s.cautions("sting", "super", "robbing")
	d.Parts = []Part{s.yardTable(shorts, day, &r), Write{[][]Field{
		{s.field("write.tank-before", ""), s.field("write.tank-after", ""), s.field("write.given", ""), s.field("write.who", "")},
		{s.field("write.start", ""), s.field("write.end", ""), s.field("write.temp", ""), s.field("write.weather", "")},
	}}}
	d.Foot = []string{s.T("sheets.notfed"), s.T("sheets.yard.home", "Round", s.T("nav.round"), "Type", s.T("title.type"), "Code", d.Code)}
	return d, nil
}

func (s *Source) yardHead(access string, r *round, hives int) []Field {
	var loads []string
	for _, l := range r.loads {
		loads = append(loads, strconv.Itoa(l.N))
	}
	head := []Field{s.field("load", strings.Join(loads, ", ")), s.field("syrup", s.Style.StrengthFull(s.Plan.Strength)),
		s.field("needs", s.rounded(s.Style.VolumeBig(r.sum))), s.field("feeds", s.T("sheets.of", "A", len(r.gives), "B", hives))}
	if access != "" {
		head = append(head, s.field("access", access))
	}
	return head
}

func (s *Source) yardTable(shorts []*season.Short, day units.Day, r *round) Table {
	mass := s.Style.MassCol()
	fill := s.Style.VolumeSmallCol()
	t := Table{Least: 5.8, Most: 9, PerPage: perYardPage, Cols: []Col{
		{Head: s.T("sheets.col.row"), Kind: Number, Wide: 7, Small: true},
		{Head: s.T("sheets.col.hive"), Big: true, Fit: true, Wide: 15, Most: 38},
		{Head: s.T("sheets.col.short"), Sub: mass.Unit, Kind: Number, Wide: 14},
		{Head: s.T("sheets.col.give"), Sub: fill.Unit, Kind: Number, Big: true, Fit: true, Wide: 17, Most: 34},
		{Head: s.T("sheets.col.given"), Sub: s.T("sheets.col.given.sub"), Kind: CheckLine, Wide: 22},
		{Head: s.T("sheets.col.left"), Kind: Choices, Words: []string{"0", "½", s.T("sheets.full")}},
		{Head: s.T("sheets.col.heft"), Sub: mass.Unit, Kind: Digits, Pattern: s.digits()},
		{Head: s.T("sheets.col.trouble"), Kind: Digits, Pattern: "#"},
		{Head: s.T("sheets.col.notes"), Small: true, Kind: Blank},
	}}
	for i, x := range shorts {
		g := r.gives[x.Colony.ID]
		row := Row{Cells: []Cell{{Say: strconv.Itoa(i + 1)}, {Say: x.Colony.ID}, s.shortCell(x), {}, {}, {}, {}, {}, {Say: s.yardNote(x, day, g)}}}
		if g == nil {
			row.Cells[3], row.Cells[4].Off = Cell{Say: "–"}, true
		} else {
			row.Cells[3].Say, _ = split(s.Style.VolumeSmall(g.volume))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// split parts a written amount into its number and its unit.
func split(amount string) (num, unit string) {
	num, unit, _ = strings.Cut(amount, " ")
	return num, unit
}

// shortCell says by how much a colony is short; what is not known is never a
// number.
func (s *Source) shortCell(x *season.Short) Cell {
	if !x.Lack.Known {
		return Cell{Say: "?"}
	}
	return Cell{Say: s.Style.MassCol().Num(x.Lack.Short)}
}

// digits gives the boxes for a heft: three for pounds, and one behind the
// decimal mark for kilograms.
func (s *Source) digits() string {
	if s.Style.System == units.Metric {
		return "###" + string(s.mark()) + "#"
	}
	return "###"
}

func (s *Source) mark() rune {
	if s.Style.Decimal == ',' {
		return ','
	}
	return '.'
}

// What holds syrup back for certain, what holds it back until somebody looks,
// and what is only asked: the catalogue has a word or two for each, to leave
// room for the pencil; the whole sentences are on the screen.
var (
	firmHolds = map[string]bool{feeding.CodeDisease: true, feeding.CodeQueenless: true, feeding.CodeTreatment: true,
		feeding.CodeSuper: true, feeding.CodeRefuses: true, feeding.CodeWeak: true}
	openHolds = map[string]bool{feeding.CodeAskDisease: true, feeding.CodeAskTreatment: true, feeding.CodeAskSuper: true, feeding.CodeAskQueen: true}
)

// yardNote says in a few words what to know of a colony: why it gets nothing,
// what is to be looked for, which of its rounds this is.
func (s *Source) yardNote(x *season.Short, day units.Day, g *give) string {
	var notes []string
	if w := s.words(x.Hold, firmHolds); len(w) > 0 {
		notes = append(notes, s.T("sheets.note.hold", "Why", strings.Join(w, ", ")))
	}
	open, ask := s.words(x.Hold, openHolds), s.words(x.Ask, openHolds)
	if look := strings.Join(append(open, ask...), " "); len(open) > 0 {
		notes = append(notes, s.T("sheets.note.until", "Why", look))
	} else if len(ask) > 0 {
		notes = append(notes, s.T("sheets.note.ask", "Why", look))
	}
	switch {
	case !x.Lack.Known:
		notes = append(notes, s.T("sheets.note.heft-first"))
	case x.Lack.Heft:
		notes = append(notes, s.T("sheets.note.heft"))
	}
	switch {
	case g != nil && g.of > 1:
		notes = append(notes, s.T("sheets.note.part", "A", g.nth, "B", g.of))
	case g == nil && len(x.Hold) == 0 && x.Lack.Known:
		notes = append(notes, s.idle(x, day))
	}
	return strings.Join(notes, " · ")
}

// words gives the short words of the reasons that are in which.
func (s *Source) words(rs []feeding.Reason, which map[string]bool) []string {
	var out []string
	for _, r := range rs {
		if which[r.Code] {
			out = append(out, s.T("sheets.note."+r.Code))
		}
	}
	return out
}

// idle says why a colony that may be fed gets nothing on this day.
func (s *Source) idle(x *season.Short, day units.Day) string {
	id := x.Colony.ID
	for _, l := range s.Plan.Loads {
		for _, st := range l.Stops {
			for _, f := range st.Fills {
				if f.Colony == id && l.Day > day {
					return s.T("sheets.note.later", "Day", s.Style.Day(l.Day))
				}
			}
		}
	}
	for _, u := range s.Plan.Unmet {
		if u.Colony == id {
			return s.T("sheets.note.unmet")
		}
	}
	return s.T("sheets.note.enough")
}
