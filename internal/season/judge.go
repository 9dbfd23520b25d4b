package season

import (
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/syrup"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

// Judged is what is believed of one colony, as of a moment.
type Judged struct {
	Colony *Colony
	Type   string // hive type of the targets table: "nuc", "single", …; "" = not known
	Track  stores.Track
	// Feeder is what is still in its feeder, in litres, and InFeeder the line of
	// what it took.
	Feeder  figure.Estimate
	Intakes []Intake
	Room    figure.Estimate // kg its combs hold
	Bees    figure.Estimate // frames of bees; SD 0 and Looked false = a plain figure
	Looked  bool            // somebody counted the bees
	BeesAt  units.Moment    // when; zero = never
	Answers feeding.Seen    // what the looks answer
	LookAt  units.Moment    // of the last look; zero = never
	ReadAt  units.Moment    // of the last reading of its stores; zero = never
	// Trouble is what keeps it from being judged, or cannot be so.
	Trouble []feeding.Reason
}

// Stores gives the estimate of ripe stores in kg.
func (j *Judged) Stores() figure.Estimate { return j.Track.Now.Estimate }

// bench is what judging needs beside the facts: made once for all colonies.
type bench struct {
	st     *State
	at     units.Moment
	figs   figure.Set
	cat    hive.Catalogue
	perL   map[units.Strength]syrup.Conversion
	sky    map[string]*sky
	hefted []stores.Hefted
	prior  *winter.Params      // by the figures, before any weighing
	eats   map[string]*outlays // by yard
	taught map[string]*Learned // by yard
	yards  map[string][]*Colony
}

// Judge gives what is believed of every living colony that has been placed, by
// yard, stand, then name, as of at. Colonies that facts name but nobody placed
// come too, with that trouble.
func (st *State) Judge(at units.Moment) []Judged {
	b := st.bench(at)
	var out []Judged
	for _, c := range st.Colonies() {
		if c.State == apiary.Alive {
			out = append(out, b.judge(c, at, 0))
		}
	}
	return out
}

// JudgeOne is Judge for one colony, dead or alive.
func (st *State) JudgeOne(id string, at units.Moment) (Judged, bool) {
	c, ok := st.Colony(id)
	if !ok {
		return Judged{}, false
	}
	return st.bench(at).judge(c, at, 0), true
}

func (st *State) bench(at units.Moment) *bench {
	figs, _ := st.Settings.FigureSet()
	if st.Settings.Care > 0 {
		// The keeper's own care is a setting of its own, said as "1 in 10".
		if s, err := figs.With("feeding.care", st.Settings.Care); err == nil && !figs.IsOwn("feeding.care") {
			figs = s
		}
	}
	if !figs.IsOwn("feeding.step_l") {
		// The handy step is one of the keeper's own measure: half a quart, half a
		// litre, a pint.
		step := map[units.System]units.Volume{units.US: units.USQuart / 2, units.Metric: 0.5, units.UK: units.UKPint}[st.Settings.Units]
		if s, err := figs.With("feeding.step_l", step.L()); err == nil {
			figs = s
		}
	}
	b := &bench{st: st, at: at, figs: figs, cat: catalogue(), perL: map[units.Strength]syrup.Conversion{}, sky: map[string]*sky{}, eats: map[string]*outlays{}, taught: map[string]*Learned{}}
	b.calibrateHand()
	return b
}

// judge replays what is known of one colony up to and including at. depth counts
// unites within unites.
func (b *bench) judge(c *Colony, at units.Moment, depth int) Judged {
	out := Judged{Colony: c, Type: HiveType(c.Kind, c.Stack, b.cat)}
	if !c.Told {
		out.Trouble = append(out.Trouble, feeding.Reason{Code: "not-placed", Say: "nobody has said where it stands and in what woodenware"})
	}
	b.look(c, at, &out)
	if r, err := b.cat.Room(b.cat.Beside(c.Stack, c.Feeder), b.figs); err == nil {
		out.Room = r
	} else if c.Told {
		out.Trouble = append(out.Trouble, asReason("stack", err))
	}
	line := b.st.runFeeder(c, at.Day(), b.uptake(c, &out))
	out.Feeder, out.Intakes = line.Now, line.Intakes
	out.Trouble = append(out.Trouble, line.Trouble...)

	l := stores.Line{Until: at, Figures: b.figs, Room: out.Room, Eaten: stores.Eaten{South: b.isSouth(c.Yard)}}
	if e, ok := b.eatenBy(&out); ok {
		l.Eaten = e
	}
	l.Fed = b.fedBySyrup(line.Intakes)
	w := woodenware{}
	for _, f := range c.Events {
		w.see(c.ID, f)
		if !at.Covers(f.Seen) {
			continue
		}
		switch e := f.Body.(type) {
		case stores.Reading:
			out.ReadAt = f.Seen
			est, err := stores.Judge(e, b.context(c, f, &w))
			if err != nil {
				out.Trouble = append(out.Trouble, asReason("reading", err))
				continue
			}
			l.Seen = append(l.Seen, stores.Seen{ID: f.ID.String(), At: f.Seen, Est: est})
		case ledger.Given:
			if g, ok := b.fedInKg(c.ID, e); ok {
				l.Fed = append(l.Fed, stores.Fed{ID: f.ID.String(), At: f.Seen, Gain: g})
			}
		case apiary.United:
			if e.Into == c.ID && depth < 8 {
				l.Fed = append(l.Fed, b.joined(e.From, f, depth))
			}
		case apiary.Split:
			b.split(c.ID, e, f, &l)
		}
	}
	out.Track = stores.Carry(l)
	if n := &out.Track.Now; n.Known && b.forgotten(c.Yard, out.ReadAt.Day(), at.Day()) {
		r := stores.Reason{Code: "old-season", Say: "last read on {0}; what it gathered and ate since then nobody can say: weigh it again", Amounts: []any{out.ReadAt.Day()}}
		n.Estimate, n.Reasons, n.Question = figure.Estimate{}, []stores.Reason{r}, nil
	}
	return out
}

// beforeSeason is how long before a season begins a reading may have been made
// and still say something in it (judged): what is gathered in spring and summer is
// no matter of the model.
const beforeSeason = 30

// forgotten says whether a reading was made so long before the season of a day
// that a whole flow may lie between.
func (b *bench) forgotten(yard string, read, day units.Day) bool {
	south := b.isSouth(yard)
	return read < weather.SeasonStart(weather.Season(day, south), south)-beforeSeason
}

// woodenware is how a colony stood at some point of its history: after the fact
// seen last.
type woodenware struct {
	stack  hive.Stack
	feeder string
	volume units.Volume
	look   *apiary.Look
	lookAt units.Moment
	syrup  *ledger.Given // given last
	n, at  int           // facts seen; the place of the last one among all
	others int           // of those seen, what is no reading
	run    *feederRun    // its feeder, as the others before a reading had it
	runOf  int           // how many those were
}

// inFeeder is what was in the feeder on the evening before the reading f, the fact
// seen last. Between two readings with nothing else the feeder is followed on.
func (w *woodenware) inFeeder(b *bench, c *Colony, f *Fact) figure.Estimate {
	before := c.Events[:w.at]
	if w.run == nil || w.runOf != w.others {
		part, none := Colony{Colony: c.Colony, Events: before}, Judged{}
		b.look(&part, f.Seen, &none)
		w.run, w.runOf = b.st.newFeederRun(c.ID, b.uptake(&part, &none)), w.others
	}
	w.run.to(before, f.Seen.Day()-1)
	return w.run.now()
}

func (w *woodenware) see(id string, f *Fact) {
	w.at = w.n
	w.n++
	if _, reading := f.Body.(stores.Reading); !reading {
		w.others++
	}
	switch e := f.Body.(type) {
	case ledger.Given:
		if e.Feed == ledger.Syrup && e.Colony == id {
			w.syrup = &e
		}
	case apiary.Placed:
		w.stack, w.feeder, w.volume = e.Colony.Stack, e.Colony.Feeder, e.Colony.FeederVolume
	case apiary.Split:
		if e.New.ID == id {
			w.stack, w.feeder, w.volume = e.New.Stack, e.New.Feeder, e.New.FeederVolume
		}
	case apiary.Restacked:
		w.stack = e.Stack
	case apiary.FeederSet:
		w.feeder, w.volume = e.Feeder, e.Volume
	case apiary.Look:
		if e.BeesKnown || e.BroodKnown || w.look == nil {
			w.look, w.lookAt = &e, f.Seen
		}
	}
}

// context is what stood around a reading when it was made.
func (b *bench) context(c *Colony, f *Fact, w *woodenware) stores.Context {
	ctx := stores.Context{
		Catalogue: b.cat, Stack: w.stack, At: f.Seen, Feeder: w.feeder, FeederVolume: w.volume,
		Look: w.look, LookAt: w.lookAt, Yard: c.Yard, Hefted: b.hefted, Figures: b.figs, InFeeder: figure.Est(0, 0),
	}
	if len(w.stack.Boxes) == 0 {
		// Readings older than the first word of the woodenware: what was told
		// first stands for it.
		ctx.Stack, ctx.Feeder, ctx.FeederVolume = c.Stack, c.Feeder, c.FeederVolume
	}
	if now := &c.Stack; !ctx.Stack.TareKnown && now.TareKnown && now.Bare().String() == ctx.Stack.String() {
		ctx.Stack = *now // an empty weight measured later is that of the same boxes then
	}
	ctx.Brood = b.broodOf(c, f.Seen.Day())
	if w.at >= len(c.Events) || c.Events[w.at] != f {
		v := woodenware{}
		for _, e := range c.Events[:slices.Index(c.Events, f)+1] {
			v.see(c.ID, e)
		}
		w = &v
	}
	if look, at := b.lookBeside(c, f, w); look != nil {
		ctx.Look, ctx.LookAt = look, at
	}
	if w.syrup != nil {
		ctx.InFeeder = w.inFeeder(b, c, f)
		if d, err := syrup.Density(b.st.strengthOf(*w.syrup), 20); err == nil {
			ctx.Density = d
		}
	}
	return ctx
}

// lookBeside gives the look that counts for the reading f, the fact seen last, when
// it stands behind it: one of the same day, whichever was written first, for who
// weighs a hive looks into it too; and where nobody looked before, the next one
// of that season. nil = the look before it counts.
func (b *bench) lookBeside(c *Colony, f *Fact, w *woodenware) (*apiary.Look, units.Moment) {
	day, south := f.Seen.Day(), b.isSouth(c.Yard)
	counted := w.look != nil && (w.look.BeesKnown || w.look.BroodKnown)
	if counted && w.lookAt.Day() == day {
		return nil, units.Moment{}
	}
	for _, e := range c.Events[w.at+1:] {
		if !b.at.Covers(e.Seen) || counted && e.Seen.Day() > day || weather.Season(e.Seen.Day(), south) != weather.Season(day, south) {
			break
		}
		if l, ok := e.Body.(apiary.Look); ok && (l.BeesKnown || l.BroodKnown) {
			return &l, e.Seen
		}
	}
	return nil, units.Moment{}
}

// fedBySyrup turns what was taken into ripe stores, day by day.
func (b *bench) fedBySyrup(in []Intake) []stores.Fed {
	out := make([]stores.Fed, 0, len(in))
	for _, i := range in {
		conv, ok := b.conversion(i.Strength)
		if !ok || i.Volume.Mean <= 0 {
			continue
		}
		mass, err := syrup.MassOf(units.Volume(i.Volume.Mean), i.Strength, 20)
		if err != nil {
			continue
		}
		gain := figure.Est(i.Volume.Mean*conv.PerL.Mean, i.Volume.SD*conv.PerL.Mean+i.Volume.Mean*conv.PerL.SD)
		out = append(out, stores.Fed{ID: i.Day.String(), At: units.OnDay(i.Day), Gain: gain, Syrup: mass, Strength: i.Strength})
	}
	return out
}

func (b *bench) conversion(s units.Strength) (syrup.Conversion, bool) {
	if c, ok := b.perL[s]; ok {
		return c, c.PerL.Known
	}
	c, err := syrup.StoresPerL(s, 20, b.figs)
	if err != nil {
		c = syrup.Conversion{}
	}
	b.perL[s] = c
	return c, err == nil && c.PerL.Known
}

// fedInKg gives the stores that came with (or went by) feed counted in
// kilograms.
func (b *bench) fedInKg(id string, g ledger.Given) (figure.Estimate, bool) {
	kg := g.Mass.Q.Kg()
	switch g.Feed {
	case ledger.Comb:
		// Sealed frames: what was weighed or counted, as sure as a count of frames.
		gain := figure.Est(kg, kg*b.figs.V("stores.se_frames_share"))
		if g.From == id && g.Colony != id {
			gain.Mean = -gain.Mean
		}
		return gain, true
	case ledger.Fondant, ledger.DrySugar:
		if g.Colony != id {
			return figure.Estimate{}, false
		}
		k := syrup.Fondant
		if g.Feed == ledger.DrySugar {
			k = syrup.WhiteSugar
		}
		c, err := syrup.StoresPerKg(k, 0, b.figs)
		if err != nil || !c.PerKg.Known {
			return figure.Estimate{}, false
		}
		return c.PerKg.Times(kg), true
	}
	return figure.Estimate{}, false // syrup is followed by what is taken; protein is no stores
}

// joined is what a colony brought with it when it was united into another.
func (b *bench) joined(from string, f *Fact, depth int) stores.Fed {
	fed := stores.Fed{ID: f.ID.String(), At: f.Seen}
	if c, ok := b.st.Colony(from); ok {
		j := b.judge(c, f.Seen, depth+1)
		fed.Gain = j.Stores()
	}
	return fed
}

// split takes from the old colony what went with the new one, and starts the
// new one with it.
func (b *bench) split(id string, e apiary.Split, f *Fact, l *stores.Line) {
	// A split's stores are told by eye, as sure as a count of frames.
	kg := e.Stores.Kg()
	est := figure.Est(kg, max(0.5, kg*b.figs.V("stores.se_frames_share")))
	if e.New.ID == id {
		l.Seen = append(l.Seen, stores.Seen{ID: f.ID.String(), At: f.Seen, Est: stores.Estimate{Estimate: est, Way: stores.Frames}})
		return
	}
	est.Mean = -est.Mean
	l.Fed = append(l.Fed, stores.Fed{ID: f.ID.String(), At: f.Seen, Gain: est})
}

// calibrateHand collects the keeper's own hives that were hefted by hand and
// weighed on the same day.
func (b *bench) calibrateHand() {
	for _, c := range b.st.Colonies() {
		w := woodenware{}
		var hand, weighed *Fact
		for _, f := range c.Events {
			w.see(c.ID, f)
			r, ok := f.Body.(stores.Reading)
			if !ok || !b.at.Covers(f.Seen) {
				continue
			}
			if r.Way == stores.Hand {
				hand = f
			} else if r.Way != stores.Frames {
				weighed = f
			}
			if hand == nil || weighed == nil || hand.Seen.Day() != weighed.Seen.Day() || (f != hand && f != weighed) {
				continue
			}
			est, err := stores.Judge(weighed.Body.(stores.Reading), b.context(c, weighed, &w))
			if err == nil && est.Known {
				b.hefted = append(b.hefted, stores.Hefted{Yard: c.Yard, Stack: w.stack, Heft: hand.Body.(stores.Reading).Heft, Stores: est.Estimate})
			}
		}
	}
}
