package season_test

import (
	"math"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
	"larder/internal/weather"
)

func TestMixCardByVolumeAndBySacks(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	// A litre of 2:1 at 20 °C weighs 1.326 kg: 0.884 kg of sugar and 0.442 kg of
	// water (CRC Handbook density of 66.7 %).
	c, err := st.MixCard(season.MixAsk{Make: 100}, at)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(c.Sugar.Kg()-88.4) > 0.3 || math.Abs(c.WaterMass.Kg()-44.2) > 0.2 {
		t.Errorf("100 L: sugar %v, water %v", c.Sugar, c.WaterMass)
	}
	// Four sacks of 50 lb are the same sugar the other way round.
	s, err := st.MixCard(season.MixAsk{Sacks: 4, Sack: 50 * units.Pound}, at)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.Sugar.Kg()-200*units.Pound.Kg()) > 1e-9 || math.Abs(s.Syrup.L()/s.Sugar.Kg()-c.Syrup.L()/c.Sugar.Kg()) > 1e-9 {
		t.Errorf("4 sacks: %v of syrup from %v", s.Syrup, s.Sugar)
	}
	// By volume 2:1 is only about 63 % (sucrose evidence, §4.2).
	v, err := st.MixCard(season.MixAsk{Strength: "2:1 by volume", Make: 100}, at)
	if err != nil || v.Mixing.Strength.Brix() < 61 || v.Mixing.Strength.Brix() > 65 || v.High <= v.Low {
		t.Errorf("by volume: %v %v", v.Mixing.Strength, err)
	}
	if p, err := st.MixCard(season.MixAsk{Strength: "66.7", Make: 100}, at); err != nil || math.Abs(p.Mixing.Strength.Brix()-66.7) > 1e-9 {
		t.Errorf("percent without its sign: %v %v", p.Mixing.Strength, err)
	}
}

func TestMixCardHeat(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	c, err := st.MixCard(season.MixAsk{Make: 100, Sugars: syrup.Told[units.Temp](15), Water: syrup.Told[units.Temp](12), Want: syrup.Told[units.Temp](40), Power: 3000}, at)
	if err != nil {
		t.Fatal(err)
	}
	h := c.Heat.Q
	if !c.Heat.Told || h.Energy <= 0 || math.Abs(float64(h.Energy)/3000-float64(h.Time)) > 1 {
		t.Errorf("heat %+v", h)
	}
	if !c.MixTemp.Known || c.MixTemp.Mean > 15 {
		t.Errorf("cold water and cold sugar mix at %v", c.MixTemp)
	}
	if !hasCode(c.Reasons, "wont-dissolve") {
		t.Errorf("reasons %v", c.Reasons)
	}
	if c, err = st.MixCard(season.MixAsk{Make: 100, Water: syrup.Told[units.Temp](12)}, at); err != nil || c.Heat.Told {
		t.Errorf("no heat was asked for: %+v %v", c.Heat, err)
	}
}

func TestMixCardWarmsEnoughToDissolve(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	c, err := st.MixCard(season.MixAsk{Make: 100}, at)
	if err != nil {
		t.Fatal(err)
	}
	// 2:1 saturates at 19.6 °C, the last grains want 10 K more; 2 kg of sugar at
	// 15 °C and 1 kg of water at 60 °C come out at 34.7 °C (sucrose evidence,
	// check 60), so water for 29.6 °C is cooler than that, but warm.
	if !c.Want.Told || math.Abs(c.Want.Q.C()-29.6) > 0.5 || !c.WaterNeed.Told || c.WaterNeed.Q < 45 || c.WaterNeed.Q > 58 {
		t.Errorf("want %+v, water %+v", c.Want, c.WaterNeed)
	}
	if c, err = st.MixCard(season.MixAsk{Make: 100, Strength: "1:1"}, at); err != nil || c.Want.Told || c.WaterNeed.Told {
		t.Errorf("1:1 dissolves cold: %+v %+v %v", c.Want, c.WaterNeed, err)
	}
}

func TestMixCardAsItIsWrittenDown(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	c, err := st.MixCard(season.MixAsk{Make: 150, Strength: "66.7 %"}, at)
	if err != nil {
		t.Fatal(err)
	}
	if b := c.Batch("b26-01", nil); b.ID != "b26-01" || b.Volume.Q != 150 || b.Sugar.Q != c.Sugar || b.Water.Q != c.Water || b.Strength != c.Mixing.Strength {
		t.Errorf("%+v", b)
	}
	right, err := st.CheckBatch(150, 0.666, 0.667, syrup.Maybe[units.Temp]{}, syrup.ATC)
	if err != nil {
		t.Fatal(err)
	}
	if b := c.Batch("x", &right); b.Strength != 0.666 || b.Volume.Q != 150 {
		t.Errorf("right enough: %+v", b)
	}
	weak, err := st.CheckBatch(150, 0.64, 0.667, syrup.Maybe[units.Temp]{}, syrup.ATC)
	if err != nil {
		t.Fatal(err)
	}
	if b := c.Batch("x", &weak); b.Strength != 0.667 || b.Volume.Q <= 150 || b.Sugar.Q != c.Sugar+weak.Correct.AddSugar || b.Sugar.Q <= c.Sugar {
		t.Errorf("corrected: %+v", b)
	}
}

