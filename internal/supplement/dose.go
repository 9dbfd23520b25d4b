package supplement

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Batch is the syrup the product is to go into.
type Batch struct {
	Volume    units.Volume
	Strength  units.Strength
	Temp      units.Temp
	TempKnown bool
	// Share is the syrup one colony gets of it; 0 = not told. It is needed
	// where the label counts colonies or seasons.
	Share units.Volume
	// Had is what the colony that had most of all has had this season already.
	Had Spent
}

// Spent is what one colony has had of a product this season.
type Spent struct {
	Amount Amount // zero = nothing
	Times  int
}

// Step is one step at the mixer.
type Step struct {
	Code    string // "cool", "weigh", "measure", "dissolve", "label", "stir"
	Say     string // one sentence; "{0}" stands for the first of Amounts
	Amounts []any
}

// Dose is how much product goes into a batch. Nothing in it is above the label.
type Dose struct {
	Exact     Amount // by the label, to the last digit
	PerColony Amount // in one colony's share; zero where the share was not told
	Cut       bool   // less than the label's dose for syrup, because a limit is smaller

	Take       Amount // what to weigh or measure out: Exact, rounded down
	Grams      units.Mass
	GramsErr   error   // why there are no grams: a volume whose weight is not known
	Spoons     float64 // level spoonfuls, rounded down
	SpoonsErr  error   // why there are none: no spoon, or one not weighed
	Carrier    units.Volume
	HasCarrier bool

	Steps    []Step
	Cautions []Caution
}

// ForBatch gives the dose for a batch by the label. The spoon may be the zero
// Spoon. Locked with [fault.Missing] until the label is whole; too strong or too
// warm a syrup and a season's limit already reached are [fault.Unsafe].
//
//	by syrup    product · Volume/syrup
//	by colony   product · Volume/Share
//
// Where the label has both, and for the season's most, the smallest in one
// colony's share counts for all. Doses are linear in the volume.
func (l Label) ForBatch(b Batch, sp Spoon, fig figure.Set) (Dose, error) {
	const op = "supplement.Label.ForBatch"
	if err := l.Check(); err != nil {
		return Dose{}, err
	}
	if err := l.fits(b); err != nil {
		return Dose{}, err
	}
	perL, cut, err := l.perLitre(b, sp)
	if err != nil {
		return Dose{}, err
	}
	d := Dose{Exact: perL.with(perL.q() * float64(b.Volume)), Cut: cut}
	if b.Share > 0 {
		d.PerColony = perL.with(perL.q() * float64(b.Share))
	}
	fig = or(fig)
	step := l.step(d.Exact, fig)
	take := down(d.Exact.q(), step)
	if take <= 0 {
		return Dose{}, trouble(fault.OutOfRange, l.Product, op, "%s is too little to be measured", d.Exact).WithHint("mix a bigger batch, or use a finer scale")
	}
	d.Take = d.Exact.with(take)
	d.grams(l, sp, fig)
	if n, err := sp.count(d.Exact, l); err != nil {
		d.SpoonsErr = err
	} else if d.Spoons = down(n, fig.V(KeyLevel)); d.Spoons == 0 {
		d.SpoonsErr = trouble(fault.OutOfRange, l.Product, op, "it is less than the smallest part of this spoon").WithHint("weigh it")
	}
	if err := d.carrier(l, sp); err != nil {
		return Dose{}, err
	}
	d.Steps = l.steps(d, b)
	d.Cautions = l.cautions(d)
	return d, nil
}

