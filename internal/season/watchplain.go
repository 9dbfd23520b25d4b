package season

import (
	"math"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/winter"
)

// Plain is how long a colony's stores last where no winter can be looked at: by its
// target, shared over the winter as bees commonly eat.
type Plain struct {
	Known   bool
	Needs   units.Mass // what it should still have today to reach first forage, reserve and all
	Chance  float64    // that it has less
	ShortOn units.Day  // the first day on which it is not sure enough that the reserve is whole; 0 = not before forage
}

// plainWinter is a winter told by its target alone.
type plainWinter struct {
	daily   []float64 // kg, from today to first forage
	reserve float64
	spread  float64 // of what is eaten, as a share; a target holds it already
}

// plainWinter shares a target over a winter. A target is what must be in the hive
// when feeding ends, so what was eaten since then is not asked for again; its
// shape by months is that of the plain published use. Where there is no target
// the plain use stands itself, up to the end of the watch's weeks, since nobody
// knows when forage begins.
func (b *bench) plainWinter(w *Watching, wy *WatchYard) plainWinter {
	today, south := b.at.Day(), b.isSouth(w.Colony.Yard)
	p := plainWinter{reserve: b.figs.V("winter.reserve_kg"), spread: b.figs.V("stores.daily_use_spread")}
	use := func(d units.Day) float64 { return stores.PlainUse(d.Month(), south, b.figs).Mean }
	until, share := today+units.Day(b.figs.V("winter.runway_watch_days")), 1.0
	from := today
	if wy.Stop.Known {
		from = wy.Stop.Stop.Day
	}
	if w.Aim.Kg > 0 && wy.Known {
		until, p.spread = wy.Forage.Day, 0
		whole := 0.0
		for d := from; d < until; d++ {
			whole += use(d)
		}
		share = math.Max(0, w.Aim.Kg.Kg()-p.reserve) / math.Max(whole, 1e-3)
	}
	for d := today; d < until; d++ {
		kg := 0.0
		if d >= from { // before that bees find food, or are fed
			kg = share * use(d)
		}
		p.daily = append(p.daily, kg)
	}
	return p
}

// needs gives what must be there today to have the reserve after so many days.
func (p *plainWinter) needs(days int) figure.Estimate {
	kg := 0.0
	for _, x := range p.daily[:min(max(days, 0), len(p.daily))] {
		kg += x
	}
	return figure.Est(p.reserve+kg, p.spread*kg)
}

// plainNeed says how long a colony lasts and what to give it where the model cannot
// look: never silence, for a hive that starves does so without a weather station
// too.
func (b *bench) plainNeed(w *Watching, wy *WatchYard) {
	w.Due = !w.Stores().Known
	if w.Due || wy.Seen != 0 || wy.Known && b.at.Day() >= wy.Forage.Day {
		return
	}
	p := b.plainWinter(w, wy)
	b.pressing(w)
	has, conf := w.Stores(), b.figs.V("winter.confidence")
	left := func(days int) figure.Estimate { // above the reserve
		n := p.needs(days)
		return figure.Est(has.Mean-n.Mean, math.Hypot(has.SD, n.SD))
	}
	lack := func(days int, sure float64) units.Mass { return units.Mass(math.Max(0, -left(days).Quantile(1-sure))) }
	soon := int(b.figs.V("winter.runway_watch_days"))
	if w.Aim.Kg > 0 && wy.Known {
		w.Plain = Plain{Known: true, Needs: units.Mass(p.needs(len(p.daily)).Mean), Chance: left(len(p.daily)).Below(0)}
		for i := 0; i <= len(p.daily) && w.Plain.ShortOn == 0; i++ {
			if left(i).Below(0) > 1-conf {
				w.Plain.ShortOn = b.at.Day() + units.Day(i)
			}
		}
		w.Look.Short = w.Plain.Chance
		w.Runway = winter.RunwayOver(units.Mass(has.Mean), p.daily)
		w.Level = b.runwayLevel(w)
		// Another heft tells something where this one leaves it open, and is worse than
		// a heft would be.
		w.Due = w.Plain.Chance > 1-conf && w.Plain.Chance < conf && has.SD > b.figs.V("winter.heft_sd_kg")
		w.Warn = append(w.Warn, feeding.Reason{Code: "plain-winter", Say: "no past winter is known here, so its target of {0} is shared over the winter as bees commonly eat: to reach {1} it should still have {2} now",
			Amounts: []any{w.Aim.Kg, wy.Forage.Day, w.Plain.Needs}})
	} else {
		w.Warn = append(w.Warn, feeding.Reason{Code: "plain-weeks", Say: "without the class of winter there is no target and no day of first forage: only the next six weeks are looked at, as bees commonly eat. Tell the winter of its yard"})
	}
	switch now := lack(soon, conf); {
	case now <= 0:
	case lack(soon, 0.5) <= 0 && w.Due:
		w.Level = winter.LookOut
	default:
		w.feed(b, now)
	}
	if w.Lack == 0 && w.Plain.Known && !w.Due && w.Plain.ShortOn != 0 {
		w.Later, w.Level = lack(len(p.daily), conf), winter.LookOut
	}
}

// feed says that a colony lacks so much for the weeks to come, and what to give.
func (w *Watching) feed(b *bench, lack units.Mass) {
	w.Lack = lack
	w.Need = winter.Emergency(b.needQuery(w.Colony.Yard, lack), b.figs)
	w.Level = winter.Alarm
}

// pressing says what the time of year asks of stores and bees, whatever was worked
// out.
func (b *bench) pressing(w *Watching) {
	today, south := b.at.Day(), b.isSouth(w.Colony.Yard)
	if lvl, why, ok := winter.Floor(units.Mass(w.Stores().Mean), today, south, b.figs); ok && lvl != winter.Enough {
		w.Warn = append(w.Warn, feeding.Reason(why))
	}
	if why, ok := winter.Weak(w.Bees.Mean, w.Answers.Queen == apiary.No, today, south, b.figs); ok && w.Looked {
		w.Warn = append(w.Warn, feeding.Reason(why))
	}
}

// runwayLevel judges how long it lasts, and the floor of the time of year.
func (b *bench) runwayLevel(w *Watching) winter.Level {
	if lvl, _, ok := winter.Floor(units.Mass(w.Stores().Mean), b.at.Day(), b.isSouth(w.Colony.Yard), b.figs); ok && lvl == winter.Alarm {
		return winter.Alarm
	}
	return winter.RunwayLevel(w.Runway, b.figs)
}
