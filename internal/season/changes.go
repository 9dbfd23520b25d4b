package season

import (
	"math"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/units"
)

// WhatWouldChange makes the plan again with one thing more each time (an hour of
// work a day, a day more, a larger tank, a second truck …) and gives what each
// would bring, those that help first. Nothing is changed by it. It takes some
// times as long as the plan; watch, which may be nil, is asked again and again,
// and when it answers false the work stops with fault.Stopped, in the midst of a
// plan too.
//
// Every plan behind it is worked through a second time like one that is shown: a
// figure of a plan that breaks a rule would be no figure.
func (p *Planned) WhatWouldChange(watch Watch) ([]feeding.Change, error) {
	var look feeding.Watch
	if watch != nil {
		if !watch(Progress{Stage: "change", Of: 1}) {
			return nil, notReady()
		}
		look = func(done, of int) bool { return watch(Progress{Stage: "change", Done: done, Of: of}) }
	}
	out, err := feeding.WhatWouldChange(p.Problem, p.Plan, look, proven)
	if fault.Is(err, fault.Stopped) {
		return nil, notReady()
	}
	if err != nil {
		return nil, err
	}
	for i := range out {
		c := &out[i]
		if w := &c.Why; w.Code == "more-trucks" && len(w.Amounts) > 0 && w.Amounts[0] == "" {
			c.Why = secondTruck
		}
		// What nobody pours, waits for or drives is nothing, and never "-0".
		c.Less, c.Saves, c.Road = orZero(c.Less, aboutLitres), orZero(c.Saves, 30), orZero(c.Road, 50)
	}
	return out, nil
}

// secondTruck names a second truck where the first has no name.
var secondTruck = feeding.Reason{Code: "more-trucks", Say: "a second truck like this one, with a crew of its own"}

func notReady() error {
	return fault.New(fault.Stopped, "", "stopped before there was a plan").WithHint("nothing was changed; ask again when you like")
}

// orZero is v, or 0 where it is less than least in size.
func orZero[Q units.Volume | units.Duration | units.Length](v Q, least float64) Q {
	if math.Abs(float64(v)) < least {
		return 0
	}
	return v
}

// Parted sets apart what changes the plan at all and what leaves it as it is.
func Parted(l []feeding.Change) (some, none []feeding.Change) {
	for _, c := range l {
		if c.Less == 0 && c.Saves == 0 && c.Road == 0 && c.Loads == 0 {
			none = append(none, c)
		} else {
			some = append(some, c)
		}
	}
	return some, none
}

// ChangeDoc is what one thing more would bring: less short, minutes of work,
// kilometres and loads saved (below 0 = more of them), in SI.
type ChangeDoc struct {
	Code     string  `json:"code"`
	Say      string  `json:"say"`
	LessL    float64 `json:"less_l"`
	SavesMin float64 `json:"saves_min"`
	RoadKm   float64 `json:"road_km"`
	Loads    int     `json:"loads"`
	Helps    bool    `json:"helps"`
}

// ChangeDocs gives changes as they are printed; never nil.
func ChangeDocs(l []feeding.Change, s units.Style) []ChangeDoc {
	out := []ChangeDoc{}
	for _, c := range l {
		out = append(out, ChangeDoc{c.Why.Code, s.Say(c.Why.Say, c.Why.Amounts), c.Less.L(), c.Saves.Min(), c.Road.Km(), c.Loads, c.Helps})
	}
	return out
}