// fits refuses a batch the label does not allow.
func (l Label) fits(b Batch) error {
	const op = "supplement.Label.ForBatch"
	bad := func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) || x < 0 }
	switch {
	case bad(float64(b.Volume)) || bad(float64(b.Share)) || bad(float64(b.Strength)) || b.Strength >= 1 || b.TempKnown && (math.IsNaN(float64(b.Temp)) || math.IsInf(float64(b.Temp), 0)) || b.Had.Times < 0:
		return trouble(fault.OutOfRange, l.Product, op, "that is no batch of syrup").WithHint("give its volume, strength and temperature")
	case b.Volume == 0:
		return trouble(fault.Missing, l.Product, op, "the volume of the batch has not been told").WithHint("for example 150 L")
	case b.Share > b.Volume:
		return trouble(fault.OutOfRange, l.Product, op, "one colony's share is more than the whole batch").WithHint("check the share and the batch")
	case l.Strongest.Said == Says && b.Strength == 0:
		return trouble(fault.Missing, l.Product, op, "the label limits the strength of the syrup, and that of the batch has not been told").WithHint("read it with the refractometer")
	case l.Strongest.Said == Says && float64(b.Strength) > float64(l.Strongest.Is)*(1+1e-9):
		return trouble(fault.Unsafe, l.Product, op, "the label allows syrup up to %.1f %%, this one has %.1f %%", l.Strongest.Is.Brix(), b.Strength.Brix()).WithHint("thin the syrup, or leave the product out")
	case l.Warmest.Said == Says && b.TempKnown && b.Temp > l.Warmest.Is:
		return trouble(fault.Unsafe, l.Product, op, "the label allows syrup up to %.0f °C, this one has %.0f °C", float64(l.Warmest.Is), float64(b.Temp)).WithHint("let it cool first")
	}
	return nil
}

// perLitre is the product per litre of syrup under all of the label's limits,
// and whether one of them cut it.
func (l Label) perLitre(b Batch, sp Spoon) (Amount, bool, error) {
	const op = "supplement.Label.ForBatch"
	var perL Amount
	if !l.PerSyrup.IsZero() {
		perL = l.PerSyrup.Product.with(l.PerSyrup.Product.q() / float64(l.PerSyrup.Syrup.Q))
	}
	counted := !l.PerColony.IsZero() || l.SeasonMost.Said == Says
	if counted && b.Share == 0 {
		return perL, false, trouble(fault.Missing, l.Product, op, "the label counts by colony, and one colony's share of the syrup has not been told").WithHint("how much syrup one colony gets of this batch")
	}
	cut := false
	if !l.PerColony.IsZero() {
		most := l.PerColony.Product
		most = most.with(most.q() / float64(b.Share))
		var err error
		if perL, cut, err = l.smaller(perL, most, sp); err != nil {
			return perL, false, err
		}
	}
	left, limited, err := l.SeasonLeft(b.Had, sp)
	if err != nil || !limited {
		return perL, cut, err
	}
	if l.SeasonMost.Said == Says {
		lower, season, err := l.smaller(perL, left.with(left.q()/float64(b.Share)), sp)
		return lower, cut || season, err
	}
	return perL, cut, nil
}

// smaller gives the smaller of two amounts per litre, in the kind of a; a zero a
// gives b.
func (l Label) smaller(a, b Amount, sp Spoon) (Amount, bool, error) {
	if a.IsZero() {
		return b, false, nil
	}
	b, err := sp.as(b, a, l.Product)
	if err != nil {
		return a, false, err
	}
	if b.q() < a.q()*(1-1e-12) {
		return b, true, nil
	}
	return a, false, nil
}

// SeasonLeft gives what one colony may still have this season; limited is false
// where the label sets no limit, and left is zero where it limits only how
// often. A limit already reached is [fault.Unsafe].
func (l Label) SeasonLeft(had Spent, sp Spoon) (left Amount, limited bool, err error) {
	const op = "supplement.Label.SeasonLeft"
	if l.SeasonTimes.Said == Says {
		limited = true
		if had.Times >= l.SeasonTimes.Is {
			return Amount{}, true, trouble(fault.Unsafe, l.Product, op, "the label allows it %d times a season, and that has been done", l.SeasonTimes.Is).WithHint("not again this season")
		}
	}
	if l.SeasonMost.Said != Says {
		return Amount{}, limited, nil
	}
	most := l.SeasonMost.Is
	used := 0.0
	if !had.Amount.IsZero() {
		same, err := sp.as(had.Amount, most, l.Product)
		if err != nil {
			return Amount{}, true, err
		}
		used = same.q()
	}
	if rest := most.q() - used; rest > most.q()*1e-9 {
		return most.with(rest), true, nil
	}
	return Amount{}, true, trouble(fault.Unsafe, l.Product, op, "the label allows one colony %s a season, and that has been given", most).WithHint("not again this season")
}

