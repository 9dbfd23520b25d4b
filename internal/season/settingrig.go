package season

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/rig"
	"larder/internal/syrup"
	"larder/internal/units"
)

// RigSettings describe the rig: tank, pump, hose, wire, heater, truck and pails,
// as measured and as the plates say. A zero field has not been told; where zero
// is an answer too, the field is a Maybe.
type RigSettings struct {
	Tank      rig.Tank
	Hole      units.Length // the dip hole, ahead of the tank's middle; below 0 behind
	HoleSide  units.Length // and to its left
	TankEmpty units.Mass
	TankAhead syrup.Maybe[units.Length] // the tank's middle, ahead of the rear axle; below 0 behind

	Pump      rig.Pump
	Battery   units.Voltage // what the pump gets; 0 = the 12 V its curve is for
	BatteryAh float64
	Pours     []rig.Pour              // of the bucket test, newest
	PourTemp  syrup.Maybe[units.Temp] // of the syrup at the test
	Hose      rig.Hose
	Rise      units.Length // nozzle above the syrup in the tank; below 0 lower
	Fittings  []rig.Fitting
	Suction   rig.Hose
	Flooded   units.Length // syrup in the tank above the pump; below 0 lower

	WireRun   units.Length // battery to pump, one way
	Wire      rig.Wire
	WirePlace rig.Place

	Heater units.Power
	Foam   units.Length // around the mixing tank
	Windy  bool

	Truck     rig.Truck
	Crew      rig.Cargo
	Gear      rig.Cargo
	Pail      units.Volume
	PailWay   units.Length
	PumpPrice units.Money // of tank, pump and hose, beside pails
}

// rigKey is a setting of the rig: how it is typed, and what it sets.
type rigKey struct {
	key, what, example string
	// enter reads it as typed: a bare number in the keeper's unit where bare is
	// true, else refused. It gives the spelling that is kept.
	enter func(text string, s units.Style, bare bool) (string, error)
	set   func(*Settings, string) error
}

// sized makes the setting of an amount; unit gives what a bare number means.
func sized[Q units.Quantity](key, what, example string, unit func(units.Style) string, field func(*RigSettings) *Q) rigKey {
	return rigKey{key, what, example, func(text string, s units.Style, bare bool) (string, error) {
		if !bare {
			e, err := units.Enter[Q](text, s.Locale())
			return e.String(), err
		}
		return entered[Q](text, unit(s), s.Locale())
	}, quantity(func(s *Settings) *Q { return field(&s.Rig) })}
}

// signed makes the setting of a length that may point the other way: "-6 in".
func signed(key, what, example string, set func(*RigSettings, units.Length)) rigKey {
	split := func(text string) (string, units.Length) {
		for _, m := range []string{"-", "−", "–"} {
			if t, ok := strings.CutPrefix(text, m); ok {
				return strings.TrimSpace(t), -1
			}
		}
		return text, 1
	}
	return rigKey{key, what, example, func(text string, s units.Style, bare bool) (string, error) {
		t, sign := split(text)
		var spelling string
		var err error
		if bare {
			spelling, err = entered[units.Length](t, smallUnit(s), s.Locale())
		} else {
			var e units.Entered[units.Length]
			e, err = units.Enter[units.Length](t, s.Locale())
			spelling = e.String()
		}
		if sign < 0 && err == nil {
			spelling = "-" + spelling
		}
		return spelling, err
	}, func(s *Settings, v string) error {
		t, sign := split(v)
		var l units.Length
		if err := l.UnmarshalText([]byte(t)); err != nil {
			return err
		}
		set(&s.Rig, sign*l)
		return nil
	}}
}

// worded makes the setting of one word out of several.
func worded(key, what, example string, set func(*RigSettings, string), words ...string) rigKey {
	read := func(v string) (string, error) {
		v = strings.ToLower(strings.TrimSpace(v))
		return v, oneOf("word", v, words...)
	}
	return rigKey{key, what, example, func(text string, _ units.Style, _ bool) (string, error) { return read(text) },
		func(s *Settings, v string) error {
			w, err := read(v)
			if err == nil {
				set(&s.Rig, w)
			}
			return err
		}}
}

