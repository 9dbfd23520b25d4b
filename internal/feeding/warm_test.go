package feeding

import (
	"reflect"
	"testing"
)

// TestPlanStands: made anew with nothing new, the plan already out is the plan.
func TestPlanStands(t *testing.T) {
	p := bigProblem(300, 10*3600, 300)
	a := mustMake(t, p)
	p.Before = &a
	b := mustMake(t, p)
	if !reflect.DeepEqual(fillsOf(a), fillsOf(b)) {
		t.Errorf("nothing changed, and the plan did:\n%s\n%s", dump(a), dump(b))
	}
}

// fillsOf gives the litres by colony and day.
func fillsOf(pl Plan) map[string]float64 {
	m := map[string]float64{}
	for _, l := range pl.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				m[f.Colony+l.Day.String()] += f.Volume.L()
			}
		}
	}
	return m
}

// TestReplanFreesWhatChanged: after the first day was driven as planned and one
// colony took less, what the others get in yards not on its loads stays.
func TestReplanFreesWhatChanged(t *testing.T) {
	p := bigProblem(300, 10*3600, 300)
	a := mustMake(t, p)
	q := p
	q.Hives = append([]Hive(nil), p.Hives...)
	q.Before = &a
	// One colony more needs syrup now: the first that was to get some needs a
	// litre and a half more.
	who := ""
	for i := range q.Hives {
		if givenTo(a, q.Hives[i].Colony) > 0 && givenTo(a, q.Hives[i].Colony) < 6 {
			q.Hives[i].Need += 1.5
			who = q.Hives[i].Colony
			break
		}
	}
	b := mustMake(t, q)
	if x, y := givenTo(a, who), givenTo(b, who); y < x+1.4 {
		t.Errorf("%s got %v L, now %v", who, x, y)
	}
	was, is, same := fillsOf(a), fillsOf(b), 0
	for k, v := range was {
		if is[k] == v {
			same++
		}
	}
	if same*10 < len(was)*7 {
		t.Errorf("%d of %d fills stay", same, len(was))
	}
	t.Logf("%d of %d fills stay after %d steps", same, len(was), b.Iterations)
}
