package season

import (
	"math"
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/units"
)

// FrameOffer is sealed frames of stores that a heavy colony could give a short
// one of the same yard before syrup is fed: offered, or agreed by the keeper and
// not moved yet.
type FrameOffer struct {
	Yard, From, To string
	Frame          string // kind of frame, see package hive
	Frames         int    // full and sealed on both sides
	Mass           figure.Estimate
	Syrup          units.Volume // that need not be fed for it
	Agreed         bool
	// Off, of an agreed one, is why it does not count any more; none = it counts.
	Off []feeding.Reason
	Why []feeding.Reason
}

// fits tells whether nothing is known against moving frames out of or into a
// colony: disease and treatment were looked for, and there was none. A look goes
// stale as it does for feeding.
func fits(x *Short) bool {
	return x.Answers.Disease == apiary.No && x.Answers.Treatment == apiary.No && x.Colony.State == apiary.Alive
}

// agreedOf gives the agreements in force about what a colony is to get: the last
// with each other colony, unless frames were moved since or it was taken back.
// Moved on the same day is moved since, where no time of day says otherwise.
func agreedOf(c *Colony) []ledger.Agreed {
	by, when, moved := map[string]ledger.Agreed{}, map[string]units.Moment{}, map[string]units.Moment{}
	for _, f := range c.Events {
		switch b := f.Body.(type) {
		case ledger.Agreed:
			if b.Colony == c.ID {
				put(by, b.From, b, b.Frames > 0)
				when[b.From] = f.Seen
			}
		case ledger.Given:
			if b.Colony == c.ID && b.Feed == ledger.Comb {
				moved[b.From] = f.Seen
			}
		}
	}
	for from, m := range moved {
		w := when[from]
		if sameDay := m.Day() == w.Day(); sameDay && (m.DayOnly() || w.DayOnly()) || m.Compare(w) >= 0 {
			delete(by, from)
		}
	}
	return sorted(by)
}

// sharedFrame finds the kind of frame that fits both stacks: that of the
// giver's topmost box that the other has too.
func (b *bench) sharedFrame(from, to hive.Stack) (string, bool) {
	has := map[string]bool{}
	for _, x := range to.Boxes {
		if k, err := b.cat.Box(x.Kind); err == nil {
			has[k.Frame] = true
		}
	}
	for _, x := range slices.Backward(from.Boxes) {
		if k, err := b.cat.Box(x.Kind); err == nil && has[k.Frame] {
			return k.Frame, true
		}
	}
	return "", false
}

// frames takes what is agreed into account and works out what could be agreed
// beside it. The shortages of the colonies concerned are worked out anew, with
// the frames moved.
func (b *bench) frames(short []Short) []FrameOffer {
	at := make(map[string]*Short, len(short))
	for i := range short {
		at[short[i].Colony.ID] = &short[i]
	}
	var out []FrameOffer
	for i := range short {
		for _, a := range agreedOf(short[i].Colony) {
			out = append(out, b.counted(a, at[a.From], &short[i]))
		}
	}
	told := map[[2]string]bool{}
	for _, o := range out {
		told[[2]string{o.From, o.To}] = true
	}
	yards := map[string][]*Short{}
	for i := range short {
		x := &short[i]
		if fits(x) && x.Lack.Known && !x.NeedTyped && x.Lack.Target > 0 && !x.tooWeak() {
			yards[x.Colony.Yard] = append(yards[x.Colony.Yard], x)
		}
	}
	for _, yard := range sortedKeys(yards) {
		out = append(out, b.offers(yards[yard], told)...)
	}
	return out
}

// tooWeak tells whether it is to be united rather than helped.
func (s *Short) tooWeak() bool {
	return slices.ContainsFunc(s.Hold, func(r feeding.Reason) bool { return strings.HasPrefix(r.Code, "weak") })
}

