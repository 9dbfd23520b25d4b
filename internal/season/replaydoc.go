package season

import "larder/internal/units"

// The JSON of a plan played through past years, in SI. Its keys are documented
// in the manual, "Commands", and never change their meaning.
type (
	ReplayDoc struct {
		Known          bool            `json:"known"`
		Share          float64         `json:"share"`
		Years          int             `json:"years"`
		Few            bool            `json:"few_years"`
		Fed            int             `json:"fed_years"`
		Kept           int             `json:"as_planned_years"`
		Always         int             `json:"always_short"`
		ShortL         float64         `json:"short_l"`
		ShortWeightedL float64         `json:"short_weighted_l"`
		LastLow        *units.Day      `json:"last_fill_low"`
		LastHigh       *units.Day      `json:"last_fill_high"`
		ByYear         []ReplayYearDoc `json:"by_year"`
		Yards          []ReplayYardDoc `json:"yards"`
		Reasons        []ReasonDoc     `json:"reasons"`
	}
	ReplayYearDoc struct {
		Year           int        `json:"year"`
		ShortL         float64    `json:"short_l"`
		ShortWeightedL float64    `json:"short_weighted_l"`
		ColoniesShort  int        `json:"colonies_short"`
		LastFill       *units.Day `json:"last_fill"`
	}
	ReplayYardDoc struct {
		Yard      string      `json:"yard"`
		Known     bool        `json:"known"`
		Years     int         `json:"years"`
		Few       bool        `json:"few_years"`
		Rounds    int         `json:"rounds"`
		LastStart *units.Day  `json:"last_safe_start"`
		Late      bool        `json:"too_late"`
		Fits      int         `json:"fits_years"`
		First     *units.Day  `json:"first_fill"`
		Reasons   []ReasonDoc `json:"reasons"`
	}
)

// Doc gives the answer as it is printed. Sentences are in the units and words of
// s; a day that is none is null.
func (r *Replayed) Doc(s units.Style) *ReplayDoc {
	out := &ReplayDoc{Known: r.Known, Share: r.Share, Years: r.Years, Few: r.Few, Fed: r.Fed, Kept: r.Kept, Always: r.Always,
		ShortL: r.Short.L(), ShortWeightedL: r.Weighted.L(), LastLow: someDay(r.LastLow), LastHigh: someDay(r.LastHigh),
		ByYear: []ReplayYearDoc{}, Yards: []ReplayYardDoc{}, Reasons: Reasons(r.Why, s)}
	for _, y := range r.ByYear {
		out.ByYear = append(out.ByYear, ReplayYearDoc{y.Season, y.Short.L(), y.Weighted.L(), y.Colonies, someDay(y.Last)})
	}
	for _, y := range r.Yards {
		out.Yards = append(out.Yards, ReplayYardDoc{Yard: y.ID, Known: y.Known, Years: y.Years, Few: y.Few, Rounds: y.Rounds,
			LastStart: someDay(y.LastStart), Late: y.Late, Fits: y.Fits, First: someDay(y.First), Reasons: Reasons(y.Why, s)})
	}
	return out
}

func someDay(d units.Day) *units.Day {
	if d == 0 {
		return nil
	}
	return &d
}
