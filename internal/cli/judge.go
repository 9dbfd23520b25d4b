package cli

import (
	"fmt"
	"math"

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
	From     season.AimFrom     `json:"target_from"` // "own", "model", "table", "" = none
	Targets  targetsJSON        `json:"targets"`
	ShortKg  *float64           `json:"short_kg"`
	SyrupL   *float64           `json:"syrup_l"`
	GiveL    *float64           `json:"give_l"`
	Chance   *float64           `json:"chance_short"`
	After    *float64           `json:"chance_after"`
	Word     string             `json:"word"`
	FeederL  float64            `json:"in_feeder_l"`
	Read     units.Moment       `json:"read"`
	Hold     []season.ReasonDoc `json:"hold"`
	Reasons  []season.ReasonDoc `json:"reasons"`
}

// targetsJSON is a colony's targets side by side; lasts_with is the chance to last
// until the first dependable forage with each.
type targetsJSON struct {
	Model  *targetJSON        `json:"model"`
	Table  *targetJSON        `json:"table"`
	Own    *targetJSON        `json:"own"`
	Beside []season.ReasonDoc `json:"reasons"`
}

type targetJSON struct {
	Kg      float64   `json:"kg"`
	Lasts   *float64  `json:"lasts_with"`
	WantKg  *float64  `json:"want_kg,omitempty"` // whatever the combs hold
	EatenKg *float64  `json:"eaten_kg,omitempty"`
	SDKg    *float64  `json:"eaten_sd_kg,omitempty"`
	Until   units.Day `json:"until,omitzero"`
	Winters int       `json:"winters,omitempty"`
	Source  string    `json:"source,omitempty"`
}

func targetsDoc(a *season.Aim, s units.Style) targetsJSON {
	one := func(kg units.Mass, lasts float64) *targetJSON {
		if kg == 0 {
			return nil
		}
		t := &targetJSON{Kg: kg.Kg()}
		if !math.IsNaN(lasts) {
			t.Lasts = &lasts
		}
		return t
	}
	out := targetsJSON{Model: one(a.Model, a.ModelLasts), Table: one(a.Table, a.TableLasts), Own: one(a.Own, a.OwnLasts),
		Beside: season.Reasons(append(a.Beside(), a.NoModel...), s)}
	if m := out.Model; m != nil {
		want, eaten, sd := a.Want.Kg(), a.Eaten.Mean, a.Eaten.SD
		m.WantKg, m.EatenKg, m.SDKg, m.Until, m.Winters = &want, &eaten, &sd, a.Until, a.Winters
	}
	if out.Table != nil {
		out.Table.Source = a.TableFrom
	}
	return out
}

func shortJSON(x *season.Short, s units.Style) colonyJSON {
	j := colonyJSON{Colony: x.Colony.ID, Yard: x.Colony.Yard, Stand: x.Colony.Stand, HiveType: x.Type,
		Word: x.Lack.Word, FeederL: x.Feeder.Mean, Read: x.ReadAt, Hold: season.Reasons(x.Hold, s), Reasons: season.Reasons(x.Why(), s)}
	if st := x.Stores(); st.Known {
		j.StoresKg, j.SDKg = &st.Mean, &st.SD
	}
	j.From, j.Targets = x.Aim.From, targetsDoc(&x.Aim, s)
	if x.Lack.Target > 0 {
		t := x.Lack.Target.Kg()
		j.TargetKg = &t
	}
	if x.Lack.Known {
		short, syrup, give, chance, after := x.Lack.Short.Kg(), x.Lack.Syrup.L(), x.Give.L(), x.Lack.Chance, x.Lack.After
		j.ShortKg, j.SyrupL, j.GiveL, j.Chance, j.After = &short, &syrup, &give, &chance, &after
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
	t := newTable("yard", "hive", ">stores", "read", ">by winters", ">by table", ">own", "why so wide, and what to ask")
	for i := range shorts {
		x := &shorts[i]
		t.row(x.Colony.Yard, x.Colony.ID, kg(s, x.Stores()), day(s, x.ReadAt),
			aimed(s, x, season.AimModel, x.Aim.Model), aimed(s, x, season.AimTable, x.Aim.Table), aimed(s, x, season.AimOwn, x.Aim.Own), tell(s, storesWhy(x), 3))
	}
	t.print(r.Out)
	fmt.Fprintln(r.Out)
	para(r.Out, "", "Targets: by the past winters of the yard, by the published table, your own. The one with * is used; the setting feed.target says which where you typed none.")
	return nil
}

// aimed writes one of the targets, the one that is used with a star.
func aimed(s units.Style, x *season.Short, from season.AimFrom, kg units.Mass) string {
	switch {
	case kg == 0:
		return "-"
	case x.Aim.From == from:
		return "*" + s.Mass(kg)
	}
	return s.Mass(kg)
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
