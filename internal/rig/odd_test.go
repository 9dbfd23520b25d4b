package rig

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
)

// FuzzOdd: whatever numbers come in, the answer is a number or an error of a
// kind that is the keeper's to mend, never a panic or a NaN.
func FuzzOdd(f *testing.F) {
	f.Add(0.8, 1.2, 0.3, 3.0, 310.0, uint8(0))
	f.Add(0.0, -1.0, 1e300, -90.0, math.NaN(), uint8(1))
	f.Add(1e-300, 1e300, math.Inf(1), 15.0, 1e-12, uint8(2))
	f.Add(1.0, 0.5, 0.2, 1e-9, 1e12, uint8(3))
	f.Add(0.5, 0.5, 0.5, 0.0, 1.0, uint8(4))
	shapes := []Shape{Rectangular, Upright, Lying, Tote, ""}
	ends := []EndKind{Flat, Conical, Elliptical, Hemispherical, Dished}
	f.Fuzz(func(t *testing.T, a, b, c, d, e float64, n uint8) {
		ok := func(what string, x float64, err error) {
			t.Helper()
			if err == nil && math.IsNaN(x) {
				t.Fatalf("%s is not a number for %v %v %v %v %v %d", what, a, b, c, d, e, n)
			}
			if err != nil && fault.KindOf(err) == fault.Internal {
				t.Fatalf("%s: %v", what, err)
			}
		}
		l := func(x float64) units.Length { return units.Length(x) }
		tank := Tank{Shape: shapes[int(n)%5], Length: l(b), Width: l(a), Height: l(c), Diameter: l(a), Cone: l(e), Holds: units.Volume(b),
			End: End{Kind: ends[int(n/5)%5], Depth: l(b), Crown: a, Knuckle: c}}
		v, err := tank.Contents(Dip{Depth: l(c), Along: l(e), Plumb: n&1 == 0}, Tilt{Pitch: Angle(d), Roll: Angle(e)}, none)
		ok("contents", v.Mean, err)
		h, err := tank.DipFor(units.Volume(e), none)
		ok("dip", float64(h), err)
		s := tableSetup(e, a, b, c, d)
		s.Pump.CutOff, s.Pump.CutIn = units.Pressure(math.Abs(a)), units.Pressure(math.Abs(a)/2)
		del, err := s.Deliver(none)
		ok("flow", float64(del.Flow), err)
		w, err := Run{Current: units.Current(a), OneWay: l(b), Copper: units.Temp(c), Place: Place{Insulation: 90, Bundle: int(n)}}.Choose(Primary, none)
		ok("drop", w.Part, err)
		heat, err := Warm{Mass: units.Mass(a), Heat: SpecificHeat(b), From: units.Temp(c), To: units.Temp(d), Air: units.Temp(e), Loss: Conductance(a), Power: units.Power(b)}.HeatUp(none)
		ok("time", float64(heat.Time), err)
		lift, err := Lift{Load: units.Mass(a), Out: l(b), From: l(c), To: l(d), Twist: Angle(e), PerMin: b, Grip: Fair}.Limit(none)
		ok("limit", float64(lift.Limit), err)
		room, err := Truck{Payload: units.Mass(a), Wheelbase: l(b), RearMax: units.Mass(c), RearEmpty: units.Mass(d)}.MostSyrup(units.Volume(b), units.Density(c), l(e), []Cargo{{units.Mass(d), l(a)}}, none)
		ok("room", float64(room.Volume), err)
		st, err := TestBucket([]Pour{{units.Volume(a), units.Duration(b)}, {units.Volume(c), units.Duration(d)}, {units.Volume(e), units.Duration(a)}}, none)
		ok("rate", float64(st.Flow), err)
	})
}