// counted takes one agreement into account, or says why not.
func (b *bench) counted(a ledger.Agreed, from, to *Short) FrameOffer {
	o := FrameOffer{Yard: to.Colony.Yard, From: a.From, To: a.Colony, Frame: a.Frame, Frames: a.Frames, Agreed: true}
	off := func(code, say string, amounts ...any) FrameOffer {
		o.Off = append(o.Off, feeding.Reason{Code: code, Say: say, Amounts: amounts})
		return o
	}
	if from == nil {
		return off("frames-gone", "{0} is not among the colonies of this plan", a.From)
	}
	if o.Frame == "" {
		o.Frame, _ = b.sharedFrame(from.Colony.Stack, to.Colony.Stack)
	}
	full, err := b.cat.FullFrame(o.Frame, b.figs)
	switch {
	case err != nil:
		return off("frames-kind", "no kind of frame fits both hives")
	case from.Colony.Yard != to.Colony.Yard:
		return off("frames-yards", "they stand in different yards now")
	case !fits(from) || !fits(to):
		return off("frames-look", "disease and treatment are not answered with no for both of late: look first, and move nothing until then")
	case !to.Lack.Known || !from.Lack.Known:
		return off("frames-stores", "the stores of both have to be known")
	}
	o.Mass = frameMass(full, a.Frames)
	if room := b.surplus(from, full); a.Frames > room {
		return off("frames-surplus", "{0} can give no more than {1} frames and stay above its target", a.From, room)
	}
	o.Syrup = b.move(from, to, &o)
	return o
}

// frameMass is n frames; how full they are is one doubt for all of them.
func frameMass(full figure.Estimate, n int) figure.Estimate {
	return figure.Est(full.Mean*float64(n), full.SD*float64(n))
}

// surplus gives the most frames a colony can give and still have its target with
// the keeper's confidence, its reading and the frames as doubtful as they are.
func (b *bench) surplus(x *Short, full figure.Estimate) int {
	e := x.Lack.Stores
	if !e.Known || !(full.Mean > 0) {
		return 0
	}
	care := min(0.5, max(1e-6, b.figs.V("feeding.care")))
	n := 0
	for n < 40 {
		m := frameMass(full, n+1)
		left := figure.Est(e.Mean-m.Mean, math.Hypot(e.SD, m.SD))
		if left.Below(x.Lack.Target.Kg()) > care {
			break
		}
		n++
	}
	return n
}

// move works out both shortages anew with the frames moved, and gives the syrup
// that is saved.
func (b *bench) move(from, to *Short, o *FrameOffer) units.Volume {
	before := to.Lack.Syrup
	kg := units.Mass(o.Mass.Mean)
	b.relack(to, o.Mass, feeding.Reason{Code: "frames-agreed", Say: "{0} in sealed frames from {1} are counted: agreed, not moved yet", Amounts: []any{kg, o.From}})
	b.relack(from, figure.Est(-o.Mass.Mean, o.Mass.SD), feeding.Reason{Code: "frames-given", Say: "{0} in sealed frames for {1} are taken off: agreed, not moved yet", Amounts: []any{kg, o.To}})
	return max(0, before-to.Lack.Syrup)
}

// relack works out a shortage anew with more (or less) stores.
func (b *bench) relack(s *Short, more figure.Estimate, why feeding.Reason) {
	s.Lack = b.withFrames(s, more, why)
	b.typedNeed(s)
}

func (b *bench) withFrames(s *Short, more figure.Estimate, why ...feeding.Reason) feeding.Shortage {
	conv, ok := b.conversion(b.st.Settings.Syrup)
	if !ok {
		return s.Lack
	}
	was := s.Lack.Stores
	food := feeding.Food{Colony: s.Colony.ID, Stores: figure.Est(math.Max(0, was.Mean+more.Mean), math.Hypot(was.SD, more.SD)), Target: s.Lack.Target,
		TargetWhy: slices.Concat(why, s.Aim.Why), KgPerLitre: conv.PerL.Mean, Why: b.wide(&s.Judged)}
	if s.Room.Known {
		food.Most = feeding.MostStores(units.Mass(s.Room.Mean), b.figs)
	}
	return feeding.Deficit(food, b.figs)
}

