package hive

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// CombArea gives the area of all comb in the stack, both sides. With a frame
// feeder on, hand in [Catalogue.Beside]. Faults as [Stack.Check].
func (c Catalogue) CombArea(s Stack) (units.Area, error) {
	if err := s.Check(c, ""); err != nil {
		return 0, err
	}
	var a units.Area
	for _, b := range c.Beside(s, "").Boxes {
		a += 2 * units.Area(b.Frames) * c.frames[c.boxes[b.Kind].Frame].Area
	}
	return a, nil
}

// Room gives the most stores the stack can hold, in kg: every comb full and
// sealed on both sides. Its spread is that of the grams per dm². Faults as
// [Stack.Check].
func (c Catalogue) Room(s Stack, fs figure.Set) (figure.Estimate, error) {
	a, err := c.CombArea(s)
	if err != nil {
		return figure.Estimate{}, err
	}
	return InComb(a, fs), nil
}

// InComb gives the stores in an area of full sealed comb, in kg, with the
// spread of the grams per dm².
//
// Source: the figure "hive.comb_g_dm2", which carries its own.
func InComb(a units.Area, fs figure.Set) figure.Estimate {
	return figure.Est(float64(a)*fs.V("hive.comb_g_dm2")/1000, float64(a)*fs.SD("hive.comb_g_dm2")/1000)
}

// FullFrame gives the stores of one frame full and sealed on both sides, in kg.
func (c Catalogue) FullFrame(frame string, fs figure.Set) (figure.Estimate, error) {
	f, err := c.Frame(frame)
	if err != nil {
		return figure.Estimate{}, err
	}
	return InComb(2*f.Area, fs), nil
}

// Tare gives the empty weight of stack and feeder in kg: floor, boxes, drawn
// comb, crown board, roof, feeder; no bees, no stores, no syrup.
//
// A measured tare wins, with the spread of the scale; the feeder is added to it
// (it is not always on). Else the parts of the table are summed and their
// spreads added in quadrature, but for the combs: combs of one hive share their
// make and age, so half of their variance is common to the whole hive and half
// to each box. With 0.4 kg a box, 0.3 kg a piece and 0.08 kg a comb that gives,
// with bees, pollen and brood, the 1.2 kg of a single and 1.7 kg of a double of
// the evidence base. Faults as [Stack.Check].
func (c Catalogue) Tare(s Stack, feeder string, fs figure.Set) (figure.Estimate, error) {
	if err := s.Check(c, feeder); err != nil {
		return figure.Estimate{}, err
	}
	var kg, variance float64
	if s.TareKnown {
		kg, variance = s.Tare.Kg(), sq(fs.V("hive.tare_scale_sd_kg"))
	} else {
		kg, variance = c.summed(c.Beside(s, feeder))
	}
	if f, ok := c.feeders[feeder]; ok {
		kg += f.Tare.Kg()
		variance += sq(f.TareSD.Kg())
	}
	return figure.Est(kg, math.Sqrt(variance)), nil
}

// farTare is how many spreads of the table a measured empty weight may lie from it
// before it is taken for a slip (judged): heavy roofs and thick walls are within
// it, another unit or the weight of one box is not.
const farTare = 4

// OddTare tells whether the measured tare of s is far from what its parts weigh by
// the table, and gives that, without a feeder, in kg. A stack without a tare, or of
// parts not known, is not odd.
func (c Catalogue) OddTare(s Stack) (usual figure.Estimate, odd bool) {
	bare := s.Bare() // what was measured wins over the table where both are asked
	if !s.TareKnown || len(bare.Boxes) == 0 || bare.Check(c, "") != nil {
		return figure.Estimate{}, false
	}
	kg, variance := c.summed(c.Beside(bare, ""))
	usual = figure.Est(kg, math.Sqrt(variance))
	return usual, math.Abs(s.Tare.Kg()-kg) > farTare*usual.SD
}

// summed adds up the parts of the tables; s is counted out and checked.
func (c Catalogue) summed(s Stack) (kg, variance float64) {
	base := c.bases[c.boxes[s.Boxes[0].Kind].Base]
	p := base.Wood
	if s.Poly && base.Poly.Made {
		p = base.Poly
	}
	kg = (p.Floor + p.Board + p.Roof).Kg()
	variance = 3 * sq(p.SD.Kg())
	combs := 0.0
	for _, b := range s.Boxes {
		k := c.boxes[b.Kind]
		f := c.frames[k.Frame]
		sh := s.shell(k)
		n := float64(b.Frames)
		kg += sh.Mass.Kg() + n*f.Comb.Kg()
		variance += sq(sh.SD.Kg()) + sq(n*f.CombSD.Kg())/2
		combs += n * f.CombSD.Kg()
	}
	return kg, variance + sq(combs)/2
}

func sq(x float64) float64 { return x * x }