// counted makes the setting of a plain number between two.
func counted(key, what, example string, lo, hi float64, set func(*RigSettings, float64)) rigKey {
	return rigKey{key, what, example, func(text string, s units.Style, _ bool) (string, error) {
		x, err := plainNumber(text, s.Locale())
		return strconv.FormatFloat(x, 'f', -1, 64), err
	}, func(s *Settings, v string) error {
		x, err := strconv.ParseFloat(v, 64)
		if err != nil {
			return fault.Newf(fault.NotUnderstood, "", "%q is not a number", v).WithHint("a plain number")
		}
		set(&s.Rig, x)
		return between("number", x, lo, hi)
	}}
}

// listed makes the setting of a list: entries apart by ";", read by one.
func listed[E any](key, what, example string, one func(text string, s units.Style, bare bool) (E, string, error), set func(*RigSettings, []E) error) rigKey {
	read := func(text string, s units.Style, bare bool) ([]E, string, error) {
		var out []E
		var words []string
		for part := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ';' || r == '\n' || r == '\r' }) {
			if part = strings.TrimSpace(part); part == "" {
				continue
			}
			e, w, err := one(part, s, bare)
			if err != nil {
				return nil, "", err
			}
			if out, words = append(out, e), append(words, w); len(out) > longestList {
				return nil, "", fault.Newf(fault.OutOfRange, "", "more than %d lines are too many", longestList).WithHint("leave out every second one")
			}
		}
		return out, strings.Join(words, "; "), nil
	}
	return rigKey{key, what, example, func(text string, s units.Style, bare bool) (string, error) {
		_, words, err := read(text, s, bare)
		return words, err
	}, func(s *Settings, v string) error {
		l, _, err := read(v, units.Style{}, false)
		if err != nil {
			return err
		}
		return set(&s.Rig, l)
	}}
}

// longestList is more lines than any bucket table or test has.
const longestList = 200

// Units of bare numbers: hands think in inches and feet, or millimetres and
// metres.
func smallUnit(s units.Style) string {
	if s.System == units.Metric {
		return "mm"
	}
	return "in"
}

func longUnit(s units.Style) string {
	if s.System == units.Metric {
		return "m"
	}
	return "ft"
}

func pressureUnit(s units.Style) string {
	if s.System == units.Metric {
		return "bar"
	}
	return "psi"
}

func massUnit(s units.Style) string   { return s.MassCol().Unit }
func volumeUnit(s units.Style) string { return s.VolumeBigCol().Unit }
func flowUnit(s units.Style) string   { return s.VolumeBigCol().Unit + "/min" }
func unit(u string) func(units.Style) string {
	return func(units.Style) string { return u }
}

// tempUnit is the keeper's degree as it is typed: "F".
func tempUnit(s units.Style) string { return strings.TrimPrefix(s.TempCol().Unit, "°") }

// strapLine reads one line of a bucket table: "2 in = 5 US gal".
func strapLine(text string, s units.Style, bare bool) (rig.Strap, string, error) {
	dip, contents, ok := strings.Cut(text, "=")
	if !ok {
		return rig.Strap{}, "", fault.Newf(fault.NotUnderstood, "", "%q is not a line of a bucket table", text).WithHint("write the dip, = and what is in it: 2 in = 5 gal")
	}
	d, err := part[units.Length](dip, smallUnit(s), s, bare)
	if err != nil {
		return rig.Strap{}, "", err
	}
	v, err := part[units.Volume](contents, volumeUnit(s), s, bare)
	return rig.Strap{Dip: d.Q, Contents: v.Q}, d.String() + " = " + v.String(), err
}

// pourLine reads one pour of a bucket test: "5 US gal in 95 s".
func pourLine(text string, s units.Style, bare bool) (rig.Pour, string, error) {
	volume, time, ok := strings.Cut(strings.Replace(text, " en ", " in ", 1), " in ") // "en" in Spanish
	if !ok {
		return rig.Pour{}, "", fault.Newf(fault.NotUnderstood, "", "%q is not a pour of a bucket test", text).WithHint("write what it filled, in, and the time: 5 gal in 95 s")
	}
	v, err := part[units.Volume](volume, volumeUnit(s), s, bare)
	if err != nil {
		return rig.Pour{}, "", err
	}
	t, err := part[units.Duration](time, "s", s, bare)
	return rig.Pour{Volume: v.Q, Time: t.Q}, v.String() + " in " + t.String(), err
}

func part[Q units.Quantity](text, unit string, s units.Style, bare bool) (units.Entered[Q], error) {
	text = strings.TrimSpace(text)
	if bare {
		return units.EnterIn[Q](text, unit, s.Locale())
	}
	return units.Enter[Q](text, s.Locale())
}

