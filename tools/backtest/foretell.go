package main

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"larder/internal/apiary"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

var figs = figure.NewSet(stores.Figures(), weather.Figures(), winter.Figures())

// allYears takes every winter there is; how many are looked at is for known to
// say.
var allYears = func() figure.Set {
	s, err := figs.With("winter.years_back", 100)
	if err != nil {
		panic(err)
	}
	return s
}()

// place is one station's weather and what is asked of it.
type place struct {
	name   string
	series weather.Series
	brood  winter.Brood
	class  apiary.Climate
	first  int // first season foretold
	last   int
	back   int // past years looked at; 0 = all
	// draws of the ensemble and colonies thrown for each winter; 0 = the usual.
	draws, simulated int
}

// known is what could be known on the eve of a season: nothing of it or after.
func (p *place) known(season int) weather.Series {
	eve := weather.SeasonStart(season, false) - 1
	s := p.series.Until(eve)
	if p.back > 0 {
		s = s.Between(weather.SeasonStart(season-p.back, false), eve)
	}
	return s
}

func (p *place) years() string {
	if p.back == 0 {
		return "all years before"
	}
	return fmt.Sprintf("the %d years before", p.back)
}

// stopDays scores the stop day: 80 % between Low and High, 90 % at Day or later.
func stopDays(p place) (rng, safe score, err error) {
	rng = score{What: "stop day, 80 % range, from " + p.years(), Place: p.name, Want: 0.8, AtLeast: p.back > 0 && p.back < 20}
	safe = score{What: "stop day, safe in 9 of 10, from " + p.years(), Place: p.name, Want: 0.9, AtLeast: true}
	say := func(x float64) string { return units.Day(x).Time().Format("2 January") }
	for season := p.first; season <= p.last; season++ {
		cold, ok := weather.FirstCold(filled(p.series), season, false, figs)
		if !ok {
			continue
		}
		st, err := weather.StopDay(weather.StopQuery{Season: season, Series: p.known(season), Feed: weather.Feed{Strength: 2. / 3}}, figs)
		if err != nil {
			return rng, safe, fmt.Errorf("%s %d: %w", p.name, season, err)
		}
		came := cold - units.Day(st.Lead)
		rng.add(season, float64(came), float64(st.Low), float64(st.High), say)
		safe.add(season, float64(came), float64(st.Day), math.Inf(1), func(x float64) string {
			if math.IsInf(x, 1) {
				return "any later day"
			}
			return say(x)
		})
		var past []float64
		known := filled(p.known(season))
		for y := p.start(season); y < season; y++ {
			if d, ok := weather.FirstCold(known, y, false, figs); ok {
				past = append(past, float64(d-weather.SeasonStart(y, false)))
			}
		}
		if len(past) > 0 {
			rng.Pit = append(rng.Pit, point{season, pit(past, float64(cold-weather.SeasonStart(season, false)))})
		}
	}
	return rng, safe, nil
}

func (p *place) start(season int) int {
	if p.back > 0 {
		return season - p.back
	}
	first, _, _ := p.series.Span()
	return weather.Season(first, false)
}

func filled(s weather.Series) weather.Series {
	f, _ := weather.Fill(s, figs)
	return f
}

// feedable counts the days good for a round from 1 September to 15 November;
// ok is false when more than one in fifty of them is unknown.
func feedable(s weather.Series, season int) (n float64, ok bool) {
	from, to := units.DayOf(season, time.September, 1), units.DayOf(season, time.November, 15)
	known := 0
	for d := from; d <= to; d++ {
		x, has := s.At(d)
		if !has || !x.HasMax {
			continue
		}
		known++
		if weather.Round(x, figs).OK {
			n++
		}
	}
	return n, float64(known) >= 0.98*float64(to-from+1)
}

// feedDays scores the number of days good for a round.
func feedDays(p place) score {
	s := score{What: "days good for a round, 1 Sep–15 Nov, 80 % range, from " + p.years(), Place: p.name, Want: 0.8}
	for season := p.first; season <= p.last; season++ {
		came, ok := feedable(p.series, season)
		var past []float64
		known := p.known(season)
		for y := p.start(season); y < season; y++ {
			if n, ok := feedable(known, y); ok {
				past = append(past, n)
			}
		}
		if !ok || len(past) < 2 {
			continue
		}
		low, high := sampleRange(past, 0.8)
		s.add(season, came, low, high, func(x float64) string { return fmt.Sprintf("%.1f days", x) })
		s.Pit = append(s.Pit, point{season, pit(past, came)})
	}
	return s
}