// MostSyrup gives the most syrup, dosed by the label's dose for syrup, that one
// colony may still get this season; limited is false where the label sets no
// such limit.
func (l Label) MostSyrup(had Spent, sp Spoon) (v units.Volume, limited bool, err error) {
	if err := l.Check(); err != nil {
		return 0, false, err
	}
	left, _, err := l.SeasonLeft(had, sp)
	if err != nil || left.IsZero() || l.PerSyrup.IsZero() {
		return 0, false, err
	}
	left, err = sp.as(left, l.PerSyrup.Product, l.Product)
	if err != nil {
		return 0, true, err
	}
	return units.Volume(left.q() / l.PerSyrup.Product.q() * float64(l.PerSyrup.Syrup.Q)), true, nil
}

// step is what the dose is rounded down to, in kg or L: the label's last digit
// or the keeper's scale, whichever is coarser; the scale alone where the label's
// digit would throw away more than a twentieth.
func (l Label) step(a Amount, fig figure.Set) float64 {
	tool := fig.V(KeyGlass) / 1000
	rule := l.PerSyrup.Product
	if a.Weighed() {
		tool = fig.V(KeyScale) / 1000
	}
	if rule.IsZero() {
		rule = l.PerColony.Product
	}
	if p := rule.printed(); rule.same(a) && p > tool && p*20 <= a.q() {
		return p
	}
	return tool
}

// grams puts in the weight, if it can be known.
func (d *Dose) grams(l Label, sp Spoon, fig figure.Set) {
	if d.Take.Weighed() {
		d.Grams = d.Take.Mass.Q
		return
	}
	m, err := sp.as(d.Exact, ByMass(1), l.Product)
	if err != nil {
		d.GramsErr = err
		return
	}
	d.Grams = units.Mass(down(float64(m.Mass.Q), fig.V(KeyScale)/1000))
}

// carrier puts in the water to dissolve it in first.
func (d *Dose) carrier(l Label, sp Spoon) error {
	if l.Carrier.Said != Says {
		return nil
	}
	c := l.Carrier.Is
	a, err := sp.as(d.Take, c.Product, l.Product)
	if err != nil {
		return err
	}
	d.HasCarrier, d.Carrier = true, c.Water.Q*units.Volume(a.q()/c.Product.q())
	return nil
}

// steps is the order of work: cool, weigh, dissolve, then what the label says,
// in its words, then stir in.
func (l Label) steps(d Dose, b Batch) []Step {
	var out []Step
	add := func(code, say string, amounts ...any) { out = append(out, Step{code, say, amounts}) }
	if l.Warmest.Said == Says && !b.TempKnown {
		add("cool", "Let the syrup cool to {0} or less; measure it", l.Warmest.Is)
	}
	if d.Take.Weighed() {
		add("weigh", "Weigh out {0} of {1}", d.Take.Say(), l.Product)
	} else {
		add("measure", "Measure out {0} of {1}", d.Take.Say(), l.Product)
	}
	if d.HasCarrier {
		add("dissolve", "Dissolve it first in {0} of water", d.Carrier)
	}
	if l.Order.Said == Says {
		for _, s := range l.Order.Is {
			add("label", "The label says: {0}", s)
		}
	}
	add("stir", "Stir it into {0} of syrup until it is even; write product, lot and dose on the tank", b.Volume)
	return out
}

func (l Label) cautions(d Dose) []Caution {
	out := []Caution{
		caution("label-law", "The label is the law. We only multiply what it says. Needs a vet where your country says so"),
		caution("supers-off", "Honey supers off before any feed or supplement"),
	}
	if d.Cut {
		out = append(out, caution("dose-cut", "A limit on the label is smaller than its dose: each colony gets {0}, no more", d.PerColony.Say()))
	}
	if l.Medicine == Yes {
		out = append(out,
			caution("medicine", "A medicine, allowed by {0}. Note product, lot, amount, colonies and date, and keep the record as long as the law asks", l.Authority),
			caution("withdrawal", "No honey is taken until {0} days after the last of it; combs of treated hives stay with treated hives", int(l.Withdrawal.Is)))
	}
	return out
}
