package example_test

import "testing"

// A fan falls from day to day, its quantiles do not cross, and more stores never
// run short sooner.
func TestWinterWatchOfTheExample(t *testing.T) {
	st, at := state(t)
	all := st.WinterWatch(at, 1)
	known := 0
	for _, w := range all {
		if !w.Modelled || !w.Fan.Known {
			if w.Stores().Known {
				t.Errorf("%s has stores but no fan: %v", w.Colony.ID, w.Why)
			}
			continue
		}
		known++
		for i := 1; i < len(w.Fan.Mean); i++ {
			if w.Fan.Mean[i] > w.Fan.Mean[i-1]+1e-9 {
				t.Fatalf("%s: stores rise on day %d", w.Colony.ID, i)
			}
		}
		for q := 1; q < len(w.Fan.Stores); q++ {
			for i := range w.Fan.Stores[q] {
				if w.Fan.Stores[q][i] < w.Fan.Stores[q-1][i] {
					t.Fatalf("%s: quantiles cross on day %d", w.Colony.ID, i)
				}
			}
		}
		for _, v := range all {
			if v.Modelled && v.Fan.Known && v.Colony.Yard == w.Colony.Yard && v.Type == w.Type && v.Bees == w.Bees &&
				v.Stores().Mean > w.Stores().Mean+2 && v.Stores().SD <= w.Stores().SD && v.Fan.ShortAtAll() > w.Fan.ShortAtAll()+0.02 {
				t.Errorf("%s has more than %s and is likelier short", v.Colony.ID, w.Colony.ID)
			}
		}
	}
	if known < 30 {
		t.Errorf("only %d fans", known)
	}
}