// chances scores the calendar's chance of each single day against what came, in
// five classes.
func chances(p place) ([5]score, error) {
	var out [5]score
	for i := range out {
		out[i] = score{What: fmt.Sprintf("chance of a round, days foretold %d–%d %%, from %s", 20*i, 20*i+20, p.years()), Place: p.name}
	}
	var sum [5]float64
	for season := p.first; season <= p.last; season++ {
		from := units.DayOf(season, time.September, 1)
		cal, err := weather.Calendar(weather.CalendarQuery{From: from, Days: 76, Series: p.known(season)}, figs)
		if err != nil {
			return out, err
		}
		for _, c := range cal.Days {
			x, ok := p.series.At(c.Day)
			if !ok || !x.HasMax || c.Years == 0 {
				continue
			}
			s := &out[min(int(c.Chance*5), 4)]
			sum[min(int(c.Chance*5), 4)] += c.Chance
			s.N++
			if weather.Round(x, figs).OK {
				s.Inside++
			} else {
				s.Below++
			}
		}
	}
	for i := range out {
		if out[i].N > 0 {
			out[i].Want = sum[i] / float64(out[i].N)
		}
	}
	return out, nil
}

// model is the colony the winters are tried on.
var model = winter.Colony{ID: "model", Bees: 12000}

// The usual numbers of draws and of colonies thrown for each winter.
const (
	draws     = 1000
	simulated = 400
)

// winters scores what the model colony eats from 1 October to the first
// dependable forage: by the weather alone, and with all that is not known, for
// colonies that are simulated, because weights of real ones cannot be had.
func winters(p place, seed uint64) (byWeather, whole, lasts score, err error) {
	byWeather = score{What: "eaten by the model colony, 80 % range by weather alone, from " + p.years(), Place: p.name, Want: 0.8, AtLeast: p.back > 0 && p.back < 20}
	whole = score{What: "eaten by simulated colonies, 80 % range, from " + p.years(), Place: p.name, Want: 0.8}
	lasts = score{What: "simulated colonies that last on the 95 % target, from " + p.years(), Place: p.name, Want: 0.95}
	for season := p.first; season <= p.last; season++ {
		t, ok, err := p.foretold(season, seed)
		if err != nil {
			return byWeather, whole, lasts, err
		}
		if !ok {
			continue
		}
		byWeather.add(season, t.came, t.low, t.high, func(x float64) string { return fmt.Sprintf("%.2f kg", x) })
		byWeather.Pit = append(byWeather.Pit, point{season, pit(t.past, t.came)})
		whole.N, lasts.N = whole.N+1, lasts.N+1
		whole.Inside += t.inside
		lasts.Inside += t.lasts
	}
	return byWeather, whole, lasts, nil
}

// told is one winter, foretold and as it came.
type told struct {
	past          []float64 // what the model colony would have eaten in each past winter
	low, high     float64
	came          float64
	inside, lasts float64 // shares of simulated colonies
}

func (p *place) foretold(season int, seed uint64) (t told, ok bool, err error) {
	from := units.DayOf(season, time.October, 1)
	forage, err := winter.FirstForage(winter.ForageQuery{Season: season, Climate: p.class}, figs)
	if err != nil {
		return t, false, err
	}
	until := forage.Horizon(false)
	past, err := winter.PastWinters(winter.WintersQuery{Series: p.known(season), From: from, Until: until}, allYears)
	if err != nil {
		return t, false, fmt.Errorf("%s %d: %w", p.name, season, err)
	}
	now, err := winter.PastWinters(winter.WintersQuery{Series: p.series.Between(weather.SeasonStart(season, false), weather.SeasonStart(season+1, false)-1), From: from, Until: until}, figs)
	if err != nil || now.Own < now.Days() {
		return t, false, nil // this winter itself is not wholly known
	}
	days := int(forage.Day - from)
	if t.past, err = eaten(past, p.brood, days); err != nil {
		return t, false, err
	}
	came, err := eaten(now, p.brood, days)
	if err != nil {
		return t, false, err
	}
	t.came = came[0]
	if t.low, t.high, err = p.weatherAlone(past, forage, seed+uint64(season)); err != nil {
		return t, false, err
	}
	return t, true, p.simulate(&t, past, now, forage, seed+uint64(season))
}