// fittingPart reads one kind of fitting and how many: "elbow 2", "ball".
func fittingPart(text string, _ units.Style, _ bool) ([]rig.Fitting, string, error) {
	name, many, _ := strings.Cut(strings.ToLower(text), " ")
	n := 1
	if many = strings.TrimSpace(many); many != "" {
		var err error
		if n, err = strconv.Atoi(many); err != nil || n < 1 || n > 50 {
			return nil, "", fault.Newf(fault.NotUnderstood, "", "%q is not a number of fittings", many).WithHint("a whole number from 1 to 50")
		}
	}
	f, err := rig.FittingByKey(name)
	if err != nil {
		return nil, "", err
	}
	return slices.Repeat([]rig.Fitting{f}, n), name + " " + strconv.Itoa(n), nil
}

// rigKeys lists the settings of the rig, in the order of the manual.
func rigKeys() []SettingKey {
	var out []SettingKey
	for _, k := range slices.Concat(tankKeys(), pumpKeys(), wireKeys(), heaterKeys(), truckKeys(), pailKeys()) {
		out = append(out, SettingKey{Key: k.key, What: k.what, Example: k.example, set: k.set, enter: k.enter})
	}
	return out
}

func tankKeys() []rigKey {
	length := func(key, what, example string, f func(*RigSettings) *units.Length) rigKey {
		return sized("tank."+key, what, example, smallUnit, f)
	}
	return []rigKey{
		worded("tank.shape", "shape of the tank: rectangular, upright (a standing cylinder), lying (a lying cylinder) or tote", "lying",
			func(r *RigSettings, v string) { r.Tank.Shape = rig.Shape(v) }, "rectangular", "upright", "lying", "tote"),
		length("length", "inside length; of a lying cylinder its shell, without the ends", "48 in", func(r *RigSettings) *units.Length { return &r.Tank.Length }),
		length("width", "inside width of a rectangular tank", "30 in", func(r *RigSettings) *units.Length { return &r.Tank.Width }),
		length("height", "inside height of a rectangular or upright tank, cone and all", "36 in", func(r *RigSettings) *units.Length { return &r.Tank.Height }),
		length("diameter", "inside diameter of a cylinder", "30 in", func(r *RigSettings) *units.Length { return &r.Tank.Diameter }),
		length("corner", "radius of the upright corners of a rectangular tank", "2 in", func(r *RigSettings) *units.Length { return &r.Tank.Corner }),
		worded("tank.ends", "ends of a lying cylinder: flat, conical, elliptical, hemispherical or dished", "dished",
			func(r *RigSettings, v string) {
				if v == "flat" {
					v = ""
				}
				r.Tank.End.Kind = rig.EndKind(v)
			}, "flat", "conical", "elliptical", "hemispherical", "dished"),
		length("end_depth", "how far a conical or elliptical end stands out", "6 in", func(r *RigSettings) *units.Length { return &r.Tank.End.Depth }),
		length("cone", "depth of the cone at the bottom of an upright tank", "10 in", func(r *RigSettings) *units.Length { return &r.Tank.Cone }),
		length("outlet", "diameter at the tip of that cone", "2 in", func(r *RigSettings) *units.Length { return &r.Tank.Outlet }),
		sized("tank.holds", "what a cage tote holds", "275 US gal", volumeUnit, func(r *RigSettings) *units.Volume { return &r.Tank.Holds }),
		listed("tank.strap", "bucket table: dips on level ground and what was in it then; goes before the sizes", "0 in = 0 US gal; 3 in = 5 US gal; 5 in = 10 US gal", strapLine,
			func(r *RigSettings, l []rig.Strap) error {
				r.Tank.Strap = l
				if len(l) == 0 {
					return nil
				}
				return rig.Tank{Strap: l}.Check()
			}),
		sized("tank.heel", "what stays in below the outlet and never comes out", "1 US gal", volumeUnit, func(r *RigSettings) *units.Volume { return &r.Tank.Heel }),
		signed("tank.hole", "how far the dip hole is ahead of the tank's middle (with a minus: behind)", "-6 in", func(r *RigSettings, l units.Length) { r.Hole = l }),
		signed("tank.hole_side", "how far the dip hole is to the left of the middle (with a minus: right)", "0 in", func(r *RigSettings, l units.Length) { r.HoleSide = l }),
		sized("tank.empty", "weight of the empty tank with its frame, pump and hose", "140 lb", massUnit, func(r *RigSettings) *units.Mass { return &r.TankEmpty }),
		signed("tank.ahead", "how far the tank's middle is ahead of the rear axle (with a minus: behind)", "12 in", func(r *RigSettings, l units.Length) { r.TankAhead = syrup.Told(l) }),
	}
}

