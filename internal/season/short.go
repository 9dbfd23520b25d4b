package season

import (
	"math"
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/syrup"
	"larder/internal/units"
	"larder/internal/weather"
)

// Short is one colony against its target.
type Short struct {
	Judged
	Lack feeding.Shortage
	Aim  Aim // what it should have, three ways, and which is used
	Hold []feeding.Reason
	Ask  []feeding.Reason
	// Give is the syrup still to be given: its need less what stands in its feeder,
	// which counts, in handy steps and within its combs. The plan asks the same.
	Give units.Volume
	// Tight tells that its combs cannot hold what it needs: no syrup mends that.
	Tight bool
	// NeedTyped tells that Lack.Syrup is what the keeper typed ([Need]), not what
	// was worked out; the rest of Lack is worked out as ever.
	NeedTyped bool
	// Typed is what that syrup comes to in stores: by it such a colony stands among
	// the others; 0 where that is not known.
	Typed units.Mass
}

// Why gives all reasons of the line in the order a reader wants them: what keeps
// it from being fed, what is to be asked, how the shortage came about, what is
// odd.
func (s *Short) Why() []feeding.Reason {
	out := slices.Concat(s.Hold, s.Ask, s.tightWhy(), s.Lack.Why, s.Trouble)
	for _, h := range s.Track.History {
		if h.Question != nil {
			out = append(out, feeding.Reason(*h.Question))
		}
	}
	return out
}

// Short judges every living colony and sets it against its target, in the
// order of Judge.
func (st *State) Short(at units.Moment) []Short {
	b := st.bench(at)
	var out []Short
	for _, c := range st.Colonies() {
		if c.State == apiary.Alive {
			out = append(out, b.short(c))
		}
	}
	return out
}

func (b *bench) short(c *Colony) Short {
	s := Short{Judged: b.judge(c, b.at, 0)}
	s.Lack.Colony = c.ID
	s.Aim = b.aim(&s.Judged)
	target, why := s.Aim.Kg, s.Aim.Why
	conv, ok := b.conversion(b.st.Settings.Syrup)
	if target == 0 || !ok {
		if !ok {
			why = append(why[:len(why):len(why)], feeding.Reason{Code: "strength", Say: "what becomes of syrup of {0} in the comb is not known here", Amounts: []any{b.st.Settings.Syrup}})
		}
		s.Lack.Stores, s.Lack.Word, s.Lack.Why = s.Stores(), feeding.ChanceWord(nan), why
	} else {
		food := feeding.Food{Colony: c.ID, Stores: s.Stores(), Target: target, TargetWhy: why, KgPerLitre: conv.PerL.Mean, Why: b.wide(&s.Judged)}
		if s.Room.Known {
			food.Most = feeding.MostStores(units.Mass(s.Room.Mean), b.figs)
		}
		s.Lack = feeding.Deficit(food, b.figs)
	}
	s.Tight = b.tight(&s)
	b.typedNeed(&s)
	b.give(&s)
	s.Hold, s.Ask = feeding.Holds(s.answers(b))
	if weak, r, err := feeding.Weak(s.Bees.Mean, b.climate(c.Yard), s.Type, b.figs); err == nil && weak && s.Looked {
		s.Hold = append(s.Hold, r)
	}
	return s
}

// give works out what is still to be given, and returns the need it is of, feeder
// and all, and what the combs have room for where that is told. What is to be given
// is whole handy steps, as the need is: with syrup in the feeder what is left of
// the need is not.
func (b *bench) give(s *Short) (need, room units.Volume, roomTold bool) {
	in, step := units.Volume(s.Feeder.Mean), units.Volume(b.figs.V("feeding.step_l"))
	need = s.Lack.Syrup
	if !s.NeedTyped {
		need = feeding.HandyNeed(need, in, step)
	}
	s.Give = need - in
	conv, ok := b.conversion(b.st.Settings.Syrup)
	if s.Room.Known && s.Lack.Known && ok {
		space := float64(feeding.MostStores(units.Mass(s.Room.Mean), b.figs)) - s.Stores().Mean
		room, roomTold = feeding.HandyRoom(units.Volume(math.Max(0, space/conv.PerL.Mean)), in, step), true
		s.Give = min(s.Give, room-in)
	}
	if s.Give < 1e-6 {
		s.Give = 0
	}
	return need, room, roomTold
}

// Waiting tells whether all that a colony needs, or has room for, stands in its
// feeder.
func (s *Short) Waiting() bool {
	return len(s.Hold) == 0 && (s.Lack.Known || s.NeedTyped) && s.Lack.Syrup > 0 && s.Give == 0
}