// weatherAlone gives the program's own 80 % range with nothing unsure but which
// winter comes.
func (p *place) weatherAlone(past winter.Winters, forage winter.Forage, seed uint64) (low, high float64, err error) {
	params := winter.ParamsOf(figs)
	params.Cov = [4][4]float64{}
	for _, v := range []*winter.Vary{&params.Cold, &params.Deep, &params.Stir, &params.Shift, &params.Amount, &params.Bees, &params.Colony} {
		v.SD = 0
	}
	params.DeepSpread = 0
	forage.SD = 0
	e, err := winter.NewEnsemble(winter.EnsembleQuery{Place: winter.Place{Brood: p.brood}, Winters: past, Forage: forage, Params: params, Draws: cmp.Or(p.draws, draws), Seed: seed, Figures: figs})
	if err != nil {
		return 0, 0, err
	}
	t, err := e.Target(winter.TargetQuery{Colony: model})
	return t.Use[1], t.Use[5], err
}

// eaten gives what the model colony eats in each winter, at the middle of
// everything but the weather.
func eaten(w winter.Winters, b winter.Brood, days int) ([]float64, error) {
	params := winter.ParamsOf(figs)
	var out []float64
	for _, row := range w.Temp {
		kg, err := winter.Consumption(winter.UseQuery{Place: winter.Place{Brood: b}, From: w.From, Temp: row[:days], Colony: model, Params: params})
		if err != nil {
			return nil, err
		}
		sum := 0.0
		for _, x := range kg {
			sum += x
		}
		out = append(out, sum)
	}
	return out, nil
}

// simulate throws colonies through the winter as it came: another seed, the same
// spreads. What it tests is whether past winters stand for the next one.
func (p *place) simulate(t *told, past, now winter.Winters, forage winter.Forage, seed uint64) error {
	q := winter.EnsembleQuery{Place: winter.Place{Brood: p.brood}, Winters: past, Forage: forage, Params: winter.ParamsOf(figs), Draws: cmp.Or(p.draws, draws), Seed: seed, Figures: figs}
	before, err := winter.NewEnsemble(q)
	if err != nil {
		return err
	}
	target, err := before.Target(winter.TargetQuery{Colony: model})
	if err != nil {
		return err
	}
	q.Winters, q.Draws, q.Seed = now, cmp.Or(p.simulated, simulated), seed+1<<32
	after, err := winter.NewEnsemble(q)
	if err != nil {
		return err
	}
	// The chance to be short with a stores of x + reserve is the chance to eat
	// more than x.
	with := func(kg float64) winter.Colony {
		c := model
		c.Stores = figure.Est(kg+target.Reserve.Kg(), 0)
		return c
	}
	fans, err := after.Watch(winter.WatchQuery{Colonies: []winter.Colony{with(target.Use[1]), with(target.Use[5]), with((target.Want - target.Reserve).Kg())}})
	if err != nil {
		return err
	}
	t.inside = fans[0].ShortAtAll() - fans[1].ShortAtAll()
	t.lasts = 1 - fans[2].ShortAtAll()
	return nil
}

// between says how much the winters of a place differ in what the model colony
// eats: the figure "winter.winters_spread" is made from it.
func between(p place) (string, error) {
	var all []float64
	for season := p.start(p.first) - 100; season <= p.last+1; season++ {
		from := units.DayOf(season, time.October, 1)
		w, err := winter.PastWinters(winter.WintersQuery{Series: p.series.Between(weather.SeasonStart(season, false), weather.SeasonStart(season+1, false)-1), From: from, Until: units.DayOf(season+1, time.April, 30)}, figs)
		if err != nil || w.Own < w.Days() {
			continue
		}
		kg, err := eaten(w, p.brood, w.Days())
		if err != nil {
			return "", err
		}
		all = append(all, kg[0])
	}
	mean, ss, step := 0.0, 0.0, 0.0
	for i, x := range all {
		mean += x / float64(len(all))
		if i > 0 {
			step += (x - all[i-1]) * (x - all[i-1]) / 2 / float64(len(all)-1)
		}
	}
	for _, x := range all {
		ss += (x - mean) * (x - mean) / float64(len(all)-1)
	}
	return fmt.Sprintf("%s: %d whole winters, the model colony eats %.2f kg from 1 October to 29 April, from winter to winter ± %.1f %% (± %.1f %% by following winters).", p.name, len(all), mean, 100*math.Sqrt(ss)/mean, 100*math.Sqrt(step)/mean), nil
}
