package winter

import (
	"fmt"
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

// WintersQuery asks for the winters a place may see.
type WintersQuery struct {
	// Series is all that is known of the place: past years, this season so far,
	// and a forecast. For an as-of in the past hand in what was known then.
	Series weather.Series
	From   units.Day // first day eaten
	Until  units.Day // the day after the last; see [Forage.Horizon]
	South  bool
}

// Winters is this season's weather as far as it is known, and from there on
// every past winter whole. Rows are as likely as each other.
type Winters struct {
	From     units.Day
	South    bool
	Seasons  []int       // the year each row's winter began in, rising
	Temp     [][]float64 // °C, daily means; a row for each winter, a column for each day
	Own      int         // columns taken from this season, measured or forecast
	Forecast int         // of them, those not measured
	LeftOut  int         // past winters with too many days not known
	Few      bool        // fewer than enough (figure, 20)
	Reasons  []Reason

	extraSD float64 // spread of a winter in general, where few are known
	extraDF float64
}

// Days gives the number of columns.
func (w Winters) Days() int {
	if len(w.Temp) == 0 {
		return 0
	}
	return len(w.Temp[0])
}

// PastWinters lays every past winter behind this season's own days: a day of
// this season, measured or forecast, is in every row; the others are those of
// the past winters on the same dates. Gaps of up to three days (figure) are
// filled; a winter in which more is unknown is left out, for a run of cold days
// might be what is missing. Of the winters known only the latest are taken
// ("winter.years_back", 30). A winter after this season is never looked at.
//
// The mean of a day is (high + low)/2.
//
// Errors: fault.NotKnownHere for days that are no winter; fault.Missing when no
// whole past winter is known and this season does not tell all days itself.
func PastWinters(q WintersQuery, set figure.Set) (Winters, error) {
	days := int(q.Until - q.From)
	if days < 1 || days > 400 {
		return Winters{}, fault.Newf(fault.OutOfRange, "winter", "from %s to %s there is nothing to look ahead to", q.From, q.Until).
			WithHint("the first dependable forage must come after the day looked from")
	}
	if err := inSeason(q.From, days, q.South); err != nil {
		return Winters{}, err
	}
	filled, _ := weather.Fill(q.Series, set)
	w := Winters{From: q.From, South: q.South, extraSD: set.V(keyWinterSD), extraDF: math.Max(set.V(keyWinterDF), 1)}
	own := w.takeOwn(filled, days)
	if w.Own == days {
		w.Seasons, w.Temp = []int{weather.Season(q.From, q.South)}, [][]float64{own}
		w.Reasons = []Reason{because("own-days", "all days are this season's own")}
		return w, nil
	}
	w.takePast(filled, own, int(math.Round(set.V(keyYearsBack))))
	if len(w.Temp) == 0 {
		return Winters{}, fault.New(fault.Missing, "past winters", "no whole past winter is known for this place").
			WithHint("read in a file of daily highs and lows; until then the published figure stands")
	}
	enough := int(math.Round(set.V(keyEnough)))
	w.Few = len(w.Temp) < enough
	w.say(enough)
	return w, nil
}

// takeOwn reads this season's days; NaN where not known.
func (w *Winters) takeOwn(s weather.Series, days int) []float64 {
	own := make([]float64, days)
	for i := range own {
		own[i] = math.NaN()
		d, ok := s.At(w.From + units.Day(i))
		if t, has := d.TMean(); ok && has {
			own[i] = t.C()
			w.Own++
			if d.Forecast {
				w.Forecast++
			}
		}
	}
	return own
}

func (w *Winters) takePast(s weather.Series, own []float64, back int) {
	first, _, ok := s.Span()
	if !ok {
		return
	}
	this := weather.Season(w.From, w.South)
	for season := this - 1; season >= weather.Season(first, w.South) && len(w.Temp) < back; season-- {
		row, known := w.row(s, own, season-this)
		if known == len(own) {
			w.Seasons = append(w.Seasons, season)
			w.Temp = append(w.Temp, row)
		} else if 2*known >= len(own) { // else only begun or ended: not worth a word
			w.LeftOut++
		}
	}
	reverse(w.Seasons)
	reverse(w.Temp)
}

// row is one past winter, k years off, behind this season's own days.
func (w *Winters) row(s weather.Series, own []float64, k int) (row []float64, known int) {
	row = make([]float64, len(own))
	for i, t := range own {
		row[i] = t
		if math.IsNaN(t) {
			// 29 February of a winter that has one is told by 1 March of one that
			// has not: one day twice, which a sum over a winter does not feel.
			at := (w.From + units.Day(i)).Time()
			d, ok := s.At(units.DayOf(at.Year()+k, at.Month(), at.Day()))
			mean, has := d.TMean()
			if !ok || !has || d.Forecast {
				continue
			}
			row[i] = mean.C()
		}
		known++
	}
	return row, known
}

func reverse[T any](x []T) {
	for i, j := 0, len(x)-1; i < j; i, j = i+1, j-1 {
		x[i], x[j] = x[j], x[i]
	}
}

func (w *Winters) say(enough int) {
	n := len(w.Temp)
	w.Reasons = append(w.Reasons, because("years", fmt.Sprintf("from %s of weather, %d to %d", count(n, "winter"), w.Seasons[0], w.Seasons[n-1])))
	if w.Own > 0 {
		w.Reasons = append(w.Reasons, because("own-days", count(w.Own, "day")+" are this season's own"))
	}
	if w.Forecast > 0 {
		w.Reasons = append(w.Reasons, because("forecast", count(w.Forecast, "day")+" of them from the forecast, which may be wrong"))
	}
	if w.Few {
		w.Reasons = append(w.Reasons, because("few-years", fmt.Sprintf("only %s of weather known, %d are wanted: the range is made wider for it", count(n, "winter"), enough)))
	}
	if w.LeftOut > 0 {
		w.Reasons = append(w.Reasons, because("left-out", count(w.LeftOut, "winter")+" left out: too many days not known"))
	}
}

// count writes "1 day", "2 days".
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// fewSD gives the spread to add, as a share, because only these winters are
// known. use is what the model colony eats in each.
//
// A further winter is taken as normal about the winters' mean with the pooled
// variance (df0·sd0² + Σ(x−x̄)²)/(df0+n−1), times 1+1/n for the mean itself, as
// weather does for the stop day; what the winters themselves show of it, Σ/n, is
// already in the ensemble. With enough winters nothing is added.
func (w *Winters) fewSD(use []float64) float64 {
	n := float64(len(use))
	if !w.Few {
		return 0
	}
	mean, ss := 0.0, 0.0
	for _, u := range use {
		mean += u / n
	}
	if mean <= 0 {
		return 0
	}
	for _, u := range use {
		ss += (u/mean - 1) * (u/mean - 1)
	}
	pooled := (w.extraDF*w.extraSD*w.extraSD + ss) / (w.extraDF + n - 1) * (1 + 1/n)
	return math.Sqrt(math.Max(0, pooled-ss/n))
}
