package cli

import (
	"fmt"
	"math"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

type rigLoadCmd struct {
	rigFrom
	Syrup      string `placeholder:"40gal" help:"Syrup to be loaded (a full tank)."`
	Strength   string `placeholder:"2:1" help:"Its strength, by weight."`
	Tank       string `placeholder:"55gal" help:"What really comes out of the tank."`
	Payload    string `placeholder:"1600lb" help:"The sticker in the driver's door."`
	Gross      string `placeholder:"6800lb" help:"Or: gross weight rating,"`
	Empty      string `placeholder:"4900lb" help:"and weight of the truck, nobody in it."`
	Wheelbase  string `placeholder:"145in" help:"Distance between the axles."`
	RearMax    string `placeholder:"3900lb" help:"Rear axle: most, by the plate."`
	RearEmpty  string `placeholder:"2150lb" help:"Rear axle: with nothing on."`
	FrontMax   string `placeholder:"3600lb" help:"Front axle: most, by the plate."`
	FrontEmpty string `placeholder:"2750lb" help:"Front axle: with nothing on."`
	TankEmpty  string `placeholder:"140lb" help:"Empty tank with frame, pump and hose."`
	Ahead      string `placeholder:"12in" help:"Tank's middle ahead of the rear axle; --ahead=-8in behind."`
	Crew       string `placeholder:"360lb" help:"Weight of the people."`
	CrewAhead  string `placeholder:"70in" help:"They sit ahead of the rear axle by this."`
	Gear       string `placeholder:"80lb" help:"What else is on."`
	GearAhead  string `placeholder:"-20in" help:"It lies ahead of the rear axle by this."`
}

func (c *rigLoadCmd) flags() []flag {
	return []flag{{"tank", "rig.tank", c.Tank}, {"payload", "truck.payload", c.Payload}, {"gross", "truck.gross", c.Gross}, {"empty", "truck.empty", c.Empty},
		{"wheelbase", "truck.wheelbase", c.Wheelbase}, {"rear-max", "truck.rear_max", c.RearMax}, {"rear-empty", "truck.rear_empty", c.RearEmpty},
		{"front-max", "truck.front_max", c.FrontMax}, {"front-empty", "truck.front_empty", c.FrontEmpty}, {"tank-empty", "tank.empty", c.TankEmpty},
		{"ahead", "tank.ahead", c.Ahead}, {"crew", "truck.crew", c.Crew}, {"crew-ahead", "truck.crew_ahead", c.CrewAhead}, {"gear", "truck.gear", c.Gear},
		{"gear-ahead", "truck.gear_ahead", c.GearAhead}}
}

type (
	axleJSON struct {
		What   string   `json:"what"`
		UsedKg float64  `json:"used_kg"`
		MostKg *float64 `json:"most_kg"`
		OverKg float64  `json:"over_kg"`
	}
	rigLoadJSON struct {
		MassKg      float64            `json:"mass_kg"`
		SyrupL      float64            `json:"syrup_l"`
		Brix        float64            `json:"brix"`
		CargoKg     float64            `json:"cargo_kg"`
		Fits        bool               `json:"fits"`
		Limits      []axleJSON         `json:"limits"`
		FrontKg     *float64           `json:"front_added_kg"`
		TakeOffL    float64            `json:"take_off_l"`
		MostL       *float64           `json:"most_l"`
		Limit       string             `json:"limit"`
		HoldForward float64            `json:"hold_forward_kg"`
		HoldSide    float64            `json:"hold_side_kg"`
		WorkingKg   float64            `json:"working_load_kg"`
		SloshHz     *float64           `json:"slosh_hz"`
		RiseM       *float64           `json:"bend_rise_m"`
		Reasons     []season.ReasonDoc `json:"reasons"`
		Cautions    []season.ReasonDoc `json:"cautions"`
	}
)

// Run weighs a load.
func (c *rigLoadCmd) Run(r *run) error {
	st, s, err := c.state(r, c.flags())
	if err != nil {
		return err
	}
	p := reading{l: r.locale()}
	v := get(&p, "--syrup", c.Syrup, units.ParseVolume)
	if p.err != nil {
		return p.err
	}
	if v == 0 {
		if v = st.Settings.TankUsable(); v == 0 {
			return fault.New(fault.Usage, "--syrup", "say how much syrup is to be loaded").WithHint("--syrup 40gal, or --tank 55gal for a full tank")
		}
	}
	x, err := strengthFlag(r, c.Strength)
	if err != nil {
		return err
	}
	l, err := st.LoadAxles(v, x)
	if err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(rigLoadDoc(&l, s))
	}
	printAxles(r, s, &l)
	return nil
}

func rigLoadDoc(l *season.LoadAxles, s units.Style) rigLoadJSON {
	j := rigLoadJSON{MassKg: l.Mass.Kg(), SyrupL: l.Syrup.L(), Brix: l.Strength.Brix(), CargoKg: l.Cargo.Kg(), Fits: l.Fits, Limits: []axleJSON{}, TakeOffL: l.TakeOff.L(), Limit: l.Limit,
		HoldForward: l.Hold.ForwardMass().Kg(), HoldSide: float64(l.Hold.Sideways) / 9.80665, WorkingKg: l.Hold.WorkingLoads.Kg(),
		Reasons: season.Reasons(l.Reasons, s), Cautions: season.Reasons(l.Cautions, s)}
	for _, b := range l.Bars {
		most := b.Most.Kg()
		j.Limits = append(j.Limits, axleJSON{b.Code, b.Used.Kg(), &most, b.Over.Kg()})
	}
	if l.AxlesKnown {
		f := l.Front.Kg()
		j.FrontKg = &f
	}
	if l.Limit != "" {
		m := l.Most.L()
		j.MostL = &m
	}
	if l.Slosh > 0 {
		j.SloshHz = &l.Slosh
	}
	if l.Rise > 0 {
		x := float64(l.Rise)
		j.RiseM = &x
	}
	return j
}

// axleWords name the limits of a truck.
var axleWords = map[string]string{"payload": "payload", "rear": "rear axle", "front": "front axle"}

func printAxles(r *run, s units.Style, l *season.LoadAxles) {
	fmt.Fprintf(r.Out, "%s of %s syrup weigh %s\n\n", s.VolumeBig(l.Syrup), s.Strength(l.Strength), s.Mass(l.Mass))
	t := newTable("limit", ">used", ">allowed", "")
	for _, b := range l.Bars {
		say := s.Mass(b.Left()) + " left"
		if b.Over > 0 {
			say = s.Mass(b.Over) + " TOO MUCH"
		}
		t.row(axleWords[b.Code], s.Mass(b.Used), s.Mass(b.Most), say)
	}
	t.print(r.Out)
	fmt.Fprintln(r.Out)
	if l.TakeOff > 0 {
		rowOf(r, "take off", s.VolumeBig(l.TakeOff))
	}
	if l.Limit != "" {
		rowOf(r, "most that may be loaded", s.VolumeBig(l.Most)+" (the "+l.Limit+" binds)")
	}
	rowOf(r, "straps hold forward", s.MassTwo(l.Hold.ForwardMass())+", "+s.MassTwo(l.Hold.WorkingLoads)+" of working load in all")
	if l.Slosh > 0 {
		rowOf(r, "sloshes", "once in "+s.Two(math.Round(10/l.Slosh)/10)+" s")
	}
	if l.Rise > 0 {
		rowOf(r, "in a sharp bend", s.Length(units.Length(math.Round(float64(l.Rise)*100)/100))+" higher on one side")
	}
	rigWords(r, s, l.Reasons, l.Cautions)
}