func hasCode(rs []feeding.Reason, code string) bool {
	for _, r := range rs {
		if r.Code == code {
			return true
		}
	}
	return false
}

func TestMixCardSetsTheComingLowBesideIt(t *testing.T) {
	s := newSmall(t) // forecast nights of 6 °C
	st := s.journal(t).AsOf(at)
	c, err := st.MixCard(season.MixAsk{Make: 100}, at)
	if err != nil || !c.Cold.Known || c.Cold.Temp != 6 || c.Cold.From != weather.Forecast {
		t.Fatalf("low %+v %v", c.Cold, err)
	}
	// 2:1 is saturated at about 20 °C: at 6 it grains.
	if !hasCode(c.Reasons, "crystals-cold") {
		t.Errorf("reasons %v", c.Reasons)
	}
	if c, err = st.MixCard(season.MixAsk{Make: 100, Strength: "1:1", Low: syrup.Told[units.Temp](-10)}, at); err != nil || c.Cold.From != weather.Typed || !hasCode(c.Reasons, "freezes") {
		t.Errorf("1:1 at -10: %+v %v", c.Reasons, err)
	}
}

func TestComingLow(t *testing.T) {
	known := func(s *small) season.ComingLow { return s.journal(t).AsOf(at).ComingLow(at) }
	if l := known(&small{}); l.Known {
		t.Errorf("nothing known: %+v", l)
	}
	// Past years stand in where the forecast ends, in their middle.
	s := &small{}
	s.add(-20, placedYard())
	for y, low := range map[int]units.Temp{2023: 1, 2024: 4, 2025: 3} {
		for d := units.DayOf(y, 8, 20); d <= units.DayOf(y, 10, 10); d++ {
			t0 := units.Temp(9)
			if d == units.DayOf(y, 9, 15) {
				t0 = low
			}
			s.add(-30, weather.Day{Station: "s", Day: d, TMax: 20, TMin: t0, HasMax: true, HasMin: true})
		}
	}
	if l := known(s); !l.Known || l.Temp != 3 || l.Years != 3 || l.Day != 0 {
		t.Errorf("by past years: %+v", l)
	}
	for d := 5; d <= 8; d++ {
		s.add(4, weather.Day{Station: "s", Day: day(d), TMax: 12, TMin: units.Temp(d) - 6, HasMax: true, HasMin: true, Forecast: true})
	}
	if l := known(s); l.Temp != -1 || l.From != weather.Forecast || l.Day != day(5) {
		t.Errorf("the forecast is colder: %+v", l)
	}
}

func TestNextBatch(t *testing.T) {
	s := newSmall(t)
	st := s.journal(t).AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	if b, ok := season.NextBatch(&p, at); !ok || b.Syrup != p.Batches[0].Syrup {
		t.Errorf("%+v %v", b, ok)
	}
	if _, ok := season.NextBatch(&p, units.OnDay(day(60))); ok {
		t.Error("a batch after the last")
	}
	if _, ok := season.NextBatch(nil, at); ok {
		t.Error("a batch of no plan")
	}
}

func TestNextBatchID(t *testing.T) {
	s := newSmall(t)
	if id := s.journal(t).AsOf(at).NextBatchID(day(4)); id != "b26-01" {
		t.Errorf("first: %s", id)
	}
	for _, id := range []string{"b26-09", "b26-03", "b25-40", "spring", "b26-x"} {
		s.add(1, ledger.Batch{ID: id})
	}
	if id := s.journal(t).AsOf(at).NextBatchID(day(4)); id != "b26-10" {
		t.Errorf("next: %s", id)
	}
}

func TestCheckBatch(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	// 64 % at 35 °C on a plain refractometer is beyond the correction's 30 °C.
	if _, err := st.CheckBatch(150, 0.64, 2.0/3, syrup.Told[units.Temp](35), syrup.Refractometer); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("at 35 °C: %v", err)
	}
	plain, err := st.CheckBatch(150, 0.64, 2.0/3, syrup.Told[units.Temp](28), syrup.Refractometer)
	if err != nil {
		t.Fatal(err)
	}
	atc, err := st.CheckBatch(150, 0.64, 2.0/3, syrup.Told[units.Temp](28), syrup.ATC)
	if err != nil {
		t.Fatal(err)
	}
	// Warm syrup reads low on a plain one: about 0.08 points a degree (OIV Table I).
	if d := plain.True.Brix() - atc.True.Brix(); d < 0.5 || d > 0.8 {
		t.Errorf("the correction at 28 °C is %.2f", d)
	}
	if atc.Adds != 0 || atc.Right || atc.Correct.AddSugar <= 0 {
		t.Errorf("%+v", atc)
	}
	if c, err := st.CheckBatch(150, 0.666, 2.0/3, syrup.Maybe[units.Temp]{}, syrup.ATC); err != nil || !c.Right {
		t.Errorf("66.6 for 66.7: %+v %v", c, err)
	}
}

func placedYard() apiary.Yard { return apiary.Yard{ID: "mill", Station: "s"} }
