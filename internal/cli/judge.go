package cli

import (
	"fmt"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/units"
)

type judgeCmd struct {
	source
}

// colonyJSON is one line of `larder judge` and `larder short`. What is not known
// is null.
type colonyJSON struct {
	Colony   string             `json:"colony"`
	Yard     string             `json:"yard"`
	Stand    int                `json:"stand,omitempty"`
	HiveType string             `json:"hive_type"`
	StoresKg *float64           `json:"stores_kg"`
	SDKg     *float64           `json:"sd_kg"`
	TargetKg *float64           `json:"target_kg"`
	ShortKg  *float64           `json:"short_kg"`
	SyrupL   *float64           `json:"syrup_l"`
	Chance   *float64           `json:"chance_short"`
	After    *float64           `json:"chance_after"`
	Word     string             `json:"word"`
	FeederL  float64            `json:"in_feeder_l"`
	Read     units.Moment       `json:"read"`
	Hold     []season.ReasonDoc `json:"hold"`
	Reasons  []season.ReasonDoc `json:"reasons"`
}

func shortJSON(x *season.Short, s units.Style) colonyJSON {
	j := colonyJSON{Colony: x.Colony.ID, Yard: x.Colony.Yard, Stand: x.Colony.Stand, HiveType: x.Type,
		Word: x.Lack.Word, FeederL: x.Feeder.Mean, Read: x.ReadAt, Hold: season.Reasons(x.Hold, s), Reasons: season.Reasons(x.Why(), s)}
	if st := x.Stores(); st.Known {
		j.StoresKg, j.SDKg = &st.Mean, &st.SD
	}
	if x.Lack.Target > 0 {
		t := x.Lack.Target.Kg()
		j.TargetKg = &t
	}
	if x.Lack.Known {
		short, syrup, chance, after := x.Lack.Short.Kg(), x.Lack.Syrup.L(), x.Lack.Chance, x.Lack.After
		j.ShortKg, j.SyrupL, j.Chance, j.After = &short, &syrup, &chance, &after
	}
	return j
}

type shortsJSON struct {
	AsOf     units.Moment `json:"as_of"`
	Colonies []colonyJSON `json:"colonies"`
}

func allShort(shorts []season.Short, at units.Moment, s units.Style) shortsJSON {
	out := shortsJSON{AsOf: at, Colonies: make([]colonyJSON, len(shorts))}
	for i := range shorts {
		out.Colonies[i] = shortJSON(&shorts[i], s)
	}
	return out
}

// Run judges every colony.
func (c *judgeCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	shorts := st.Short(at)
	if r.JSON {
		return r.printJSON(allShort(shorts, at, s))
	}
	fmt.Fprintf(r.Out, "Stores as of %s\n\n", s.Moment(at))
	t := newTable("yard", "hive", ">stores", "read", "why so wide, and what to ask")
	for i := range shorts {
		x := &shorts[i]
		t.row(x.Colony.Yard, x.Colony.ID, kg(s, x.Stores()), day(s, x.ReadAt), tell(s, storesWhy(x), 3))
	}
	t.print(r.Out)
	return nil
}

// storesWhy gives the reasons that concern the stores alone.
func storesWhy(x *season.Short) []feeding.Reason {
	out := append([]feeding.Reason{}, x.Trouble...)
	for _, h := range x.Track.History {
		if h.Question != nil {
			out = append(out, feeding.Reason(*h.Question))
		}
	}
	for _, r := range x.Track.Now.Reasons {
		out = append(out, feeding.Reason(r))
	}
	return out
}

// tell puts up to n reasons into one cell, the rest as a count.
func tell(s units.Style, rs []feeding.Reason, n int) string {
	out := ""
	for i, r := range rs {
		if i == n {
			return out + fmt.Sprintf("; and %d more", len(rs)-n)
		}
		if i > 0 {
			out += "; "
		}
		out += s.Say(r.Say, r.Amounts)
	}
	return out
}

func kg(s units.Style, e figure.Estimate) string {
	if !e.Known {
		return "not known"
	}
	return s.MassPM(units.Mass(e.Mean), units.Mass(e.SD))
}

func day(s units.Style, m units.Moment) string {
	if m.IsZero() {
		return "never"
	}
	return s.Date(m.Day())
}
