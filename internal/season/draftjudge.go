package season

import (
	"math"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
)

// Makes is what a drafted reading makes of its colony.
type Makes struct {
	Row   int // which row of the sheet
	Short Short
	// Ask is why the reading is unlikely; empty = nothing speaks against it. It
	// is kept all the same if the keeper says so.
	Ask []feeding.Reason
}

// JudgeDraft judges the rows of a sheet that have a reading without trouble, as
// if they had been kept, as of at. Rows without one are left out.
func (st *State) JudgeDraft(s Sheet, rows []Drafted, at units.Moment) ([]Makes, error) {
	var facts []Fact
	var ids []string
	var out []Makes
	reading := map[int]string{} // row → id of the reading
	for i := range rows {
		d := &rows[i]
		if !d.HasReading || !d.OK() {
			continue
		}
		if _, ok := st.Colony(d.Cells.Colony); !ok {
			continue
		}
		for _, body := range d.Bodies {
			f := Fact{Seen: s.Seen, Made: at, Body: body}
			id, err := f.Derive(i)
			if err != nil {
				return nil, err
			}
			f.ID = id
			if _, ok := body.(stores.Reading); ok {
				reading[i] = id.String()
			}
			facts = append(facts, f)
		}
		out = append(out, Makes{Row: i})
		ids = append(ids, d.Cells.Colony)
	}
	with, err := st.Suppose(facts...)
	if err != nil {
		return nil, err
	}
	yards := st.crowds(ids, at)
	for i, x := range with.ShortOf(at, ids...) {
		out[i].Short = x
		out[i].Ask = unlikely(&x, reading[out[i].Row], yards[x.Colony.Yard+"\x00"+x.Type])
	}
	return out, nil
}

// unlikely gives what speaks against a reading: it does not fit what was
// expected, the hive or its combs, or it lies more than three standard
// deviations from the hives of its kind in the yard.
func unlikely(x *Short, id string, crowd []float64) []feeding.Reason {
	var ask []feeding.Reason
	for _, r := range x.Trouble {
		if r.Code == "reading" || r.Code == "left-more-than-given" {
			ask = append(ask, r)
		}
	}
	for _, h := range x.Track.History {
		if h.ID != id {
			continue
		}
		if h.Question != nil {
			return append(ask, feeding.Reason(*h.Question))
		}
		if r, far := farFrom(h.Read, crowd); far {
			ask = append(ask, r)
		}
	}
	return ask
}

// crowds gives the stores of the hives of each kind in the yards of the colonies
// named, without those colonies themselves.
func (st *State) crowds(ids []string, at units.Moment) map[string][]float64 {
	yards, own := map[string]bool{}, map[string]bool{}
	for _, id := range ids {
		if c, ok := st.Colony(id); ok {
			yards[c.Yard], own[id] = true, true
		}
	}
	b := st.bench(at)
	out := map[string][]float64{}
	for _, c := range st.Colonies() {
		if c.State != apiary.Alive || own[c.ID] || !yards[c.Yard] {
			continue
		}
		j := b.judge(c, at, 0)
		if e := j.Stores(); e.Known {
			k := c.Yard + "\x00" + j.Type
			out[k] = append(out[k], e.Mean)
		}
	}
	return out
}

// Fewer hives than this say nothing about what is usual in a yard, and none
// scatter less than this many kg (judged).
const (
	crowdLeast   = 5
	crowdScatter = 1.5
)

// farFrom tells whether stores lie more than three standard deviations from
// those of the others.
func farFrom(e figure.Estimate, crowd []float64) (feeding.Reason, bool) {
	if !e.Known || len(crowd) < crowdLeast {
		return feeding.Reason{}, false
	}
	mean, sq := 0.0, 0.0
	for _, x := range crowd {
		mean += x / float64(len(crowd))
	}
	for _, x := range crowd {
		sq += (x - mean) * (x - mean)
	}
	sd := math.Max(math.Sqrt(sq/float64(len(crowd)-1)), crowdScatter)
	if math.Abs(e.Mean-mean) <= 3*math.Hypot(sd, e.SD) {
		return feeding.Reason{}, false
	}
	return feeding.Reason{Code: "far-from-yard", Say: "{0} of stores is far from the other hives of its kind in this yard, which have about {1}",
		Amounts: []any{units.Mass(e.Mean), units.Mass(mean)}}, true
}
