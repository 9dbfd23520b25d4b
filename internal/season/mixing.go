package season

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/ledger"
	"larder/internal/syrup"
	"larder/internal/units"
	"larder/internal/weather"
)

// mixFigures lists what the batch card assumes.
func mixFigures() []figure.Figure {
	return []figure.Figure{
		{Key: "season.stand_days", Name: "days a batch may stand before it is fed", Value: 14, Unit: "days", Low: 1, High: 30,
			Source: "common practice, no source", Grade: figure.Practice, Note: "the coldest night of these days is what it must not grain in"},
	}
}

// ReadNumber reads a plain number as people write it: "48.5", "48,5", "4½".
func ReadNumber(s string, l units.Locale) (float64, error) { return plainNumber(s, l) }

// MixAsk is what is to be mixed, as a keeper puts it. One of Make, Sugar and
// Sacks says how much; see [syrup.MixRequest] for the rest.
type MixAsk struct {
	Strength string // "2:1", "2:1 by volume", "66.7 %"; "" = the season's
	Bulk     units.Density
	Make     units.Volume
	Sugar    units.Mass
	Sacks    float64
	Sack     units.Mass
	At       syrup.Maybe[units.Temp]
	Low      syrup.Maybe[units.Temp] // not told = the coming low, if it is known
	Sugars   syrup.Maybe[units.Temp] // temperature of the sugar
	Water    syrup.Maybe[units.Temp] // of the water
	Want     syrup.Maybe[units.Temp] // of the fresh mix; neither this nor Water told = warm enough to dissolve well
	Power    units.Power             // of the heater
	Locale   units.Locale
}

// MixCard is a batch worked out, with all that its card says.
type MixCard struct {
	syrup.Mixing
	Recipe  string                  // the strength as asked for
	Want    syrup.Maybe[units.Temp] // temperature the mix is to come out at
	Cold    ComingLow               // what it may have to stand in
	Heat    syrup.Maybe[syrup.HeatPlan]
	Keep    syrup.Keeping
	Reasons []feeding.Reason // what to watch, each once
}

// MixCard works out a batch by the figures in force. Errors are those of
// [syrup.Mix] and of reading the strength.
func (st *State) MixCard(a MixAsk, at units.Moment) (MixCard, error) {
	figs, _ := st.Settings.FigureSet()
	out := MixCard{Recipe: a.Strength}
	if out.Recipe == "" {
		out.Recipe = st.Settings.Strength
	}
	req := syrup.MixRequest{Bulk: a.Bulk, Make: a.Make, Sugar: a.Sugar, Sacks: a.Sacks, Sack: a.Sack, At: a.At, Low: a.Low,
		SugarTemp: a.Sugars, WaterTemp: a.Water, WantTemp: a.Want, Figures: figs}
	var err error
	if strings.Contains(out.Recipe, ":") {
		req.Ratio, err = units.ParseRatio(out.Recipe, a.Locale)
	} else {
		req.Strength, err = units.ParseStrengthIn(out.Recipe, "%", a.Locale)
	}
	if err != nil {
		return MixCard{}, err
	}
	if a.Low.Told {
		out.Cold = ComingLow{Known: true, Temp: a.Low.Q, From: weather.Typed}
	} else if out.Cold = st.ComingLow(at); out.Cold.Known {
		req.Low = syrup.Told(out.Cold.Temp)
	}
	if out.Mixing, err = syrup.Mix(req); err != nil {
		return MixCard{}, err
	}
	if !a.Want.Told && !a.Water.Told && out.Crystals {
		// Nothing was said of heat: as warm as the last grains need.
		easy := out.CrystalAt + units.Temp(figs.V(syrup.KeyGrainMargin))
		if easy <= units.Temp(figs.V(syrup.KeyMixMax)) {
			req.WantTemp = syrup.Told(easy)
			if m, err := syrup.Mix(req); err == nil {
				out.Mixing = m
			}
		}
	}
	out.Want = req.WantTemp
	if a.Want.Told && a.Water.Told {
		h, err := syrup.PlanHeat(syrup.HeatRequest{Sugar: out.Sugar, SugarTemp: a.Sugars.Or(15), Water: out.Water, WaterTemp: a.Water.Q,
			Want: a.Want.Q, Power: a.Power, Figures: figs})
		if err != nil {
			return MixCard{}, err
		}
		out.Heat = syrup.Told(h)
		out.watch(h.Warnings)
	}
	out.watch(out.Warnings)
	if k, err := syrup.Keep(syrup.KeepRequest{Strength: out.Mixing.Strength, At: out.At, Figures: figs}); err == nil {
		out.Keep = k
		out.watch(k.Warnings)
	}
	return out, nil
}

// watch adds warnings as reasons, each code once.
func (c *MixCard) watch(ws []syrup.Warning) {
	for _, w := range ws {
		if !slices.ContainsFunc(c.Reasons, func(r feeding.Reason) bool { return r.Code == w.Code }) {
			c.Reasons = append(c.Reasons, feeding.Reason(w))
		}
	}
}

// ComingLow is the coldest night to be expected while a batch stands.
type ComingLow struct {
	Known bool
	Temp  units.Temp
	From  weather.Basis // Forecast, ManyYears or FewerYears (by Years), or Typed
	Day   units.Day     // of the forecast; 0 = by past years
	Years int
	Until units.Day
}

