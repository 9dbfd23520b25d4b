package season

import (
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/winter"
)

// shelter is how a hive is covered in winter and how it stands: by its
// woodenware, by what was told of it and by what was told of its yard.
type shelter struct {
	cover winter.Protection
	windy bool
}

// shelter tells it of a colony where it stands now. A hive of polystyrene that is
// wrapped counts as of polystyrene: what a wrap adds to that is not known.
func (b *bench) shelter(c *Colony) shelter {
	y, _ := b.st.Yard(c.Yard)
	s := shelter{cover: winter.Plain, windy: y.Windy}
	switch {
	case c.Stack.Poly:
		s.cover = winter.Foam
	case c.Wrapped || y.Wrapped:
		s.cover = winter.Wrapped
	}
	return s
}

// k is its factor in the winter model.
func (s shelter) k(figs figure.Set) float64 {
	k, err := winter.Shelter(s.cover, s.windy, figs)
	if err != nil {
		return 1 // never: the cover is one of those known
	}
	return k
}

// say tells what it counts as; nothing for a plain hive out of the wind.
func (s shelter) say(figs figure.Set) []feeding.Reason {
	say := ""
	switch {
	case s.cover == winter.Wrapped && s.windy:
		say = "it counts as wrapped in winter and exposed to wind: its cluster loses {0} % of what it would in plain wood out of the wind"
	case s.cover == winter.Foam && s.windy:
		say = "it counts as of polystyrene and exposed to wind: its cluster loses {0} % of what it would in plain wood out of the wind"
	case s.cover == winter.Wrapped:
		say = "it counts as wrapped in winter: its cluster loses {0} % of what it would in plain wood out of the wind"
	case s.cover == winter.Foam:
		say = "it counts as of polystyrene: its cluster loses {0} % of what it would in plain wood out of the wind"
	case s.windy:
		say = "it counts as exposed to wind: its cluster loses {0} % of what it would in plain wood out of the wind"
	default:
		return nil
	}
	return []feeding.Reason{{Code: "shelter", Say: say, Amounts: []any{Of100(s.k(figs))}}}
}

// shelterDrives tells what its cover and its stand change in what the winters ask
// for a colony, and what that rests on; nothing for a plain hive out of the wind
// and where the model cannot say.
func (st *State) shelterDrives(at units.Moment, id string) []feeding.Reason {
	c, ok := st.Colony(id)
	if !ok {
		return nil
	}
	b := st.bench(at)
	s := b.shelter(c)
	out := s.say(b.figs)
	if len(out) == 0 {
		return nil
	}
	j := b.judge(c, at, 0)
	o := b.outlays(c.Yard)
	if o.of == nil {
		return nil
	}
	k := b.kin(&j)
	here, err := o.of.Of(k.colony(id))
	if err != nil {
		return nil
	}
	k.k = shelter{cover: winter.Plain}.k(b.figs)
	plain, err := o.of.Of(k.colony(id))
	if err != nil {
		return nil
	}
	p := b.figs.V("winter.confidence")
	reserve := units.Mass(b.figs.V("winter.reserve_kg"))
	return append(out, feeding.Reason{Code: "shelter-target", Say: "so it wants {0} for the winter; in plain wood out of the wind it would want {1}",
		Amounts: []any{reserve + here.Quantile(p), reserve + plain.Quantile(p)}},
		feeding.Reason{Code: "shelter-source",
			Say: "which way covers and wind work is published (St. Clair, Beach and Dolezal, 2022; Moeller, 1977); how much is judged, and can be set among the figures"})
}
