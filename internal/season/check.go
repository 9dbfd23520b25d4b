package season

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// maxName is the longest name of a yard, colony, batch or lot, in bytes: it has
// to fit on a label.
const maxName = 64

// first gives the first trouble of several.
func first(errs ...error) error {
	for _, e := range errs {
		if e != nil {
			return e
		}
	}
	return nil
}

// needName checks a name that must be there.
func needName(what, s string) error {
	if s == "" {
		return fault.Newf(fault.Missing, what, "the name of the %s is missing", what)
	}
	return goodName(what, s)
}

// goodName checks a name that may be missing: text that can stand on a sheet
// and in a spreadsheet cell.
func goodName(what, s string) error {
	switch {
	case len(s) > maxName:
		return fault.Newf(fault.OutOfRange, what, "the name %.20q… is too long", s).WithHint("at most %d characters", maxName)
	case !utf8.ValidString(s):
		return fault.Newf(fault.NotUnderstood, what, "the name %q is not readable text", s)
	case strings.TrimSpace(s) != s:
		return fault.Newf(fault.NotUnderstood, what, "the name %q begins or ends with a space", s)
	case strings.IndexFunc(s, unicode.IsControl) >= 0:
		return fault.Newf(fault.NotUnderstood, what, "the name %q has a line break or control character in it", s)
	}
	return nil
}

// needAmount asks for an amount. "0" was said and is one; a blank was not.
func needAmount(what string, blank bool) error {
	if blank {
		return fault.New(fault.Missing, what, "it is not said how much").WithHint("0 is empty; leave the line out when nobody looked")
	}
	return nil
}

func notNegative(what string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
		return fault.Newf(fault.OutOfRange, what, "%v cannot be", x).WithHint("an amount is zero or more")
	}
	return nil
}

func between(what string, x, lo, hi float64) error {
	if !(x >= lo && x <= hi) {
		return fault.Newf(fault.OutOfRange, what, "%v is not between %v and %v", x, lo, hi)
	}
	return nil
}

func oneOf[S ~string](what string, s S, allowed ...S) error {
	for _, a := range allowed {
		if s == a {
			return nil
		}
	}
	words := make([]string, len(allowed))
	for i, a := range allowed {
		words[i] = string(a)
	}
	return fault.Newf(fault.NotUnderstood, what, "%q is not one of those we know", string(s)).
		WithHint("one of: %s", strings.Join(words, ", "))
}

func checkYard(y apiary.Yard) error {
	if err := first(needName("yard", y.ID), goodName("yard", y.Name), goodName("station", y.Station),
		notNegative("setup", float64(y.Setup)), goodPlace(y.HasPlace, y.Lat, y.Lon), goodHeight(y.Elev), checkGate(y)); err != nil {
		return err
	}
	return oneOf("climate", y.Climate, apiary.ClimateUnknown, apiary.Warm, apiary.Mild, apiary.Temperate, apiary.Cold, apiary.VeryCold)
}

// goodPlace looks at degrees that were told.
func goodPlace(told bool, lat, lon float64) error {
	if !told {
		return nil
	}
	return first(between("latitude", lat, -90, 90), between("longitude", lon, -180, 180))
}

// leastHeight and mostHeight are what weather can be brought to.
const leastHeight, mostHeight units.Length = -500, 5000

// goodHeight takes the heights weather can be brought to; see weather.AtHeight.
func goodHeight(h units.Length) error {
	return between("height above the sea (m)", float64(h), float64(leastHeight), float64(mostHeight))
}

func checkColony(c apiary.Colony) error {
	if err := first(needName("colony", c.ID), needName("yard", c.Yard), notNegative("target", c.Target.Kg()),
		notNegative("feeder volume", c.FeederVolume.L()), notNegative("stand", float64(c.Stand))); err != nil {
		return err
	}
	return oneOf("kind", c.Kind, apiary.Full, apiary.Nuc)
}

func checkPlaced(p apiary.Placed) error { return checkColony(p.Colony) }

func checkMoved(m apiary.Moved) error {
	return first(needName("colony", m.Colony), needName("yard", m.Yard), notNegative("stand", float64(m.Stand)))
}

func checkUnited(u apiary.United) error {
	if err := first(needName("colony", u.From), needName("colony", u.Into)); err != nil {
		return err
	}
	if u.From == u.Into {
		return fault.New(fault.Conflict, u.From, "a colony cannot be united with itself")
	}
	return nil
}

func checkSplit(s apiary.Split) error {
	if err := first(needName("colony", s.From), checkColony(s.New), notNegative("stores", s.Stores.Kg())); err != nil {
		return err
	}
	if s.From == s.New.ID {
		return fault.New(fault.Conflict, s.From, "a split needs a name of its own")
	}
	return nil
}

func checkEnded(e apiary.Ended) error {
	return first(needName("colony", e.Colony), oneOf("state", e.State, apiary.Dead, apiary.Sold), notNegative("left", e.Left.Kg()))
}

func checkLook(l apiary.Look) error {
	return first(needName("colony", l.Colony),
		between("frames of bees", l.Bees, 0, 60), between("frames of brood", l.Brood, 0, 60),
		between("granulated stores (kg)", l.Granulated.Kg(), 0, 100))
}

// The widest a hive can weigh: beyond it a figure is a slip of the pen.
const maxHiveKg = 500

