package feeding

// bees is the state of one hive's feeder during planning.
type bees struct {
	at   int   // day from which content counts, before that day's fill
	in   micro // in the feeder at the start of that day
	left micro // still to be given
}

// How a fill was measured.
type measure uint8

const (
	endsNeed  measure = iota // the rest of its need
	fullBrim                 // as much as the feeder holds
	byStop                   // as much as it can still take by the stop day
	tankBound                // as much as one tank carries
	shared                   // less than it could take, so that others fit the same tank
)

// dose is one fill and how it came about.
type dose struct {
	v  micro
	by measure
}

func (j *job) start(h int) bees {
	s := &j.hives[h]
	return bees{in: s.inside, left: s.want}
}

// content gives what is in the feeder of h on the morning of day d.
func (j *job) content(h int, b *bees, d int) micro {
	return max(0, b.in-j.uptake(h, b.at, d))
}

// room gives the most hive h may be given on day d: the least of what it still
// needs, what the feeder has room for, what can still be taken by the stop day
// and what a tank carries.
func (j *job) room(h int, b *bees, d int) (f dose, in micro) {
	s := &j.hives[h]
	end := j.yards[s.yard].end
	if b.left <= dust || d >= end {
		return dose{}, 0
	}
	in = j.content(h, b, d)
	f = dose{b.left, endsNeed}
	if v := s.feeder - in; v < f.v {
		f = dose{v, fullBrim}
	}
	if v := j.uptake(h, d, end) - in; v < f.v {
		f = dose{v, byStop}
	}
	if j.tank < f.v {
		f = dose{j.tank, tankBound}
	}
	return f, in
}

// topUp gives the fill of hive h on day d by the rule of the handy step: all
// there is room for, rounded down to whole steps, unless it ends what the hive
// can have (its need, or what it can still take by the stop day) or fills an
// empty feeder to the brim. Rounding those down would cost a round for a crumb.
func (j *job) topUp(h int, b *bees, d int) dose {
	f, in := j.room(h, b, d)
	if f.by == tankBound || f.by == fullBrim && in > 0 {
		f.v = steps(f.v, j.step)
	}
	if f.v <= dust {
		return dose{}
	}
	return f
}

// ahead is how many rounds are looked at when a top-up may wait.
const ahead = 5

// visit gives the fill of hive h on day d when rounds on the days of rest
// follow: the top-up, unless it is too small to open a hive for and nothing is
// lost by leaving it to the rounds that follow.
func (j *job) visit(h int, b *bees, d int, rest []int) dose {
	f := j.topUp(h, b, d)
	if f.v == 0 || f.by != fullBrim || f.v >= j.worth(&j.hives[h]) || len(rest) == 0 {
		return f
	}
	rest = rest[:min(len(rest), ahead)]
	now, later := *b, *b
	j.pour(h, &now, d, f.v)
	if j.toppedUp(h, &later, rest)+dust >= f.v+j.toppedUp(h, &now, rest) {
		return dose{}
	}
	return f
}

// toppedUp tops h up on every one of the days and gives the sum.
func (j *job) toppedUp(h int, b *bees, days []int) micro {
	var sum micro
	for _, d := range days {
		f := j.topUp(h, b, d)
		if f.v > 0 {
			j.pour(h, b, d, f.v)
			sum += f.v
		}
	}
	return sum
}

// worth is the least top-up of s worth a lid, if it can wait.
func (j *job) worth(s *site) micro { return micro(j.part * float64(s.feeder)) }

// pour puts v into the feeder of h on day d.
func (j *job) pour(h int, b *bees, d int, v micro) {
	b.in = j.content(h, b, d) + v
	b.at = d
	b.left -= v
}