func pumpKeys() []rigKey {
	return []rigKey{
		sized("pump.open", "flow of the pump against nothing, by its plate", "5 US gal/min", flowUnit, func(r *RigSettings) *units.Flow { return &r.Pump.Open }),
		sized("pump.shutoff", "pressure at which it gives nothing any more", "60 psi", pressureUnit, func(r *RigSettings) *units.Pressure { return &r.Pump.ShutOff }),
		sized("pump.off", "pressure at which its switch stops it", "45 psi", pressureUnit, func(r *RigSettings) *units.Pressure { return &r.Pump.CutOff }),
		sized("pump.on", "pressure at which its switch starts it again", "30 psi", pressureUnit, func(r *RigSettings) *units.Pressure { return &r.Pump.CutIn }),
		sized("pump.amps", "current of the pump, by its plate", "10 A", unit("A"), func(r *RigSettings) *units.Current { return &r.Pump.Current }),
		sized("pump.volts", "voltage at the pump while it runs", "12 V", unit("V"), func(r *RigSettings) *units.Voltage { return &r.Battery }),
		counted("pump.battery_ah", "ampere-hours of the battery", "100", 0, 2000, func(r *RigSettings, x float64) { r.BatteryAh = x }),
		listed("pump.bucket", "bucket test: what was filled and how long it took, each pour", "5 US gal in 96 s; 5 US gal in 98 s; 5 US gal in 95 s", pourLine,
			func(r *RigSettings, l []rig.Pour) error {
				r.Pours = l
				if len(l) == 0 {
					return nil
				}
				_, err := rig.TestBucket(l, DefaultFigures())
				return err
			}),
		{"pump.bucket_at", "temperature of the syrup at the bucket test", "60 F", func(text string, s units.Style, bare bool) (string, error) {
			e, err := part[units.Temp](text, tempUnit(s), s, bare)
			return e.String(), err
		}, func(s *Settings, v string) error {
			var t units.Temp
			err := t.UnmarshalText([]byte(v))
			s.Rig.PourTemp = syrup.Told(t)
			return err
		}},
		sized("hose.length", "length of the hose, with what stays on the reel", "75 ft", longUnit, func(r *RigSettings) *units.Length { return &r.Hose.Length }),
		sized("hose.bore", "true inside diameter of the hose", "5/8 in", smallUnit, func(r *RigSettings) *units.Length { return &r.Hose.Bore }),
		sized("hose.reel", "diameter of the reel it stays on while you pump", "20 in", smallUnit, func(r *RigSettings) *units.Length { return &r.Hose.Reel }),
		signed("hose.rise", "how far the nozzle is above the syrup in the tank (with a minus: below)", "12 in", func(r *RigSettings, l units.Length) { r.Rise = l }),
		listed("hose.fittings", "fittings between pump and nozzle beside the valve at the nozzle, and how many", "elbow 2; ball 1", fittingPart,
			func(r *RigSettings, l [][]rig.Fitting) error {
				r.Fittings = slices.Concat(l...)
				return nil
			}),
		sized("hose.suction", "length of hose from tank to pump", "3 ft", longUnit, func(r *RigSettings) *units.Length { return &r.Suction.Length }),
		sized("hose.suction_bore", "its inside diameter", "1 in", smallUnit, func(r *RigSettings) *units.Length { return &r.Suction.Bore }),
		signed("hose.flooded", "how far the syrup in the tank is above the pump (with a minus: below)", "12 in", func(r *RigSettings, l units.Length) { r.Flooded = l }),
	}
}