// InFeeder is what of its need stands in its feeder.
func (s *Short) InFeeder() units.Volume {
	return min(s.Lack.Syrup, units.Volume(s.Feeder.Mean))
}

// asks is what a colony needs whatever its combs hold.
func (s *Short) asks() units.Mass {
	if s.Aim.From == AimModel {
		return s.Aim.Want
	}
	return s.Aim.Kg
}

// tight tells whether the combs of a colony cannot hold what it needs. A handy step
// of syrup less is no difference, nor is it where full combs are likely to do:
// what it asks is for a hard winter.
func (b *bench) tight(s *Short) bool {
	e, asks := s.Stores(), s.asks()
	conv, ok := b.conversion(b.st.Settings.Syrup)
	if !ok || !e.Known || !s.Room.Known || asks <= 0 {
		return false
	}
	least := asks.Kg() - b.figs.V("feeding.step_l")*conv.PerL.Mean
	if feeding.MostStores(units.Mass(s.Room.Mean), b.figs).Kg() >= least || e.Mean >= least {
		return false
	}
	return s.Aim.From != AimModel || 1-s.Aim.ModelLasts >= feeding.OnTheEdge
}

// tightWhy says what to do with a colony whose combs hold no more.
func (s *Short) tightWhy() []feeding.Reason {
	if !s.Tight {
		return nil
	}
	return []feeding.Reason{{Code: "tight", Say: "its combs hold too little for the {0} it needs: give it a box, or unite it", Amounts: []any{s.asks()}}}
}

// NoRoom tells whether it is all that ails a colony: it lacks food and cannot be
// given any.
func (s *Short) NoRoom() bool {
	return s.Tight && len(s.Hold) == 0 && !s.ToFeed() && !s.Waiting()
}

// answers leaves weakness to the reason of its own, which says the numbers.
func (s *Short) answers(*bench) feeding.Seen {
	a := s.Answers
	a.Weak = apiary.Unknown
	return a
}

// wide says what made the estimate as wide as it is.
func (b *bench) wide(j *Judged) []feeding.Reason {
	out := make([]feeding.Reason, 0, len(j.Track.Now.Reasons)+1)
	for _, r := range j.Track.Now.Reasons {
		out = append(out, feeding.Reason(r))
	}
	if j.Feeder.Known && j.Feeder.Mean >= 0.25 {
		out = append(out, feeding.Reason{Code: "in-feeder", Say: "{0} of syrup still in the feeder is not stores yet", Amounts: []any{units.Volume(j.Feeder.Mean)}})
	}
	return out
}

// climate gives the class of winter at a yard: as told, else from the mean of
// January (south: July) in its weather.
func (b *bench) climate(yard string) apiary.Climate {
	if y, ok := b.st.Yard(yard); ok && y.Climate != apiary.ClimateUnknown {
		return y.Climate
	}
	s := b.skyOf(yard)
	if !s.known {
		return apiary.ClimateUnknown
	}
	if s.climate == nil {
		c := apiary.ClimateUnknown
		month := 1
		if b.isSouth(yard) {
			month = 7
		}
		for _, m := range weather.Normals(s.series, b.figs) {
			if int(m.Month) == month && m.TMean.Known && m.Years > 0 {
				c = ClimateOf(units.Temp(m.TMean.Mean))
			}
		}
		s.climate = &c
	}
	return *s.climate
}

// ClimateOf gives the class of winter for a mean January (south: July)
// temperature. The limits are those of the table of targets.
func ClimateOf(t units.Temp) apiary.Climate {
	switch {
	case t > 7:
		return apiary.Warm
	case t >= 2:
		return apiary.Mild
	case t >= -4:
		return apiary.Temperate
	case t >= -12:
		return apiary.Cold
	}
	return apiary.VeryCold
}

// SyrupOf describes the season's syrup: what is given below is counted in it.
type SyrupOf struct {
	Recipe  Recipe
	Density units.Density   // at 20 °C
	PerL    figure.Estimate // kg of ripe stores a litre makes
}

// Syrup gives the season's syrup by the figures in force.
func (st *State) Syrup() (SyrupOf, error) {
	figs, _ := st.Settings.FigureSet()
	r, err := ReadRecipe(st.Settings.Strength, figs)
	if err != nil {
		return SyrupOf{}, err
	}
	d, err := syrup.Density(r.Strength, 20)
	if err != nil {
		return SyrupOf{}, err
	}
	c, err := syrup.StoresPerL(r.Strength, 20, figs)
	if err != nil {
		return SyrupOf{}, err
	}
	return SyrupOf{Recipe: r, Density: d, PerL: c.PerL}, nil
}
