package season

import (
	"math"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/winter"
)

// AimFrom says which target of a colony is used.
type AimFrom string

// The targets. AimNone: none is known.
const (
	AimNone  AimFrom = ""
	AimOwn   AimFrom = "own"   // typed by the keeper for this colony
	AimModel AimFrom = "model" // worked out from the yard's past winters
	AimTable AimFrom = "table" // the published suggestion for class of winter and hive
)

// The values of the setting "feed.target".
const (
	UseModel  = "model"
	UseTable  = "table"
	UseLarger = "larger" // the larger of the two
)

// Aim is what a colony should have, three ways side by side, and which is used.
//
// A target the keeper typed for the colony always wins: it is never replaced in
// silence. Else the setting "feed.target" decides; without it the model, since
// it goes by this place's own winters, this colony's bees and the keeper's own
// weighings, and falls as winter passes. Where the model cannot say (no past
// winter known, summer, a colony out of its range) the table stands in, and the
// reason is told.
type Aim struct {
	Kg   units.Mass // the one used; 0 = none
	From AimFrom

	Own, Model, Table units.Mass // 0 = not known, or none
	TableFrom         string     // the published rows the table's value stands on

	// Want is what the model asks whatever the combs hold; Model is held to them.
	Want   units.Mass
	NoRoom bool
	// Reserve is the part of Model that is not to be touched, Eaten what is
	// likely to be eaten until Until.
	Reserve    units.Mass
	Eaten      figure.Estimate // kg
	Until      units.Day
	Winters    int
	Confidence float64
	// The chance to last until then with each; NaN = not known.
	ModelLasts, OwnLasts, TableLasts float64

	Why     []feeding.Reason // where the one used comes from
	NoModel []feeding.Reason // why the model does not say; empty = it does
}

// aim works out a colony's targets.
func (b *bench) aim(j *Judged) Aim {
	a := Aim{Own: j.Colony.Target, ModelLasts: nan, OwnLasts: nan, TableLasts: nan}
	var noTable feeding.Reason
	if j.Type == "" {
		noTable = feeding.Reason{Code: "no-stack", Say: "its woodenware is not known, so the table has no target for it; tell its boxes, or set a target of your own"}
	} else if t, err := feeding.Target(b.climate(j.Colony.Yard), j.Type); err != nil {
		noTable = asReason("no-target", err)
	} else {
		a.Table, a.TableFrom = t.Stores, t.From
	}
	o, why := b.outlay(j)
	if a.NoModel = why; o != nil {
		a.byModel(o, j, b.figs)
	}
	a.choose(b.st.Settings.Target)
	a.say(noTable)
	if a.From == AimModel {
		a.Why = append(a.Why, b.shelter(j.Colony).say(b.figs)...)
	}
	return a
}

// byModel fills in what the winter model says.
func (a *Aim) byModel(o *winter.Outlay, j *Judged, figs figure.Set) {
	a.Reserve, a.Confidence = units.Mass(figs.V("winter.reserve_kg")), figs.V("winter.confidence")
	a.Eaten, a.Until, a.Winters = figure.Est(o.Mean, o.SD), o.Until, o.Winters
	a.Want = a.Reserve + o.Quantile(a.Confidence)
	a.Model = a.Want
	if j.Room.Known {
		if most := feeding.MostStores(units.Mass(j.Room.Mean), figs); a.Want > most {
			a.Model, a.NoRoom = most, true
		}
	}
	a.ModelLasts = o.Lasts(a.Model, a.Reserve)
	if a.Own > 0 {
		a.OwnLasts = o.Lasts(a.Own, a.Reserve)
	}
	if a.Table > 0 {
		a.TableLasts = o.Lasts(a.Table, a.Reserve)
	}
}

// choose picks the target that is used.
func (a *Aim) choose(setting string) {
	switch {
	case a.Own > 0:
		a.Kg, a.From = a.Own, AimOwn
	case a.Model > 0 && (setting == UseLarger && a.Model >= a.Table || setting == UseTable && a.Table == 0 || setting != UseLarger && setting != UseTable):
		a.Kg, a.From = a.Model, AimModel
	case a.Table > 0:
		a.Kg, a.From = a.Table, AimTable
	}
}

