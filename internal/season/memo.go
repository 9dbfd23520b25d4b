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
// of its keys. Frozen states share it with the Journal's own, so it may be used by
// several goroutines at once.
type memo struct {
	outlays kept[place, *outlays]
	eaten   kept[place, *eaten]
	pairs   kept[pairsOf, []winter.Weighing]
	plans   kept[content, *PlanDoc] // nil = not ours to read
}

// How much a memo keeps before it begins anew: days pass, and a program may run
// for months.
const (
	mostPlaces = 2000
	mostKin    = 50_000
	mostPairs  = 200_000
	mostPlans  = 40
)

func newMemo() *memo { return &memo{} }

// kept is a map that is filled as it is asked. What it holds is never changed. The
// zero kept is empty.
type kept[K comparable, V any] struct {
	mu sync.Mutex
	m  map[K]V
}

// get gives the value of a key, made by fresh the first time. Two that ask at once
// may both make it; they make the same.
func (k *kept[K, V]) get(key K, most int, fresh func() V) V {
	k.mu.Lock()
	v, ok := k.m[key]
	k.mu.Unlock()
	if ok {
		return v
	}
	v = fresh()
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.m == nil || len(k.m) >= most {
		k.m = map[K]V{}
	}
	k.m[key] = v
	return v
}

// content is where the bytes of a plan taken out stand; they are never changed.
type content struct {
	at *byte
	n  int
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
	why []feeding.Reason          // why not, when of is nil
	kin kept[kin, *winter.Outlay] // nil = out of the model's range
}

// eaten is what colonies of one place ate this winter so far, by kin.
type eaten struct {
	temps []float64 // daily means from from on; NaN never
	from  units.Day
	ok    bool
	kin   kept[kin, *stores.Eaten] // nil = out of the model's range
}
