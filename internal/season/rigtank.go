package season

import (
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/rig"
	"larder/internal/syrup"
	"larder/internal/units"
)

// DipAsk is what is read at the tank, or what it is to hold.
type DipAsk struct {
	Dip   syrup.Maybe[units.Length]
	Plumb bool      // a tape that hangs, not a stick along the wall
	Nose  rig.Angle // degrees by which the truck's nose is lower; below 0 higher
	Left  rig.Angle // and its left side
	Holds units.Volume
}

// TankDip is what a dip says.
type TankDip struct {
	Tank     rig.Tank
	Depth    units.Length // of a full tank
	Full     units.Volume
	Usable   units.Volume // that may be filled in and really comes out
	Told     bool         // a dip was told
	Contents figure.Estimate
	Out      units.Volume // of it, what still comes out
	Part     float64      // of a full tank
	Level    units.Length // dip on level ground that holds as much
	TooFull  bool
	DipFor   syrup.Maybe[units.Length] // where it is to hold something
	Holds    units.Volume
	Cautions []feeding.Reason
	Reasons  []feeding.Reason
}

// TankDip gives the litres for a dip, with their spread, and the dip for litres.
// A tank nobody described is fault.Missing; on a slope where the method does not
// hold it is fault.NotKnownHere.
func (st *State) TankDip(a DipAsk) (TankDip, error) {
	s := &st.Settings
	figs, _ := s.FigureSet()
	t := s.Rig.Tank
	out := TankDip{Tank: t, Told: a.Dip.Told, Holds: a.Holds}
	var err error
	if out.Depth, err = t.Depth(figs); err != nil {
		return out, err
	}
	if out.Full, err = t.Full(figs); err != nil {
		return out, err
	}
	if out.Usable, err = t.Usable(figs); err != nil {
		return out, err
	}
	var watch []rig.Caution
	if len(t.Strap) > 0 {
		watch = rig.StrapCautions(t.Strap)
		out.Reasons = append(out.Reasons, rigReason("by-bucket", "read off your bucket table: it goes before the sizes"))
	} else {
		out.Reasons = append(out.Reasons, rigReason("by-sizes", "worked out from the sizes of the tank: a bucket table is better"))
	}
	if a.Dip.Told {
		at := rig.Tilt{Pitch: a.Nose, Roll: a.Left}
		out.Contents, err = t.Contents(rig.Dip{Depth: a.Dip.Q, Along: s.Rig.Hole, Across: s.Rig.HoleSide, Plumb: a.Plumb}, at, figs)
		if err != nil {
			return out, err
		}
		v := units.Volume(out.Contents.Mean)
		out.Out, out.Part = max(0, v-t.Heel), float64(v/out.Full)
		out.TooFull = float64(v) > float64(out.Full)*(1-figs.V(rig.KeyUllage))
		if out.Level, err = t.DipFor(min(v, out.Full), figs); err != nil {
			return out, err
		}
		if out.TooFull {
			watch = append([]rig.Caution{{Code: "too-full", Say: "Fuller than it should be driven: leave room for {0} on top, and a vent", Amounts: []any{out.Full * units.Volume(figs.V(rig.KeyUllage))}}}, watch...)
		}
		watch = append(watch, rig.SloshCautions(out.Part, figs)...)
		if at != (rig.Tilt{}) {
			out.Reasons = append(out.Reasons, rigReason("on-slope", "on level ground the same syrup would stand at {0}", out.Level))
		}
	}
	if a.Holds > 0 {
		d, err := t.DipFor(a.Holds, figs)
		if err != nil {
			return out, err
		}
		out.DipFor = syrup.Told(d)
	}
	out.Cautions = cautioned(watch)
	return out, nil
}

// DipChart gives the dip chart of the tank in steps of the keeper's own units,
// at most so many lines. Errors as [State.TankDip].
func (st *State) DipChart(lines int) (rows []rig.ChartRow, step units.Length, err error) {
	figs, _ := st.Settings.FigureSet()
	t := st.Settings.Rig.Tank
	depth, err := t.Depth(figs)
	if err != nil {
		return nil, 0, err
	}
	step = rig.HandyStep(depth, lines, st.Settings.Units)
	rows, err = t.Chart(step, figs)
	return rows, step, err
}

// TankUsable gives what may be filled in and really comes out: as told, else
// from the shape of the tank; 0 where neither was told.
func (s *Settings) TankUsable() units.Volume {
	if s.Tank > 0 {
		return s.Tank
	}
	figs, _ := s.FigureSet()
	v, err := s.Rig.Tank.Usable(figs)
	if err != nil {
		return 0
	}
	return v
}

// TankTold tells whether the tank was described at all.
func (s *Settings) TankTold() bool {
	return s.Rig.Tank.Shape != "" || len(s.Rig.Tank.Strap) > 0
}

// missing asks for something about the rig.
func missing(key, say, hint string) error {
	return &fault.Error{Kind: fault.Missing, Thing: key, Say: say, Hint: hint}
}