// say tells where the target used comes from, what stands beside it and what
// the model lacks.
func (a *Aim) say(noTable feeding.Reason) {
	add := func(code, say string, amounts ...any) {
		a.Why = append(a.Why, feeding.Reason{Code: code, Say: say, Amounts: amounts})
	}
	switch a.From {
	case AimOwn:
		add("own-target", "the target of {0} is your own", a.Own)
	case AimModel:
		add("model-target", "the target of {0} is worked out from the past winters here: until {1} it eats about {2}, in {3} of 100 such winters no more than {4}; {5} more is the reserve",
			a.Model, a.Until, units.Mass(a.Eaten.Mean), Of100(a.Confidence), a.Want-a.Reserve, a.Reserve)
		if a.NoRoom {
			add("no-room", "it would want {0}, but its combs should hold no more than {1}, so that is the target: it lasts with it in {2} of 100 such winters, and longer with another box",
				a.Want, a.Model, Of100(a.ModelLasts))
		}
	case AimTable:
		add("table-target", "the target of {0} is the suggestion for this class of winter and hive", a.Table)
	default:
		a.Why = append(a.Why, noTable)
	}
	if a.From != AimModel {
		a.Why = append(a.Why, a.NoModel...)
	}
}

// Beside lists the targets that are known but not used, each with the chance to
// last with it: what a keeper weighs one against the other.
func (a *Aim) Beside() []feeding.Reason {
	var out []feeding.Reason
	one := func(from AimFrom, kg units.Mass, lasts float64, plain, chance string) {
		switch {
		case kg == 0 || a.From == from:
		case math.IsNaN(lasts):
			out = append(out, feeding.Reason{Code: "beside-" + string(from), Say: plain, Amounts: []any{kg}})
		default:
			out = append(out, feeding.Reason{Code: "beside-" + string(from), Say: chance, Amounts: []any{kg, Of100(lasts)}})
		}
	}
	one(AimModel, a.Model, a.ModelLasts, "the winters here ask for {0}", "the winters here ask for {0}; it lasts with that in {1} of 100 such winters")
	one(AimTable, a.Table, a.TableLasts, "the suggestion for such winters and hives is {0}", "the suggestion for such winters and hives is {0}; it lasts with that in {1} of 100 such winters")
	if a.From == AimOwn && !math.IsNaN(a.OwnLasts) {
		out = append(out, feeding.Reason{Code: "own-lasts", Say: "with your own target it lasts in {0} of 100 such winters", Amounts: []any{Of100(a.OwnLasts)}})
	}
	return out
}

// Of100 says a chance as so many of a hundred.
func Of100(p float64) float64 { return math.Round(100 * p) }

// TargetOf gives a living colony's targets with all that drives them: what the
// food goes on, what makes it unsure. ok is false where the model cannot say.
func (st *State) TargetOf(at units.Moment, id string) (t winter.Target, ok bool) {
	c, ok := st.Colony(id)
	if !ok {
		return t, false
	}
	b := st.bench(at)
	j := b.judge(c, at, 0)
	o := b.outlays(c.Yard)
	if o.of == nil {
		return t, false
	}
	t, err := o.of.Target(b.targetQuery(&j, b.kin(&j).colony(id)))
	return t, err == nil
}

// DrivesOf says what a colony's target by the model is made of, what makes it
// unsure and what it rests on; nothing where the model cannot say.
func (st *State) DrivesOf(at units.Moment, id string) []feeding.Reason {
	t, ok := st.TargetOf(at, id)
	if !ok {
		return nil
	}
	var out []feeding.Reason
	for _, r := range t.Reasons {
		switch r.Code {
		case "published", "own-target", "no-room", "weak": // told beside it
		default:
			out = append(out, feeding.Reason(r))
		}
	}
	return append(out, st.shelterDrives(at, id)...)
}
