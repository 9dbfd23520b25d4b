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

// topUp gives the fill of hive h on day d: the least of what it still needs,
// what the feeder has room for, what can still be taken by the stop day and
// what a tank carries.
//
// The rule of the handy step: a fill is a whole number of steps, rounded down,
// unless it ends the need or fills an empty feeder to the brim; both are as
// easy to meter, and rounding them down would cost a round for a crumb.
//
// A top-up too small to open a hive for waits for a later round, when there
// will be more room; last says that none follows.
func (j *job) topUp(h int, b *bees, d int, last bool) dose {
	s := &j.hives[h]
	end := j.yards[s.yard].end
	if b.left <= dust || d >= end {
		return dose{}
	}
	in := j.content(h, b, d)
	room, takes := s.feeder-in, j.uptake(h, d, end)-in
	f := dose{b.left, endsNeed}
	if room < f.v {
		f = dose{room, fullBrim}
	}
	if takes < f.v {
		f = dose{takes, byStop}
	}
	if j.tank < f.v {
		f = dose{j.tank, tankBound}
	}
	if f.by != endsNeed && !(f.by == fullBrim && in == 0) {
		f.v = steps(f.v, j.step)
	}
	if f.v <= dust || (!last && f.by == fullBrim && f.v < j.worth(s)) {
		return dose{}
	}
	return f
}

// worth is the least top-up of s worth a lid: the figure, but never more than
// half a feeder.
func (j *job) worth(s *site) micro { return min(j.least, s.feeder/2) }

// pour puts v into the feeder of h on day d.
func (j *job) pour(h int, b *bees, d int, v micro) {
	b.in = j.content(h, b, d) + v
	b.at = d
	b.left -= v
}