// ComingLow looks for the coldest night of the next "season.stand_days" days, at
// the coldest of the yards' stations: by the forecast for the days it covers;
// for the rest the middle one of what each past year had in those days, or the
// forecast where that is colder.
func (st *State) ComingLow(at units.Moment) ComingLow {
	b := st.bench(at)
	out := ComingLow{Until: at.Day() + units.Day(b.figs.V("season.stand_days"))}
	seen := map[string]bool{}
	for _, y := range st.Yards() {
		s := b.skyOf(y.ID)
		if !s.known || seen[s.place] {
			continue
		}
		seen[s.place] = true
		if x := lowOf(s.series, at.Day(), out.Until); x.Known && (!out.Known || x.Temp < out.Temp) {
			out = x
		}
	}
	return out
}

func lowOf(s weather.Series, today, until units.Day) ComingLow {
	out := ComingLow{Until: until}
	var open []units.Day // days the forecast does not cover
	for d := today; d <= until; d++ {
		w, ok := s.At(d)
		switch {
		case !ok || !w.HasMin:
			open = append(open, d)
		case d > today || w.Forecast:
			if !out.Known || w.TMin < out.Temp {
				out.Known, out.Temp, out.From, out.Day = true, w.TMin, weather.Forecast, d
			}
		}
	}
	first, _, ok := s.Span()
	if !ok || len(open) == 0 {
		return out
	}
	var lows []float64
	for y := 1; today.Year()-y >= first.Year(); y++ {
		if t, ok := lowOn(s, open, y); ok {
			lows = append(lows, t.C())
		}
	}
	if len(lows) == 0 {
		return out
	}
	slices.Sort(lows)
	mid := units.Temp(lows[(len(lows)-1)/2])
	if !out.Known || mid < out.Temp {
		out.Known, out.Temp, out.From, out.Day, out.Years = true, mid, weather.ManyYears, 0, len(lows)
	}
	return out
}

// lowOn gives the lowest temperature measured on days of so many years ago; not
// ok when fewer than half of them are known.
func lowOn(s weather.Series, days []units.Day, back int) (units.Temp, bool) {
	low, n := units.Temp(math.Inf(1)), 0
	for _, d := range days {
		w, ok := s.At(units.DayOf(d.Year()-back, d.Month(), d.DayOfMonth()))
		if ok && w.HasMin && !w.Forecast {
			low = min(low, w.TMin)
			n++
		}
	}
	return low, n > 0 && 2*n >= len(days)
}

// NextBatch gives the first batch of a plan that is still to be mixed: ready on
// the day of at or later. planned may be nil.
func NextBatch(planned *Planned, at units.Moment) (feeding.Batch, bool) {
	if planned != nil {
		for _, b := range planned.Batches {
			if b.Day >= at.Day() {
				return b, true
			}
		}
	}
	return feeding.Batch{}, false
}

// NextBatchID gives the next free name for a batch mixed on a day: "b26-01",
// "b26-02" and so on.
func (st *State) NextBatchID(d units.Day) string {
	prefix := fmt.Sprintf("b%02d-", d.Year()%100)
	last := 0
	for _, b := range st.Batches() {
		if n, err := strconv.Atoi(strings.TrimPrefix(b.ID, prefix)); err == nil && strings.HasPrefix(b.ID, prefix) {
			last = max(last, n)
		}
	}
	return fmt.Sprintf("%s%02d", prefix, last+1)
}

// Batch gives the batch as it will be written down: by the card, or, once it was
// checked, by what the check found and what was added then.
func (c *MixCard) Batch(id string, check *BatchCheck) ledger.Batch {
	b := ledger.Batch{ID: id, Volume: units.In(c.Syrup), Strength: c.Mixing.Strength, Sugar: units.In(c.Sugar), Water: units.In(c.Water)}
	switch {
	case check == nil:
	case check.Right:
		b.Strength = check.True
	default:
		b.Strength = check.Want
		b.Volume = units.In(check.Correct.Final)
		b.Sugar = units.In(c.Sugar + check.Correct.AddSugar)
		b.Water = units.In(c.Water + check.Correct.AddWater)
	}
	return b
}

// BatchCheck is the reading of a batch with a refractometer, and what to add to
// it.
type BatchCheck struct {
	True    units.Strength // of the batch
	Want    units.Strength
	Adds    units.Strength // what the temperature of the reading changed
	Correct syrup.Correction
	Right   bool // near enough: within one standard deviation of a reading
	Reasons []feeding.Reason
}

// CheckBatch tells the true strength of a batch of volume have from a reading,
// and what to add to bring it to want.
func (st *State) CheckBatch(have units.Volume, reads, want units.Strength, readAt syrup.Maybe[units.Temp], m syrup.Meter) (BatchCheck, error) {
	figs, _ := st.Settings.FigureSet()
	c, err := syrup.Correct(syrup.CorrectRequest{Have: have, Reads: reads, Want: want, At: syrup.Told[units.Temp](20), Meter: m, ReadAt: readAt, Figures: figs})
	if err != nil {
		return BatchCheck{}, err
	}
	out := BatchCheck{True: c.Strength, Want: want, Adds: c.MeterAdds, Correct: c, Right: math.Abs(float64(c.Strength-want)) <= figs.V(syrup.KeyMeterSD)}
	for _, w := range c.Warnings {
		out.Reasons = append(out.Reasons, feeding.Reason(w))
	}
	return out, nil
}
