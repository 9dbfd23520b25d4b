package units

// Column writes one column of a table: the unit stands once, in the head, and
// every number has the same decimals. Unit can be given to the …In functions
// to read such a column back.
type Column[Q Quantity] struct {
	Unit     string // as in the head: "lb", "US gal"
	Decimals int
	s        Style
	u        *unit
	step     float64
}

func column[Q Quantity](s Style, u *unit, decimals int, step float64) Column[Q] {
	return Column[Q]{Unit: shown(u), Decimals: decimals, s: s, u: u, step: step}
}

// Value gives q in the unit of the column, not rounded; for charts.
func (c Column[Q]) Value(q Q) float64 { return c.u.show(float64(q)) }

// Num writes q without its unit.
func (c Column[Q]) Num(q Q) string {
	x := c.Value(q)
	if c.step > 0 {
		x = rounded(x, c.step)
	}
	return c.s.Num(x, c.Decimals)
}

// PM writes q and its standard deviation without the unit, "41 ± 8".
func (c Column[Q]) PM(q, sd Q) string {
	d, ok := spreadDecimals(float64(sd) / c.u.size())
	if !ok {
		return c.Num(q)
	}
	return c.s.Num(c.Value(q), d) + " ± " + c.s.Num(float64(sd)/c.u.size(), d)
}

// MassCol is for weights of stores, hives and sugar: whole lb or half kg.
func (s Style) MassCol() Column[Mass] {
	if s.metric() {
		return column[Mass](s, s.massUnit(), 1, s.massStep())
	}
	return column[Mass](s, s.massUnit(), 0, 0)
}

// VolumeCol is for syrup per colony, in gallons or litres to a tenth.
func (s Style) VolumeCol() Column[Volume] { return column[Volume](s, s.gallon(), 1, 0) }

// VolumeSmallCol is for fills, in quarts, pints or litres to a tenth.
func (s Style) VolumeSmallCol() Column[Volume] { return column[Volume](s, s.jug(), 1, 0) }

// VolumeBigCol is for batches and loads, in whole gallons or litres.
func (s Style) VolumeBigCol() Column[Volume] { return column[Volume](s, s.gallon(), 0, 0) }

// TempCol is for temperatures, in whole degrees.
func (s Style) TempCol() Column[Temp] { return column[Temp](s, s.tempUnit(), 0, 0) }

// StrengthCol is for strengths, in percent to a tenth.
func (s Style) StrengthCol() Column[Strength] {
	return column[Strength](s, strengthUnits.inside(), 1, 0)
}

// RoadCol is for distances driven, in miles or kilometres to a tenth.
func (s Style) RoadCol() Column[Length] { return column[Length](s, s.roadUnit(), 1, 0) }

// DurationCol is for spans of time, in whole minutes.
func (s Style) DurationCol() Column[Duration] {
	return column[Duration](s, durationUnits.unit("min"), 0, 0)
}
