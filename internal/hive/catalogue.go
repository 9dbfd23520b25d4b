package hive

import (
	"maps"
	"slices"
	"strings"

	"larder/internal/fault"
)

// Catalogue is the list of kinds in use: the tables with the keeper's own kinds
// laid over them. It is a value; laying a kind over gives a new one. The zero
// Catalogue knows no kinds; start from [Default].
type Catalogue struct {
	frames  map[string]FrameKind
	boxes   map[string]BoxKind
	bases   map[string]Base
	feeders map[string]FeederKind
}

// IsZero tells whether the catalogue knows no kinds at all.
func (c Catalogue) IsZero() bool { return len(c.boxes) == 0 }

// With gives a catalogue that also has the box kind b, or has it in place of
// the one of that key. Its frame and base must be known
// (fault.NotFound), its key fit for a stack's text and its numbers possible
// (fault.OutOfRange).
func (c Catalogue) With(b BoxKind) (Catalogue, error) {
	if err := keyFit(b.Key); err != nil {
		return c, err
	}
	if _, ok := c.frames[b.Frame]; !ok {
		return c, fault.Newf(fault.NotFound, b.Key, "there is no frame kind %q", b.Frame).
			WithHint("known frames: %s", strings.Join(keys(c.frames), ", "))
	}
	if _, ok := c.bases[b.Base]; !ok {
		return c, fault.Newf(fault.NotFound, b.Key, "there is no floor and roof of the kind %q", b.Base).
			WithHint("known: %s", strings.Join(keys(c.bases), ", "))
	}
	if b.Frames < 1 || b.Frames > 60 {
		return c, fault.Newf(fault.OutOfRange, b.Key, "a box of %d frames cannot be", b.Frames).WithHint("between 1 and 60")
	}
	if !b.Wood.Made && !b.Poly.Made {
		return c, fault.New(fault.Missing, b.Key, "the empty weight of the box is not told").
			WithHint("weigh it empty, without frames")
	}
	for _, s := range []Shell{b.Wood, b.Poly} {
		if s.Made && !(s.Mass > 0 && s.Mass < 200 && s.SD >= 0 && s.SD < 200) {
			return c, fault.Newf(fault.OutOfRange, b.Key, "an empty box of %g kg cannot be", s.Mass.Kg()).
				WithHint("weigh it empty, without frames; most are between 1 and 10 kg")
		}
	}
	c.boxes = maps.Clone(c.boxes)
	c.boxes[b.Key] = b
	return c, nil
}

// WithFrame is [Catalogue.With] for a frame kind.
func (c Catalogue) WithFrame(f FrameKind) (Catalogue, error) {
	if err := keyFit(f.Key); err != nil {
		return c, err
	}
	if !(f.Area > 0 && f.Area < 50) {
		return c, fault.Newf(fault.OutOfRange, f.Key, "a comb side of %g dm² cannot be", float64(f.Area)).
			WithHint("clear length × clear height inside the frame; most are between 4 and 12 dm²")
	}
	if !(f.Comb >= 0 && f.Comb < 5 && f.CombSD >= 0 && f.CombSD < 5) {
		return c, fault.Newf(fault.OutOfRange, f.Key, "a drawn empty comb of %g kg cannot be", f.Comb.Kg()).
			WithHint("a drawn comb with its frame weighs a third to half a kilogram")
	}
	c.frames = maps.Clone(c.frames)
	c.frames[f.Key] = f
	return c, nil
}

// WithBase is [Catalogue.With] for a base: floor, crown board and roof of a
// hive that none of the known ones fits.
func (c Catalogue) WithBase(b Base) (Catalogue, error) {
	if err := keyFit(b.Key); err != nil {
		return c, err
	}
	if !(b.Plan > 0 && b.Plan < 200) {
		return c, fault.Newf(fault.OutOfRange, b.Key, "a hive of %g dm² from above cannot be", float64(b.Plan)).
			WithHint("outer length × outer width of its box; a ten-frame Langstroth has 21 dm²")
	}
	if !b.Wood.Made && !b.Poly.Made {
		return c, fault.New(fault.Missing, b.Key, "the weights of floor, crown board and roof are not told").
			WithHint("weigh the three pieces")
	}
	for _, p := range []Parts{b.Wood, b.Poly} {
		if p.Made && !(p.Floor >= 0 && p.Board >= 0 && p.Roof >= 0 && p.SD >= 0 && p.Floor+p.Board+p.Roof < 200) {
			return c, fault.New(fault.OutOfRange, b.Key, "the weights of floor, crown board and roof cannot be").
				WithHint("none weighs less than nothing")
		}
	}
	c.bases = maps.Clone(c.bases)
	c.bases[b.Key] = b
	return c, nil
}

