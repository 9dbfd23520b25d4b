package sheet

import (
	"strconv"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/syrup"
	"larder/internal/units"
)

// planned gives load n of the plan.
func (s *Source) load(n int) (*feeding.Load, error) {
	if s.Plan == nil {
		return nil, s.noPlan()
	}
	for i := range s.Plan.Loads {
		if s.Plan.Loads[i].N == n {
			return &s.Plan.Loads[i], nil
		}
	}
	return nil, fault.Newf(fault.NotFound, "load", "there is no load %d in this plan", n)
}

// LoadCard makes the card of one load: what to fill, what it weighs, which yards
// it serves in which order, and what the tank should show after each. Faults:
// fault.NotFound, fault.Missing without a plan.
func LoadCard(s *Source, n int) (Doc, error) {
	l, err := s.load(n)
	if err != nil {
		return Doc{}, err
	}
	st := s.Style
	d := s.doc("load", s.T("sheets.load.name", "No", n))
	d.When = st.DayYear(l.Day)
	matter := []string{"load", strconv.Itoa(n), l.Day.String(), l.Syrup.String()}
	for _, stop := range l.Stops {
		matter = append(matter, stop.Yard, stopSum(&stop).String())
	}
	d.Code = code(s.T("sheets.load.letter"), matter...)
	d.File = fileName("load", strconv.Itoa(n), l.Day.String())
	d.Head = []Field{s.field("truck", l.Truck), s.field("syrup", st.StrengthFull(s.Plan.Strength)),
		s.field("road", st.Road(l.Dist)), s.field("work", st.Duration(l.Time)), s.field("hives", strconv.Itoa(fills(l)))}
	d.Cautions = s.cautions("tank", "fuse", "lift", "sting")
	weigh, err := s.weighs(l)
	if err != nil {
		return Doc{}, err
	}
	d.Parts = []Part{
		Para{Say: s.T("sheets.load.fill", "Amount", s.rounded(st.VolumeBig(l.Syrup))), Bold: true, Big: true},
		Para{Say: weigh},
		s.stops(l),
		Write{[][]Field{
			{s.field("write.tank-before", ""), s.field("write.tank-after", ""), s.field("write.who", "")},
			{s.field("write.start", ""), s.field("write.end", ""), s.field("write.km", "")},
		}},
		s.checks("load.check.strap", "load.check.tyres", "load.check.valve", "load.check.lid", "load.check.kit", "load.check.phone"),
	}
	d.Foot = []string{s.T("sheets.load.home", "Code", d.Code)}
	return d, nil
}

func fills(l *feeding.Load) int {
	n := 0
	for _, st := range l.Stops {
		n += len(st.Fills)
	}
	return n
}

func stopSum(st *feeding.Stop) units.Volume {
	var v units.Volume
	for _, f := range st.Fills {
		v += f.Volume
	}
	return v
}

// weighs sets the weight of the syrup beside what the truck may carry, where
// that was told.
func (s *Source) weighs(l *feeding.Load) (string, error) {
	m, err := syrup.MassOf(l.Syrup, s.Plan.Strength, 20)
	if err != nil {
		return "", err
	}
	rig := s.Plan.Problem.Rig
	say := s.T("sheets.load.weighs", "Mass", s.rounded(s.Style.Mass(m)), "Tank", s.Style.VolumeBig(rig.Tank))
	if rig.Payload > 0 {
		return say + " " + s.T("sheets.load.payload", "Mass", s.Style.Mass(rig.Payload)), nil
	}
	return say + " " + s.T("sheets.load.payload.unknown"), nil
}

// stops is the table of a load's yards. What is left in the tank after each is
// worked out from the whole, not from what was printed above.
func (s *Source) stops(l *feeding.Load) Table {
	big, road := s.Style.VolumeCol(), s.Style.RoadCol()
	t := Table{Caption: s.T("sheets.load.stops"), Least: 11, Most: 15, Cols: []Col{
		{Head: s.T("sheets.col.row"), Kind: Number, Wide: 7, Small: true},
		{Head: s.T("sheets.col.yard"), Big: true, Share: 2},
		{Head: s.T("sheets.col.road"), Sub: road.Unit, Kind: Number, Wide: 14},
		{Head: s.T("sheets.col.hives"), Kind: Number, Wide: 17},
		{Head: s.T("sheets.col.give"), Sub: big.Unit, Kind: Number, Big: true, Wide: 20},
		{Head: s.T("sheets.col.tank"), Sub: big.Unit, Kind: Number, Wide: 20},
		{Head: s.T("sheets.col.reads"), Kind: Blank, Wide: 20},
		{Head: s.T("sheets.col.arrive"), Kind: Blank, Wide: 16},
		{Head: s.T("sheets.col.done"), Kind: Check, Wide: 14},
	}}
	left := l.Syrup
	for i := range l.Stops {
		st := &l.Stops[i]
		sum := stopSum(st)
		left = max(0, left-sum)
		y, err := s.yard(st.Yard)
		if err != nil {
			y.Name = st.Yard
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Say: strconv.Itoa(i + 1)}, {Say: y.Name, Small: y.Access}, {Say: road.Num(st.Dist)},
			{Say: strconv.Itoa(len(st.Fills))}, {Say: big.Num(sum)}, {Say: big.Num(left)}, {}, {}, {}}})
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
