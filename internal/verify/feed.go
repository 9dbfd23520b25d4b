package verify

import (
	"cmp"
	"slices"
)

// feed goes through the days of every hive: the fill, then the uptake.
func (b *book) feed() {
	for i := range b.f.Hives {
		got := b.got[i]
		if len(got) == 0 {
			continue
		}
		h := &b.f.Hives[i]
		slices.SortStableFunc(got, func(x, y dose) int { return cmp.Compare(x.day, y.day) })
		if h.Held != "" {
			b.bad(Held, "%s at %s may get no syrup (%s) and gets %.2f L", h.ID, h.Yard, h.Held, b.given[i])
		}
		// What was in the feeder before is taken first.
		b.taken[i] = b.given[i] - min(b.given[i], b.follow1(i, h, got))
		b.neverEmpty(i, h, got)
		sum := b.given[i] + b.soaks(i)
		if over(sum, h.Need.L(), slackL) {
			b.bad(Need, "%s at %s needs %.2f L and takes %.2f L", h.ID, h.Yard, h.Need.L(), sum)
		}
		if h.RoomTold && over(sum, h.Room.L(), slackL) {
			b.bad(Room, "%s at %s has comb for %.2f L and takes %.2f L", h.ID, h.Yard, h.Room.L(), sum)
		}
	}
}

// follow1 follows one feeder day by day, and gives what is left in it after the
// stop day.
func (b *book) follow1(i int, h *Hive, got []dose) (left float64) {
	y := b.of[i]
	in, k := h.In.L(), 0
	for d := 0; d < b.f.Days && k < len(got); d++ {
		for first := true; k < len(got) && got[k].day == d; k++ {
			if !first {
				b.bad(Row, "%s at %s is filled twice on %s", h.ID, h.Yard, b.day(d))
			}
			first = false
			in += got[k].v
			if over(in, h.Feeder.L(), slackL) {
				b.bad(Feeder, "%s at %s: on %s there are %.2f L in a feeder of %.2f L", h.ID, h.Yard, b.day(d), in, h.Feeder.L())
			}
			if can := b.takes(i, d); over(in, can, slackL) {
				b.bad(Stop, "%s at %s: of the %.2f L in its feeder on %s it can take %.2f L by the stop day %s",
					h.ID, h.Yard, in, b.day(d), can, b.f.Yards[y].Stop)
			}
			left = max(0, in-b.takes(i, d))
		}
		if d < b.end[y] {
			in = max(0, in-h.Uptake.L()*b.f.Yards[y].Factor[d])
		}
	}
	return left
}

// neverEmpty counts the days, from the first fill to the last, on which a feeder
// that should never be empty runs so, and holds them against what the plan says. A
// day on which it runs empty to a hair counts either way.
func (b *book) neverEmpty(i int, h *Hive, got []dose) {
	if !h.Never {
		return
	}
	y, in, k, least, most := b.of[i], h.In.L(), 0, 0, 0
	for d := 0; d < min(b.f.Days, got[len(got)-1].day); d++ {
		for ; k < len(got) && got[k].day <= d; k++ {
			in += got[k].v
		}
		if d >= b.end[y] {
			break
		}
		can := h.Uptake.L() * b.f.Yards[y].Factor[d]
		if k > 0 && can > 0 {
			if can > in+crumb {
				least++
			}
			if can > in-crumb {
				most++
			}
		}
		in = max(0, in-can)
	}
	if said := b.dry[h.ID]; said < least || said > most {
		b.bad(Empty, "the feeder of %s at %s should never be empty and runs so on %d days before its last fill, the plan says on %d", h.ID, h.Yard, least, said)
	}
}

// takes gives what hive i can take from day d to its stop day if it has that
// much.
func (b *book) takes(i, d int) float64 {
	y := b.of[i]
	var parts float64
	for ; d < b.end[y]; d++ {
		parts += b.f.Yards[y].Factor[d]
	}
	return parts * b.f.Hives[i].Uptake.L()
}

// soaks is what hive i takes of the syrup that was in its feeder at the start.
func (b *book) soaks(i int) float64 {
	h := &b.f.Hives[i]
	if h.In == 0 {
		return 0
	}
	return min(h.In.L(), b.takes(i, 0))
}
