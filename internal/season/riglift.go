package season

import (
	"math"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/rig"
	"larder/internal/syrup"
	"larder/internal/units"
)

// LiftCheck is what the revised lifting equation says of one lift.
type LiftCheck struct {
	Lift rig.Lift
	rig.LiftLimit
	Cautions []feeding.Reason
}

// LiftCheck gives the weight nearly all healthy people may lift so, and by how
// much the load is more. What the equation does not cover is refused with
// fault.NotKnownHere: carrying, one hand, an open or part-filled pail, more than
// ten lifts a minute, slippery or cramped ground, cold.
func (st *State) LiftCheck(l rig.Lift) (LiftCheck, error) {
	figs, _ := st.Settings.FigureSet()
	out := LiftCheck{Lift: l}
	var err error
	if out.LiftLimit, err = l.Limit(figs); err != nil {
		return out, err
	}
	out.Cautions = cautioned(out.LiftLimit.Cautions)
	return out, nil
}

// UsualLift is one of the lifts of the trade.
type UsualLift struct {
	Code  string
	Check LiftCheck
}

// UsualLifts judges what a feeding season has to lift: sacks, pails and boxes,
// one a minute for up to an hour. Weights and heights are those of the reference
// cases (deep boxes 36 kg and mediums 25 kg full of honey: several trade texts);
// the pail is the keeper's, closed.
func (st *State) UsualLifts() ([]UsualLift, error) {
	s := &st.Settings
	figs, _ := s.FigureSet()
	cm := units.Centimetre
	rho, err := syrup.Density(s.Syrup, 20)
	if err != nil {
		return nil, err
	}
	pail := s.Rig.Pail
	if pail == 0 {
		pail = 20
	}
	full := units.Mass(pail.L()/1000*float64(rho)) + units.Mass(figs.V(rig.KeyPailTare))
	var out []UsualLift
	for _, c := range []struct {
		code          string
		load          units.Mass
		out, from, by units.Length
		twist         rig.Angle
	}{
		{"sack-floor", 25, 45, 20, 100, 0},
		{"sack-pallet", 50 * units.Pound, 40, 40, 60, 0},
		{"pail", full, 35, 30, 50, 0},
		{"deep-twist", 36, 40, 60, 30, 45},
		{"deep-top", 36, 40, 110, 40, 0},
		{"medium", 25, 40, 90, 30, 30},
		{"gun", 0.5, 40, 90, 25, 0},
	} {
		x, err := st.LiftCheck(rig.Lift{Load: c.load, Out: c.out * cm, From: c.from * cm, To: (c.from + c.by) * cm, Twist: c.twist,
			PerMin: 1, For: units.Hour, Rest: units.Hour, Grip: rig.Fair})
		if err != nil {
			return nil, err
		}
		out = append(out, UsualLift{c.code, x})
	}
	return out, nil
}

// WayAsk is the feeding to be done by either way. A zero field is taken from the
// season: its hives, three rounds, its fills.
type WayAsk struct {
	Hives   int
	Rounds  int
	PerHive units.Volume
}

// PailsOrPump compares carrying pails with a tank and hose over a season.
type PailsOrPump struct {
	Ask        WayAsk
	Pump, Pail rig.Effort
	Saved      units.Duration // over the season; below 0 the pump takes longer
	// Visits is from how many hive visits on the pump has paid in wages alone, 0
	// = prices not told or it never does; Seasons is that over this season's.
	Visits, Seasons float64
	Each            units.Mass // one full pail
	Reasons         []feeding.Reason
	Cautions        []feeding.Reason // of carrying
}

