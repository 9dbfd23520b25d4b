package hive

import (
	"math"
	"slices"

	"larder/internal/fault"
	"larder/internal/units"
)

// Check tells whether the stack can be, with feeder (key of a feeder kind, ""
// = none) on it. Faults: fault.Missing (no boxes), fault.NotFound (unknown
// kind), fault.WontFit (more frames than a box holds, boxes that do not sit on
// each other, a feeder that does not go on it or finds no room), each with a
// hint.
func (s Stack) Check(c Catalogue, feeder string) error {
	if len(s.Boxes) == 0 {
		return fault.New(fault.Missing, "", "the boxes of the hive are not told").
			WithHint("write the stack from the bottom up, for example lang10-deep + lang10-medium")
	}
	base := ""
	for _, b := range s.Boxes {
		k, err := c.Box(b.Kind)
		if err != nil {
			return err
		}
		if b.Frames < 0 || b.Frames > k.Frames {
			return fault.Newf(fault.WontFit, k.Key, "%d frames do not go into a %s", b.Frames, k.Name).
				WithHint("it holds %d", k.Frames)
		}
		if base == "" {
			base = k.Base
		}
		if k.Base != base {
			return fault.Newf(fault.WontFit, k.Key, "a %s does not sit on a %s", k.Name, c.boxes[s.Boxes[0].Kind].Name).
				WithHint("if yours does, add it as a box kind of your own")
		}
		if sh := s.shell(k); !sh.Made {
			return fault.Newf(fault.NotFound, k.Key, "we have no weight of a %s in %s", k.Name, s.stuff()).
				WithHint("weigh the empty hive and tell its weight, or add a box kind of your own")
		}
	}
	if feeder == "" {
		return nil
	}
	_, err := c.fitted(s, feeder, base)
	return err
}

// stuff names what the stack is made of.
func (s Stack) stuff() string {
	if s.Poly {
		return "polystyrene"
	}
	return "wood"
}

// shell gives the box in the stuff of the stack. A stack whose whole empty
// weight was measured needs none.
func (s Stack) shell(k BoxKind) Shell {
	switch {
	case s.TareKnown:
		return Shell{Made: true}
	case s.Poly:
		return k.Poly
	}
	return k.Wood
}

// fitted finds the feeder and checks that it goes on; it gives the frame
// spaces it takes.
func (c Catalogue) fitted(s Stack, feeder, base string) (spaces int, err error) {
	f, err := c.Feeder(feeder)
	if err != nil {
		return 0, err
	}
	if (f.Fits != nil && !slices.Contains(f.Fits, base)) || slices.Contains(f.Not, base) {
		return 0, fault.Newf(fault.WontFit, feeder, "a %s does not go on a %s hive", f.Name, c.bases[base].Name).
			WithHint("feeders that do: %s", c.feedersFor(base))
	}
	spaces = f.spaces()
	if spaces == 0 {
		return 0, nil
	}
	for _, b := range s.Boxes {
		if b.Frames == 0 && c.boxes[b.Kind].Frames > spaces || b.Frames > 0 && b.Frames+spaces <= c.boxes[b.Kind].Frames {
			return spaces, nil
		}
	}
	return 0, fault.Newf(fault.WontFit, feeder, "there is no room for a %s: every box is full of frames", f.Name).
		WithHint("take out %d and write how many are left, for example %s:%d", spaces,
			s.Boxes[0].Kind, max(1, c.boxes[s.Boxes[0].Kind].Frames-spaces))
}

// spaces is how many frame spaces the feeder takes.
func (f FeederKind) spaces() int {
	if f.PerSpace <= 0 {
		return 0
	}
	return int(math.Ceil(f.Volume.L()/f.PerSpace.L() - 1e-9))
}

func (c Catalogue) feedersFor(base string) string {
	out := ""
	for _, f := range c.Feeders() {
		if (f.Fits == nil || slices.Contains(f.Fits, base)) && !slices.Contains(f.Not, base) {
			if out != "" {
				out += ", "
			}
			out += f.Key
		}
	}
	return out
}

// Beside gives the stack with the frames it holds beside the feeder: every box
// counted out, and the spaces a frame feeder takes left free in the lowest box
// that was not counted. Unknown kinds are left as they are.
func (c Catalogue) Beside(s Stack, feeder string) Stack {
	spaces := 0
	if f, ok := c.feeders[feeder]; ok {
		spaces = f.spaces()
	}
	// A counted box with room takes the feeder first: its count already leaves
	// the space.
	for _, b := range s.Boxes {
		if b.Frames > 0 && b.Frames+spaces <= c.boxes[b.Kind].Frames {
			spaces = 0
		}
	}
	s.Boxes = slices.Clone(s.Boxes)
	for i, b := range s.Boxes {
		if b.Frames != 0 {
			continue
		}
		n := c.boxes[b.Kind].Frames
		if spaces > 0 && n > spaces {
			n, spaces = n-spaces, 0
		}
		s.Boxes[i].Frames = n
	}
	return s
}

// Holds gives what the feeder holds on this stack: the usual volume, and the
// range such feeders are made in. A tray grows with the plan of the hive, a
// frame feeder with the side of its frame (the largest frame in the stack).
// own is the keeper's own measure; when it is above 0 it is the answer.
// Faults as [Stack.Check].
func (c Catalogue) Holds(s Stack, feeder string, own units.Volume) (usual, low, high units.Volume, err error) {
	if err := s.Check(c, feeder); err != nil {
		return 0, 0, 0, err
	}
	if feeder == "" {
		return 0, 0, 0, nil
	}
	if own > 0 {
		return own, own, own, nil
	}
	f := c.feeders[feeder]
	k := 1.0
	switch f.goesWith {
	case "plan":
		k = float64(c.bases[c.boxes[s.Boxes[0].Kind].Base].Plan / f.ref)
	case "frame":
		var side units.Area
		for _, b := range s.Boxes {
			side = max(side, c.frames[c.boxes[b.Kind].Frame].Area)
		}
		k = float64(side / f.ref)
	}
	v := units.Volume(k)
	return f.Volume * v, f.Low * v, f.High * v, nil
}