func checkReading(r stores.Reading) error {
	if err := first(needName("colony", r.Colony),
		oneOf("way", r.Way, stores.Full, stores.LiftBoth, stores.LiftOne, stores.Frames, stores.Hand, stores.Scale)); err != nil {
		return err
	}
	for _, m := range []float64{r.Gross.Q.Kg(), r.Lift1.Q.Kg(), r.Lift2.Q.Kg(), r.Off.Kg(), r.Unusable.Kg()} {
		if err := between("weight (kg)", m, 0, maxHiveKg); err != nil {
			return err
		}
	}
	if err := notNegative("in the feeder", r.InFeeder.Q.L()); err != nil {
		return err
	}
	switch r.Way {
	case stores.Full, stores.Scale:
		if r.Gross.IsZero() {
			return fault.New(fault.Missing, r.Colony, "the weight is missing")
		}
	case stores.LiftBoth:
		if r.Lift1.IsZero() || r.Lift2.IsZero() {
			return fault.New(fault.Missing, r.Colony, "both lifts are needed").WithHint("with one side only, the way is lift1")
		}
	case stores.LiftOne:
		if r.Lift1.IsZero() {
			return fault.New(fault.Missing, r.Colony, "the lift is missing")
		}
	case stores.Frames:
		if len(r.Frames) == 0 {
			return fault.New(fault.Missing, r.Colony, "no frames were counted").WithHint("an empty box is 0 frames of it")
		}
		for _, f := range r.Frames {
			if err := first(between("frames", f.Sealed, 0, 60), between("frames", f.Open, 0, 60)); err != nil {
				return err
			}
		}
	case stores.Hand:
		return oneOf("heft", r.Heft, stores.Light, stores.Fair, stores.Heavy)
	}
	return nil
}

func checkAgreed(b ledger.Agreed) error {
	if b.From == b.Colony && b.From != "" {
		return fault.New(fault.Conflict, b.Colony, "a colony cannot give frames to itself")
	}
	if _, err := hive.Default().Frame(b.Frame); b.Frame != "" && err != nil {
		return err
	}
	return first(needName("colony", b.Colony), needName("colony that gives", b.From), between("frames", float64(b.Frames), 0, 40))
}

func checkGiven(g ledger.Given) error {
	if err := first(needName("colony", g.Colony),
		goodName("lot", g.Lot), oneOf("feed", g.Feed, ledger.Syrup, ledger.Fondant, ledger.DrySugar, ledger.Comb, ledger.Protein),
		between("litres", g.Volume.Q.L(), 0, 200), between("kg", g.Mass.Q.Kg(), 0, 200),
		between("strength", float64(g.Strength), 0, 1)); err != nil {
		return err
	}
	if g.Feed == ledger.Syrup {
		if g.Volume.IsZero() {
			return fault.New(fault.Missing, g.Colony, "the volume of syrup is missing")
		}
		return nil
	}
	if g.Mass.IsZero() {
		return fault.Newf(fault.Missing, g.Colony, "the weight of %s is missing", g.Feed)
	}
	return nil
}

func checkBatch(b ledger.Batch) error {
	for _, u := range b.Used {
		if err := first(needName("item", u.Item), goodName("lot", u.Lot), notNegative("used", u.Mass.Q.Kg()), notNegative("used", u.Volume.Q.L())); err != nil {
			return err
		}
		if u.Mass.IsZero() == u.Volume.IsZero() {
			return fault.Newf(fault.Missing, b.ID, "how much %s went in is missing", u.Item).WithHint("a weight, or a volume of a liquid")
		}
	}
	return first(needName("batch", b.ID), notNegative("batch volume", b.Volume.Q.L()), notNegative("sugar", b.Sugar.Q.Kg()),
		notNegative("water", b.Water.Q.L()), between("strength", float64(b.Strength), 0, 1))
}

func checkPurchase(p ledger.Purchase) error {
	if err := first(needName("item", p.Item), goodName("lot", p.Lot), notNegative("mass", p.Mass.Q.Kg()), notNegative("volume", p.Volume.Q.L()), notNegative("sack", p.Sack.Q.Kg())); err != nil {
		return err
	}
	if p.Goods == "" {
		return nil
	}
	return oneOf("goods", p.Goods, ledger.AllGoods()...)
}

func checkWeather(d weather.Day) error {
	if err := needName("station", d.Station); err != nil {
		return err
	}
	if d.Day == 0 {
		return fault.New(fault.Missing, d.Station, "the day is missing")
	}
	// The coldest and hottest ever measured on Earth are −89.2 and 56.7 °C (WMO
	// World Weather and Climate Extremes Archive); beyond −90…60 it is a slip.
	if d.HasMax {
		if err := between("highest temperature (°C)", d.TMax.C(), -90, 60); err != nil {
			return err
		}
	}
	if d.HasMin {
		if err := between("lowest temperature (°C)", d.TMin.C(), -90, 60); err != nil {
			return err
		}
	}
	if d.HasMax && d.HasMin && d.TMin > d.TMax {
		return fault.Newf(fault.Conflict, d.Station+" "+d.Day.String(), "the lowest temperature %.1f °C is above the highest %.1f °C", d.TMin.C(), d.TMax.C())
	}
	if d.HasRain {
		return between("rain (mm)", d.Rain, 0, 2000)
	}
	return nil
}

func checkStation(s weather.Station) error {
	if err := first(needName("station", s.ID), goodName("name", s.Name), goodPlace(s.HasPlace, s.Lat, s.Lon)); err != nil || !s.HasElev {
		return err
	}
	return goodHeight(s.Elev)
}

func checkRoad(r Road) error {
	if r.From == r.To {
		return fault.New(fault.Conflict, r.From, "a road leads from one place to another").WithHint("leave one place empty for home")
	}
	return first(goodName("place", r.From), goodName("place", r.To), notNegative("distance", float64(r.Dist)), notNegative("driving time", float64(r.Time)))
}