// PailsOrPump gives hours, kilograms lifted and kilogram-metres carried of both
// ways, and from how many hive visits on the pump has paid. No flow known is
// fault.Missing.
func (st *State) PailsOrPump(a WayAsk) (PailsOrPump, error) {
	s := &st.Settings
	figs, _ := s.FigureSet()
	out := PailsOrPump{Ask: a}
	yards := map[string]bool{}
	hives := 0
	for _, c := range st.Colonies() {
		if c.State == apiary.Alive {
			hives++
			yards[c.Yard] = true
		}
	}
	if out.Ask.Hives == 0 {
		out.Ask.Hives = hives
	}
	if out.Ask.Rounds == 0 {
		out.Ask.Rounds = 3
	}
	if out.Ask.PerHive == 0 {
		out.Ask.PerHive = 2 * units.USGallon
		out.Reasons = append(out.Reasons, rigReason("fill-taken", "a fill of {0} is taken", out.Ask.PerHive))
	}
	if out.Ask.Hives == 0 {
		return out, missing("hives", "the number of hives has not been told", "how many are fed on one round")
	}
	flow, err := st.PumpFlow(FlowAsk{})
	if err != nil {
		return out, err
	}
	rho, err := syrup.Density(s.Syrup, 20)
	if err != nil {
		return out, err
	}
	work := rig.Season{Hives: out.Ask.Hives, Rounds: out.Ask.Rounds, PerHive: out.Ask.PerHive, Density: rho}
	lid := orMin(s.PerHive, figs.V("feeding.per_hive_min"))
	perStop := max(1, out.Ask.Hives/max(1, len(yards)))
	if out.Pump, err = work.WithPump(pumpWork(flow, lid, perStop, figs), figs); err != nil {
		return out, err
	}
	pails := pailWork(s, lid, rho, figs)
	out.Each = pails.Lift.Load
	if out.Pail, err = work.WithPails(pails, figs); err != nil {
		return out, err
	}
	out.Saved = out.Pail.Hours - out.Pump.Hours
	out.Reasons = append(out.Reasons, rigReason("by-parts", "worked out from parts of common practice without a source; all in, the trade says 1½ to 3 minutes a hive with a pump and 4 to 6 with pails"),
		rigReason("not-only-wages", "a back that holds and an end before the cold are not in the wages"))
	out.Cautions = cautioned(out.Pail.Cautions)
	return out, out.pays(s)
}

// pays adds the break-even, where wage and price were told in one currency.
func (p *PailsOrPump) pays(s *Settings) error {
	if s.PerHour.IsZero() || s.Rig.PumpPrice.IsZero() {
		return nil
	}
	if s.PerHour.Currency() != s.Rig.PumpPrice.Currency() {
		return nil
	}
	price, err1 := s.Rig.PumpPrice.Minor()
	wage, err2 := s.PerHour.Minor()
	if err1 != nil || err2 != nil || price <= 0 || wage <= 0 {
		return nil // no amount a wage can be set against
	}
	b, err := rig.PaysFrom(float64(price), float64(wage), p.Pail.PerHive, p.Pump.PerHive)
	if fault.Is(err, fault.NotKnownHere) {
		p.Reasons = append(p.Reasons, rigReason("never-pays", "it saves no time, so it never pays in hours"))
		return nil
	}
	if err != nil {
		return err
	}
	p.Visits = math.Ceil(b.Visits)
	p.Seasons = b.Visits / float64(p.Ask.Hives*p.Ask.Rounds)
	return nil
}

func pumpWork(f PumpFlow, lid units.Duration, perStop int, figs figure.Set) rig.PumpWork {
	cm := units.Centimetre
	return rig.PumpWork{Hive: lid, Flow: f.Flow, Lag: f.Lag, Hose: units.Duration(figs.V("season.hose_out_min")) * units.Minute, Stop: perStop,
		Gun: rig.Lift{Load: 0.5, Out: 40 * cm, From: 90 * cm, To: 115 * cm, PerMin: 1, For: units.Hour, Rest: units.Hour, Grip: rig.Good}}
}

func pailWork(s *Settings, lid units.Duration, rho units.Density, figs figure.Set) rig.PailWork {
	cm := units.Centimetre
	w := rig.PailWork{Hive: lid, Pour: units.Flow(figs.V("season.pail_pour_l_min") / 60), Pail: s.Rig.Pail, Way: s.Rig.PailWay,
		Walk: figs.V("season.pail_walk_m_s"), Refill: units.Duration(figs.V("season.pail_refill_min")) * units.Minute}
	if w.Pail == 0 {
		w.Pail = 20
	}
	if w.Way == 0 {
		w.Way = 10
	}
	load := units.Mass(w.Pail.L()/1000*float64(rho)) + units.Mass(figs.V(rig.KeyPailTare))
	w.Lift = rig.Lift{Load: load, Out: 35 * cm, From: 30 * cm, To: 80 * cm, PerMin: 1, For: units.Hour, Rest: units.Hour, Grip: rig.Fair}
	return w
}
