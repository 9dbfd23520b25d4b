package sheet

import (
	"slices"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/units"
)

// NextDay gives the first day of the plan on which a load is driven, to yard when
// one is named; the zero Day when there is none.
func (s *Source) NextDay(yard string) units.Day {
	if s.Plan == nil {
		return 0
	}
	for i := range s.Plan.Loads {
		l := &s.Plan.Loads[i]
		if yard == "" || slices.ContainsFunc(l.Stops, func(x feeding.Stop) bool { return x.Yard == yard }) {
			return l.Day
		}
	}
	return 0
}

// ForDay makes everything for one day of the plan in the order it is used: the
// batches to be ready by it, then each load with the yards it serves. A yard
// that two loads serve has one sheet, after the first. Faults: fault.Missing
// where there is no plan or the day has neither batch nor load.
func ForDay(s *Source, day units.Day) ([]Doc, error) {
	if s.Plan == nil {
		return nil, s.noPlan()
	}
	var docs []Doc
	add := func(d Doc, err error) error {
		if err == nil {
			docs = append(docs, d)
		}
		return err
	}
	for i, b := range s.Plan.Batches {
		if b.Day == day {
			if err := add(BatchCard(s, i+1)); err != nil {
				return nil, err
			}
		}
	}
	done := map[string]bool{}
	for _, l := range s.Plan.Loads {
		if l.Day != day {
			continue
		}
		if err := add(LoadCard(s, l.N)); err != nil {
			return nil, err
		}
		for _, st := range l.Stops {
			if done[st.Yard] {
				continue
			}
			done[st.Yard] = true
			if err := add(YardSheet(s, st.Yard, day)); err != nil {
				return nil, err
			}
		}
	}
	if len(docs) == 0 {
		return nil, fault.New(fault.Missing, "day", "nothing is mixed or driven on this day").WithHint("see Plan for its days")
	}
	return docs, nil
}

// ForTrip makes the yard sheets of one load, in the order it is driven. Faults:
// fault.NotFound, fault.Missing without a plan.
func ForTrip(s *Source, n int) ([]Doc, error) {
	if s.Plan == nil {
		return nil, s.noPlan()
	}
	var docs []Doc
	for _, l := range s.Plan.Loads {
		if l.N != n {
			continue
		}
		for _, st := range l.Stops {
			d, err := YardSheet(s, st.Yard, l.Day)
			if err != nil {
				return nil, err
			}
			docs = append(docs, d)
		}
	}
	if len(docs) == 0 {
		return nil, fault.Newf(fault.NotFound, "load", "there is no load %d in this plan", n)
	}
	return docs, nil
}