func wireKeys() []rigKey {
	return []rigKey{
		sized("wire.run", "length of wire from the battery to the pump, one way", "18 ft", longUnit, func(r *RigSettings) *units.Length { return &r.WireRun }),
		{"wire.size", "size of the wire, as printed on it: AWG or mm²", "10 AWG", func(text string, _ units.Style, _ bool) (string, error) {
			w, err := rig.ParseWire(text)
			return w.String(), err
		}, func(s *Settings, v string) (err error) {
			s.Rig.Wire, err = rig.ParseWire(v)
			return err
		}},
		{"wire.insulation", "what its insulation stands, as printed on it: 60, 75, 80, 90 or 105 °C", "105 C", func(text string, s units.Style, bare bool) (string, error) {
			e, err := part[units.Temp](text, "C", s, bare)
			return e.String(), err
		}, quantity(func(s *Settings) *units.Temp { return &s.Rig.WirePlace.Insulation })},
		counted("wire.bundle", "loaded wires that lie together, this one and its return counted", "2", 0, 24, func(r *RigSettings, x float64) { r.WirePlace.Bundle = int(x) }),
		worded("wire.engine", "whether it runs through the engine space: yes or no", "no", func(r *RigSettings, v string) { r.WirePlace.Engine = v == "yes" }, "yes", "no"),
	}
}

func heaterKeys() []rigKey {
	return []rigKey{
		sized("heater.power", "power of the heater of the mixing tank", "3 kW", unit("kW"), func(r *RigSettings) *units.Power { return &r.Heater }),
		sized("heater.foam", "thickness of the foam around the mixing tank", "1 in", smallUnit, func(r *RigSettings) *units.Length { return &r.Foam }),
		worded("heater.wind", "whether the mixing tank stands in the wind: yes or no", "no", func(r *RigSettings, v string) { r.Windy = v == "yes" }, "yes", "no"),
	}
}

func truckKeys() []rigKey {
	mass := func(key, what, example string, f func(*RigSettings) *units.Mass) rigKey {
		return sized("truck."+key, what, example, massUnit, f)
	}
	return []rigKey{
		mass("payload", "what the sticker in the driver's door says it may carry, people and all", "1600 lb", func(r *RigSettings) *units.Mass { return &r.Truck.Payload }),
		mass("gross", "gross weight rating, where there is no such sticker", "6800 lb", func(r *RigSettings) *units.Mass { return &r.Truck.Gross }),
		mass("empty", "weight of the truck with a full fuel tank and nobody in it", "4900 lb", func(r *RigSettings) *units.Mass { return &r.Truck.Empty }),
		sized("truck.wheelbase", "distance between the axles", "145 in", smallUnit, func(r *RigSettings) *units.Length { return &r.Truck.Wheelbase }),
		mass("rear_max", "most on the rear axle, by the plate", "3900 lb", func(r *RigSettings) *units.Mass { return &r.Truck.RearMax }),
		mass("rear_empty", "weight on the rear axle with nothing on, by a public scale", "2150 lb", func(r *RigSettings) *units.Mass { return &r.Truck.RearEmpty }),
		mass("front_max", "most on the front axle, by the plate", "3600 lb", func(r *RigSettings) *units.Mass { return &r.Truck.FrontMax }),
		mass("front_empty", "weight on the front axle with nothing on", "2750 lb", func(r *RigSettings) *units.Mass { return &r.Truck.FrontEmpty }),
		mass("crew", "weight of the people in it", "360 lb", func(r *RigSettings) *units.Mass { return &r.Crew.Mass }),
		signed("truck.crew_ahead", "how far they sit ahead of the rear axle", "70 in", func(r *RigSettings, l units.Length) { r.Crew.Ahead = l }),
		mass("gear", "weight of what else is on", "80 lb", func(r *RigSettings) *units.Mass { return &r.Gear.Mass }),
		signed("truck.gear_ahead", "how far that is ahead of the rear axle (with a minus: behind)", "-20 in", func(r *RigSettings, l units.Length) { r.Gear.Ahead = l }),
	}
}

func pailKeys() []rigKey {
	return []rigKey{
		sized("pail.size", "size of the pails you would carry instead", "5 US gal", volumeUnit, func(r *RigSettings) *units.Volume { return &r.Pail }),
		sized("pail.way", "way from the truck to a hive with them", "30 ft", longUnit, func(r *RigSettings) *units.Length { return &r.PailWay }),
		{"pail.pump_price", "what tank, pump and hose cost more than pails", "1500 USD", func(text string, s units.Style, _ bool) (string, error) {
			m, err := units.ParseMoney(text, s.Locale())
			return m.String(), err
		}, quantity(func(s *Settings) *units.Money { return &s.Rig.PumpPrice })},
	}
}

// orVolts gives the battery's voltage, 12 V where it was not told.
func (r *RigSettings) orVolts() units.Voltage { return cmp.Or(r.Battery, 12) }
