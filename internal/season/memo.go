package season

import (
	"sync"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/winter"
)

// memo keeps what is costly to work out and the same for many colonies: what
// bees eat under one sky. It changes no answer; it is thrown away whenever a
// setting, a yard or weather changes, and what depends on anything else is part
// of its keys.
type memo struct {
	mu      sync.Mutex
	outlays map[place]*outlays
	eaten   map[place]*eaten
}

// mostPlaces is how many places a memo keeps before it begins anew: days pass,
// and a program may run for months.
const mostPlaces = 2000

func newMemo() *memo {
	return &memo{outlays: map[place]*outlays{}, eaten: map[place]*eaten{}}
}

// place is what decides how colonies winter in a yard: yards that agree in it
// share all that is worked out.
type place struct {
	station  string
	south    bool
	climate  apiary.Climate
	day      units.Day
	forage   units.Day
	forageSD float64
	params   winter.Params
}

// kin are colonies that eat alike: of the same bees, to 250, under the same
// cover, with the same own factor.
type kin struct {
	bees   float64
	k      float64
	factor figure.Estimate
}

func (k kin) colony(id string) winter.Colony {
	return winter.Colony{ID: id, Bees: k.bees, K: k.k, Factor: k.factor}
}

// outlays is what colonies of one place eat until forage, by kin.
type outlays struct {
	of  *winter.Outlays
	why []feeding.Reason // why not, when of is nil
	kin map[kin]*winter.Outlay
}

// eaten is what colonies of one place ate this winter so far, by kin.
type eaten struct {
	temps []float64 // daily means from from on; NaN never
	from  units.Day
	ok    bool
	kin   map[kin]*stores.Eaten
}