// WithFeeder is [Catalogue.With] for a feeder kind; see [OwnFeeder].
func (c Catalogue) WithFeeder(f FeederKind) (Catalogue, error) {
	if err := keyFit(f.Key); err != nil {
		return c, err
	}
	if !(f.Volume > 0 && f.Volume < 100) {
		return c, fault.Newf(fault.OutOfRange, f.Key, "a feeder of %g L cannot be", f.Volume.L()).
			WithHint("measure what it takes to its usual mark")
	}
	if f.factor == "" && !(f.uptake1 > 0 && f.uptake1 <= 2) {
		return c, fault.Newf(fault.OutOfRange, f.Key, "an uptake of %g cannot be", f.uptake1).
			WithHint("a tray is 1, a jar 0.3")
	}
	c.feeders = maps.Clone(c.feeders)
	c.feeders[f.Key] = f
	return c, nil
}

// Frame finds a frame kind (fault.NotFound, with the nearest as a hint).
func (c Catalogue) Frame(key string) (FrameKind, error) { return find(c.frames, key, "frame kind") }

// Box finds a box kind (fault.NotFound, with the nearest as a hint).
func (c Catalogue) Box(key string) (BoxKind, error) { return find(c.boxes, key, "box kind") }

// Base finds a base (fault.NotFound, with the nearest as a hint).
func (c Catalogue) Base(key string) (Base, error) { return find(c.bases, key, "floor and roof") }

// Feeder finds a feeder kind (fault.NotFound, with the nearest as a hint).
func (c Catalogue) Feeder(key string) (FeederKind, error) { return find(c.feeders, key, "feeder kind") }

// Frames lists the frame kinds by key.
func (c Catalogue) Frames() []FrameKind { return list(c.frames) }

// Boxes lists the box kinds by key.
func (c Catalogue) Boxes() []BoxKind { return list(c.boxes) }

// Bases lists the bases by key.
func (c Catalogue) Bases() []Base { return list(c.bases) }

// Feeders lists the feeder kinds by key.
func (c Catalogue) Feeders() []FeederKind { return list(c.feeders) }

func find[K any](m map[string]K, key, what string) (K, error) {
	if k, ok := m[key]; ok {
		return k, nil
	}
	var none K
	e := fault.Newf(fault.NotFound, key, "there is no %s of this name", what)
	if near := nearest(key, keys(m)); near != "" {
		return none, e.WithHint("did you mean %s?", near)
	}
	return none, e.WithHint("known: %s", strings.Join(keys(m), ", "))
}

func keys[K any](m map[string]K) []string { return slices.Sorted(maps.Keys(m)) }

func list[K any](m map[string]K) []K {
	out := make([]K, 0, len(m))
	for _, k := range keys(m) {
		out = append(out, m[k])
	}
	return out
}

// keyFit refuses keys that a stack's text could not hold.
func keyFit(key string) error {
	for _, r := range key {
		if (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '-' {
			key = ""
			break
		}
	}
	if key == "" || key[0] == '-' || countWord(key) || key == polyWord || key == tareWord {
		return fault.New(fault.NotUnderstood, key, "this cannot be the name of a kind").
			WithHint("lower-case letters, digits and hyphens, for example lang10-deep")
	}
	return nil
}

// nearest gives the known key with the fewest letters changed, or "" when none
// is near (more than a third of the letters differ). Ties go to the first by
// name.
func nearest(key string, known []string) string {
	best, at := "", 1<<30
	for _, k := range known {
		if d := distance(key, k); d < at {
			best, at = k, d
		}
	}
	if at*3 > max(len(key), len(best)) {
		return ""
	}
	return best
}

// distance is the Levenshtein distance of two keys, by bytes.
func distance(a, b string) int {
	prev := make([]int, len(b)+1)
	cur := make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := range len(a) {
		cur[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			cur[j+1] = min(prev[j]+cost, prev[j+1]+1, cur[j]+1)
		}
		prev, cur = cur, prev
	}
	return prev[len(b)]
}
