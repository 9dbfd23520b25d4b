package sheet

import (
	"strconv"

	"larder/internal/fault"
	"larder/internal/season"
)

// LoadCard makes the card of one load: what to fill, what it weighs, which yards
// it serves in which order, and what the tank should show after each. The
// amounts are those of season's own load card, as the screen has them. Faults:
// fault.NotFound, fault.Missing without a plan.
func LoadCard(s *Source, n int) (Doc, error) {
	if s.Plan == nil {
		return Doc{}, s.noPlan()
	}
	l, ok := s.Plan.LoadCard(n)
	if !ok {
		return Doc{}, fault.Newf(fault.NotFound, "load", "there is no load %d in this plan", n)
	}
	st := s.Style
	d := s.doc("load", s.T("sheets.load.name", "No", n))
	d.When = st.DayYear(l.Day)
	matter := []string{"load", strconv.Itoa(n), l.Day.String(), l.Syrup.String()}
	hives := 0
	for _, y := range l.Yards {
		matter = append(matter, y.Yard, y.Syrup.String())
		hives += len(y.Fills)
	}
	d.File = FileName("load", strconv.Itoa(n), l.Day.String())
	d.Head = []Field{s.field("truck", l.Truck), s.field("syrup", st.StrengthFull(s.Plan.Strength)),
		s.field("road", st.Road(l.Dist)), s.field("work", st.Duration(l.Time)), s.field("hives", strconv.Itoa(hives))}
	d.Cautions = s.cautions("axle", "fuse", "lift", "sting")
	fill := s.T("sheets.load.fill", "Amount", s.rounded(st.VolumeBig(l.Syrup)))
	if l.Elsewhere() {
		fill = s.T("sheets.load.fillat", "Amount", s.rounded(st.VolumeBig(l.Syrup)), "Place", l.From, "Yard", l.FirstYard())
		matter = append(matter, l.From)
	}
	if l.Next > 0 {
		matter = append(matter, l.To, strconv.Itoa(l.Next))
	}
	d.Code = code(s.T("sheets.load.letter"), matter...)
	d.Parts = []Part{
		Para{Say: fill, Bold: true, Big: true},
		Para{Say: s.weighs(&l), Bold: l.Left < 0},
	}
	d.Parts = append(d.Parts, s.framesFirst(&l)...)
	d.Parts = append(d.Parts,
		s.stops(&l))
	if l.Next > 0 {
		d.Parts = append(d.Parts, Para{Say: s.T("load.then", "Place", l.To, "No", l.Next), Bold: true})
	}
	d.Parts = append(d.Parts,
		Write{[][]Field{
			{s.field("write.tank-before", ""), s.field("write.tank-after", ""), s.field("write.who", "")},
			{s.field("write.start", ""), s.field("write.end", ""), s.field("write.km", "")},
		}},
		s.checks("load.check.strap", "load.check.tyres", "load.check.valve", "load.check.lid", "load.check.kit", "load.check.phone"),
	)
	d.Foot = []string{s.T("sheets.load.home", "Round", s.T("nav.round"), "No", n, "Code", d.Code)}
	return d, nil
}

// framesFirst lists the sealed frames agreed to be moved in the yards of a load,
// on the first load that calls there, with the caution before them.
func (s *Source) framesFirst(l *season.LoadCard) []Part {
	var out []Part
	for _, o := range s.Plan.Frames {
		if !o.Agreed || len(o.Off) > 0 || !s.Plan.FirstCall(l.N, o.Yard) {
			continue
		}
		name := o.Yard
		for _, y := range l.Yards {
			if y.Yard == o.Yard {
				name = y.Name
			}
		}
		out = append(out, Para{Say: s.T("sheets.load.frames", "Yard", name, "N", o.Frames, "From", o.From, "To", o.To), Bold: true})
	}
	if len(out) > 0 {
		out = append(out, Para{Say: s.T("caution.frames")})
	}
	return out
}

// weighs sets the weight of the syrup beside what the truck may carry, where
// that was told.
func (s *Source) weighs(l *season.LoadCard) string {
	st := s.Style
	say := s.T("sheets.load.weighs", "Mass", s.rounded(st.Mass(l.Mass)), "Tank", st.VolumeBig(l.Syrup+l.Spare))
	switch {
	case l.Payload == 0:
		return say + " " + s.T("sheets.load.payload.unknown")
	case l.Left < 0:
		return say + " " + s.T("load.heavy", "Over", st.Mass(-l.Left))
	}
	return say + " " + s.T("sheets.load.payload", "Mass", st.Mass(l.Payload))
}

// stops is the table of a load's yards.
func (s *Source) stops(l *season.LoadCard) Table {
	st := s.Style
	road := st.RoadCol()
	_, gallon := split(st.VolumeBig(l.Syrup))
	t := Table{Caption: s.T("sheets.load.stops"), Least: 11, Most: 15, Cols: []Col{
		{Head: s.T("sheets.col.row"), Kind: Number, Wide: 7, Small: true},
		{Head: s.T("sheets.col.yard"), Big: true, Share: 2},
		{Head: s.T("sheets.col.road"), Sub: road.Unit, Kind: Number, Wide: 14},
		{Head: s.T("sheets.col.hives"), Kind: Number, Wide: 17},
		{Head: s.T("sheets.col.give"), Sub: gallon, Kind: Number, Big: true, Wide: 20},
		{Head: s.T("sheets.col.tank"), Sub: gallon, Kind: Number, Wide: 20},
		{Head: s.T("sheets.col.reads"), Kind: Blank, Wide: 20},
		{Head: s.T("sheets.col.arrive"), Kind: Blank, Wide: 16},
		{Head: s.T("sheets.col.done"), Kind: Check, Wide: 14},
	}}
	for i, y := range l.Yards {
		put, _ := split(st.VolumeBig(y.Syrup))
		after, _ := split(st.VolumeBig(y.After))
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: strconv.Itoa(i + 1)}, {Say: y.Name, Small: y.Access}, {Say: road.Num(y.Dist)},
			{Say: strconv.Itoa(len(y.Fills))}, {Say: put}, {Say: after}, {}, {}, {}}})
	}
	return t
}

// checks is a short list with a box before each line.
func (s *Source) checks(keys ...string) Table {
	t := Table{Caption: s.T("sheets.checks"), Least: 6.5, Cols: []Col{{Kind: Check, Wide: boxSide + 2*padX}, {}}}
	for _, k := range keys {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{}, {Say: s.T("sheets." + k)}}})
	}
	return t
}