// offers pairs the heavy with the short of one yard: those most likely to run
// short first, each from the one that can spare most. Offers go by whole frames
// and leave the taker within half a frame of what it lacks. A pair that has an
// agreement already (told) is not offered another.
func (b *bench) offers(yard []*Short, told map[[2]string]bool) []FrameOffer {
	takers := slices.Clone(yard)
	takers = slices.DeleteFunc(takers, func(x *Short) bool { return x.Lack.Short <= 0 })
	slices.SortStableFunc(takers, func(x, y *Short) int {
		switch {
		case x.Lack.Chance != y.Lack.Chance:
			if x.Lack.Chance > y.Lack.Chance {
				return -1
			}
			return 1
		case x.Lack.Short != y.Lack.Short:
			if x.Lack.Short > y.Lack.Short {
				return -1
			}
			return 1
		}
		return NameOrder(x.Colony.ID, y.Colony.ID)
	})
	givers := slices.DeleteFunc(slices.Clone(yard), func(x *Short) bool { return x.Lack.Short > 0 })
	slices.SortFunc(givers, func(x, y *Short) int { return NameOrder(x.Colony.ID, y.Colony.ID) })
	left := map[string]feeding.Shortage{} // of givers, as they stand after the offers before
	for _, g := range givers {
		left[g.Colony.ID] = g.Lack
	}
	var out []FrameOffer
	for _, t := range takers {
		var best FrameOffer
		var from *Short
		for _, g := range givers {
			frame, ok := b.sharedFrame(g.Colony.Stack, t.Colony.Stack)
			if !ok || told[[2]string{g.Colony.ID, t.Colony.ID}] {
				continue
			}
			full, err := b.cat.FullFrame(frame, b.figs)
			if err != nil || !full.Known || !(full.Mean > 0) {
				continue
			}
			now := *g
			now.Lack = left[g.Colony.ID]
			n := min(b.surplus(&now, full), int(math.Floor(t.Lack.Feed.Kg()/full.Mean+0.5)))
			if n > 0 && float64(n)*full.Mean > best.Mass.Mean {
				best, from = FrameOffer{Yard: t.Colony.Yard, From: g.Colony.ID, To: t.Colony.ID, Frame: frame, Frames: n, Mass: frameMass(full, n)}, g
			}
		}
		if from == nil {
			continue
		}
		after := b.withFrames(t, best.Mass)
		best.Syrup = max(0, t.Lack.Syrup-after.Syrup)
		kept := *from
		kept.Lack = left[from.Colony.ID]
		rest := b.withFrames(&kept, figure.Est(-best.Mass.Mean, best.Mass.SD))
		left[from.Colony.ID] = rest
		best.Why = []feeding.Reason{
			{Code: "frames-keeps", Say: "{0} keeps about {1} against a target of {2}", Amounts: []any{best.From, units.Mass(rest.Stores.Mean), rest.Target}},
			{Code: "frames-helps", Say: "{0} lacks {1}; the frames are about {2}", Amounts: []any{best.To, t.Lack.Short, units.Mass(best.Mass.Mean)}},
		}
		out = append(out, best)
	}
	return out
}

// FirstCall tells whether load n is the first of the plan that calls at a yard.
func (p *Planned) FirstCall(n int, yard string) bool {
	for _, l := range p.Loads {
		for _, s := range l.Stops {
			if s.Yard == yard {
				return l.N == n
			}
		}
	}
	return false
}

// FramesSaved adds up what the frames agreed, and those offered, save in syrup
// and move in stores.
func (p *Planned) FramesSaved(agreed bool) (syrup units.Volume, mass units.Mass, n int) {
	for _, o := range p.Frames {
		if o.Agreed == agreed && len(o.Off) == 0 {
			syrup += o.Syrup
			mass += units.Mass(o.Mass.Mean)
			n++
		}
	}
	return syrup, mass, n
}

// PlanAllFrames is the plan as it would be if every offer of p were agreed; nil
// when there is none.
func (st *State) PlanAllFrames(at units.Moment, seed uint64, p *Planned) (*Planned, error) {
	facts := p.AgreeAll(at)
	if len(facts) == 0 {
		return nil, nil
	}
	t, err := st.Suppose(facts...)
	if err != nil {
		return nil, err
	}
	q, err := t.Plan(at, seed)
	return &q, err
}

// GainDoc is what q takes less than p; nil without q.
func (p *Planned) GainDoc(q *Planned) *GainDoc {
	if q == nil {
		return nil
	}
	d := p.Against(q)
	return &GainDoc{-d.Syrup.L(), -d.Loads, -d.Dist.Km(), -d.Time.Min()}
}

// AgreeAll gives the facts that would agree to every offer of the plan, for
// trying out; the ids are of no book.
func (p *Planned) AgreeAll(at units.Moment) []Fact {
	var out []Fact
	for i, o := range p.Frames {
		if o.Agreed {
			continue
		}
		f := Fact{Seen: at, Body: ledger.Agreed{Colony: o.To, From: o.From, Frame: o.Frame, Frames: o.Frames}}
		if id, err := f.Derive(i); err == nil {
			f.ID = id
			out = append(out, f)
		}
	}
	return out
}
