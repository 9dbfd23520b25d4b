package stores

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/hive"
)

// counted judges frames of stores by box: area × grams per dm², open food at
// its share. Its spread is a share of the whole, and the rounding of each count
// to quarters.
func counted(r Reading, c Context) (Estimate, error) {
	if len(r.Frames) == 0 {
		return Estimate{}, fault.New(fault.Missing, r.Colony, "no frames of stores are told").
			WithHint("count full frames by box, in quarters; 0 where there is none")
	}
	// A quarter step leaves an error spread evenly over ±⅛ frame.
	quarter := 0.25 / math.Sqrt(12)
	var e Estimate
	kg, rounding := 0.0, 0.0
	open := false
	for _, f := range r.Frames {
		frame, err := frameOf(r, c, f)
		if err != nil {
			return Estimate{}, err
		}
		full := hive.InComb(2*frame.Area, c.Figures).Mean
		share := c.Figures.V("stores.open_share")
		kg += full * (f.Sealed + share*f.Open)
		rounding += math.Pow(quarter*full, 2)
		if f.Open > 0 {
			open = true
			rounding += math.Pow(quarter*full*share, 2)
		}
	}
	e.Estimate = figure.Est(kg, math.Hypot(c.Figures.V("stores.se_frames_share")*kg, math.Sqrt(rounding)))
	e.Reasons = append(e.Reasons, because("counted", "counted by frames, not weighed"))
	if open {
		e.Reasons = append(e.Reasons, because("open-food", "open food counts {0} of sealed", c.Figures.V("stores.open_share")))
	}
	return e, nil
}

// frameOf checks one count and finds its frame. A count without a box stands
// for the only kind of box in the stack.
func frameOf(r Reading, c Context, f FrameCount) (hive.FrameKind, error) {
	var none hive.FrameKind
	key, room := f.Box, 0
	for _, b := range c.Catalogue.Beside(c.Stack, "").Boxes {
		if key == "" {
			key = b.Kind
		}
		if b.Kind == key {
			room += b.Frames
		} else if f.Box == "" {
			return none, fault.New(fault.Missing, r.Colony, "in which box the frames were counted is not told").
				WithHint("the stack is %s", c.Stack)
		}
	}
	k, err := c.Catalogue.Box(key)
	if err != nil {
		return none, err
	}
	if room == 0 {
		room = k.Frames
	}
	for _, n := range []float64{f.Sealed, f.Open, f.Sealed + f.Open} {
		if math.IsNaN(n) || n < 0 {
			return none, fault.Newf(fault.OutOfRange, r.Colony, "%g frames of stores cannot be", n)
		}
		if n > float64(room) {
			return none, fault.Newf(fault.WontFit, r.Colony, "%g frames of stores do not go into its %s", n, k.Name).
				WithHint("there is room for %d", room)
		}
	}
	return c.Catalogue.Frame(k.Frame)
}
