package apiary

import "larder/internal/hive"

// String gives "yes", "no", or "" for not known.
func (a Answer) String() string {
	switch a {
	case Yes:
		return "yes"
	case No:
		return "no"
	}
	return ""
}

// nucFrames is the most frames of one box that is still a nuc's.
const nucFrames = 6

// KindOf tells from its boxes what kind of colony a stack houses, for a keeper
// who did not say: a nuc when every box takes six frames or fewer (common
// practice, no source). Boxes of unknown kind, or none, count as a full hive.
func KindOf(s hive.Stack, c hive.Catalogue) Kind {
	for _, b := range s.Boxes {
		k, err := c.Box(b.Kind)
		if err != nil || k.Frames > nucFrames {
			return Full
		}
	}
	if len(s.Boxes) == 0 {
		return Full
	}
	return Nuc
}
