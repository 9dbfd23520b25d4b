package season_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/supplement"
	"larder/internal/syrup"
	"larder/internal/units"
	"pgregory.net/rapid"
)

func aug(d int) units.Day { return units.DayOf(2026, time.August, d) }

// shedFacts is one small season, invented: two lots of sugar, a supplement, two
// batches, gifts to three colonies, a unite and a split.
func shedFacts() []any {
	kg := func(x float64) units.Entered[units.Mass] { return units.In(units.Mass(x)) }
	l := func(x float64) units.Entered[units.Volume] { return units.In(units.Volume(x)) }
	usd := func(s string) units.Money { return units.MustMoney(s + " USD") }
	return []any{
		1, season.Setting{Key: "price.per_hour", Value: "20 USD"},
		1, season.Setting{Key: "kitchen.mixing", Value: "30 min"},
		1, apiary.Placed{Colony: apiary.Colony{ID: "a", Yard: "ridge", Kind: apiary.Full}},
		1, apiary.Placed{Colony: apiary.Colony{ID: "b", Yard: "ridge", Kind: apiary.Full}},
		1, apiary.Placed{Colony: apiary.Colony{ID: "c", Yard: "creek", Kind: apiary.Full}},
		1, ledger.Purchase{Item: "white sugar", Lot: "S-1", Mass: kg(100), Price: usd("90.00"), BestBefore: units.DayOf(2028, 1, 1), Sack: kg(25)},
		2, ledger.Purchase{Item: "white sugar", Lot: "S-2", Mass: kg(50), Price: usd("60.00"), BestBefore: units.DayOf(2027, 1, 1), Sack: kg(25)},
		2, ledger.Purchase{Item: "blue powder", Lot: "P-9", Mass: kg(0.5), Price: usd("25.00"), BestBefore: units.DayOf(2027, 6, 1)},
		2, blueLabel(),
		2, supplement.Weighing{Product: "blue powder", Spoonfuls: 5, Together: kg(0.045), Holds: l(0.015)},
		3, ledger.Handled{What: ledger.Opened, Item: "blue powder", Lot: "P-9", Kept: "dark and dry"},
		4, ledger.Batch{ID: "b1", Volume: l(80), Strength: 0.6, Sugar: kg(62), Lots: []string{"S-2", "P-9"}, Used: []ledger.Used{{Item: "blue powder", Lot: "P-9", Mass: kg(0.08)}}},
		5, ledger.Given{Colony: "a", Feed: ledger.Syrup, Volume: l(30), Batch: "b1"},
		5, ledger.Given{Colony: "b", Feed: ledger.Syrup, Volume: l(20), Batch: "b1"},
		6, apiary.United{From: "b", Into: "a"},
		7, apiary.Split{From: "a", New: apiary.Colony{ID: "d", Yard: "creek", Kind: apiary.Full}},
		8, ledger.Batch{ID: "b2", Volume: l(40), Strength: 0.6, Sugar: kg(31)},
		9, ledger.Given{Colony: "c", Feed: ledger.Syrup, Volume: l(10), Batch: "b2"},
		9, ledger.Handled{What: ledger.Spilt, Batch: "b2", Volume: l(5)},
		9, apiary.Look{Colony: "c", Super: apiary.Yes},
	}
}

func blueLabel() supplement.Label {
	l := units.Locale{Decimal: '.'}
	out, _ := supplement.Typed{Text: map[string]string{
		supplement.LineProduct: "blue powder", supplement.LineForm: "powder", supplement.LinePerSyrup: "1 g per 1 L", supplement.LineSeasonMost: "40 g",
		supplement.LineStrongest: "62 %", supplement.LineWarmest: "30 °C", supplement.LineCarrier: "20 mL per 5 g", supplement.LineOrder: "stir in last",
		supplement.LineKept: "dark and dry", supplement.LineOpened: "60", supplement.LineMixed: "7", supplement.LineMedicine: "yes",
		supplement.LineAuthority: "an invented vet", supplement.LineWithdrawal: "42",
	}, Silent: map[string]bool{supplement.LineTimes: true}}.Read("C", l)
	return out
}

func stateOf(t interface{ Fatal(...any) }, dated []any) (*season.State, units.Moment) {
	var facts []season.Fact
	for i := 0; i+1 < len(dated); i += 2 {
		facts = append(facts, season.Fact{ID: booktest.ID(i + 1), Seen: units.OnDay(aug(dated[i].(int))), Body: dated[i+1]})
	}
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		t.Fatal(err)
	}
	at := units.OnDay(aug(20))
	return j.AsOf(at), at
}

func TestShedOfASeason(t *testing.T) {
	st, at := stateOf(t, shedFacts())
	shed := st.Shed(at)
	got := ""
	for _, it := range shed.Items {
		for _, l := range it.Lots {
			much := l.OnHand.Mass().String()
			if l.Liquid {
				much = l.OnHand.Volume().String()
			}
			got += fmt.Sprintf("%s/%s %s first=%v until=%s\n", it.Item, l.Lot.Lot, much, l.First, l.UseBy)
		}
	}
	// b1 named S-2 for its sugar: 62 kg of 50; the rest overdraws it, shown. b2
	// took of what expires first and is there.
	want := "mixed/b1 30 L first=true until=2026-08-11\n" +
		"mixed/b2 25 L first=false until=\n" +
		"white sugar/S-2 -12 kg first=false until=2027-01-01\n" +
		"white sugar/S-1 69 kg first=false until=2028-01-01\n" +
		"blue powder/P-9 0.42 kg first=false until=2026-10-02\n"
	if got != want {
		t.Errorf("is:\n%swant:\n%s", got, want)
	}
	if len(shed.Short) != 1 || len(shed.UseFirst) != 1 || shed.UseFirst[0].Lot.Lot != "b1" || !shed.UseFirst[0].Past {
		t.Errorf("short %v, first %v", shed.Short, shed.UseFirst)
	}
}

func TestTraceBothWays(t *testing.T) {
	st, at := stateOf(t, shedFacts())
	out, found := st.TraceLot(" s-2 ", at)
	if !found || strings.Join(out.Batches, " ") != "b1" || len(out.Gifts) != 2 {
		t.Fatalf("%v %+v", found, out)
	}
	got := ""
	for _, c := range out.Colonies {
		got += c.Colony + "<" + c.Fed + c.How + " "
	}
	// a got it; b got it and was joined into a; d was split from a afterwards.
	if got != "a< d<asplit b< " {
		t.Error(got)
	}
	in, found := st.TraceColony("d", at)
	lots := ""
	for _, l := range in.Lots {
		lots += fmt.Sprintf("%s:%v ", l.Lot, l.Named)
	}
	if !found || len(in.Gifts) != 2 || strings.Join(in.Batches, " ") != "b1" || lots != "S-2:true P-9:true " {
		t.Errorf("%v %+v %s", found, in, lots)
	}
	// c got batch b2, whose sugar nobody named: worked out, and said to be.
	in, _ = st.TraceColony("c", at)
	if len(in.Lots) != 1 || in.Lots[0] != (season.LotRef{Item: "white sugar", Lot: "S-1"}) {
		t.Errorf("%+v", in.Lots)
	}
	if _, found := st.TraceLot("nobody knows it", at); found {
		t.Error("an unknown lot was found")
	}
	if _, found := st.TraceColony("nobody", at); found {
		t.Error("an unknown colony was found")
	}
}

func TestCosts(t *testing.T) {
	st, at := stateOf(t, shedFacts())
	c := st.Costs(aug(1), aug(20), at)
	if c.Trouble != nil || c.Batches != 2 || c.Loads != 0 || !c.NoRoad || c.NoWork {
		t.Fatalf("%+v", c)
	}
	// b1: all 60.00 of S-2 (62 kg of its 50: more is gone than came, its price is
	// not known for sure) and 80 g of powder at 25.00 the 500 g, 4.00: 64.00 for
	// 80 L. a had 30 L: 24.00. Mixing 10.00 the batch: 3.75 of it a's.
	a := c.Colonies[slices.IndexFunc(c.Colonies, func(x season.ColonyCost) bool { return x.Colony == "a" })]
	if fmt.Sprint(a.Feed, a.Work, a.Total, a.NoPrice) != "24.00 USD 3.75 USD 27.75 USD true" {
		t.Errorf("%+v", a)
	}
	// c: 31 kg of 0.90 are 27.90 for 40 L: 10 L are 6.98 or 6.97.
	x := c.Colonies[slices.IndexFunc(c.Colonies, func(x season.ColonyCost) bool { return x.Colony == "c" })]
	if x.NoPrice || x.Feed.String() != "6.98 USD" && x.Feed.String() != "6.97 USD" || !x.Stores.Known || x.PerKg.IsZero() {
		t.Errorf("%+v", x)
	}
	if c.Lost.IsZero() || c.Syrup.String() != "91.90 USD" {
		t.Errorf("lost %v, syrup %v", c.Lost, c.Syrup)
	}
}

// Colonies add up to yards and yards to the season, to the cent, whatever the
// amounts.
func TestCostsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facts := shedFacts()
		for range rapid.IntRange(0, 12).Draw(t, "gifts") {
			facts = append(facts, rapid.IntRange(5, 19).Draw(t, "day"), ledger.Given{Colony: rapid.SampledFrom([]string{"a", "b", "c", "d"}).Draw(t, "c"), Feed: ledger.Syrup,
				Volume: units.In(units.Volume(rapid.IntRange(1, 400).Draw(t, "dl")) / 10), Batch: rapid.SampledFrom([]string{"", "b1", "b2"}).Draw(t, "b")})
		}
		st, at := stateOf(t, facts)
		c := st.Costs(aug(1), aug(20), at)
		for _, sum := range [][]season.ColonyCost{c.Colonies, c.Yards} {
			var all []units.Money
			for _, x := range sum {
				all = append(all, x.Total)
			}
			got, err := ledger.Sum(rapid.Permutation(all).Draw(t, "order")...)
			if err != nil || !got.Equal(c.All.Total) {
				t.Fatalf("%v adds up to %v, not %v (%v)", all, got, c.All.Total, err)
			}
		}
	})
}

func TestDoseOfABatch(t *testing.T) {
	st, at := stateOf(t, shedFacts())
	ask := season.DoseAsk{Product: "blue powder", Volume: 100, Strength: 0.6, Temp: 25, TempKnown: true, Share: 10}
	d := st.Dose(ask, at)
	if len(d.Locked) > 0 {
		t.Fatal(d.Locked)
	}
	// a had 30 L of b1 at 1 g a litre: 30 g of its 40 g. The rest, 10 g, is just
	// what its 10 L would hold: 100 g for the batch, not cut.
	if d.Most != "a" || d.Cut || d.Grams.String() != "0.1 kg" || d.Lot != "P-9" || d.Opened != aug(3) || d.Feed != aug(27) {
		t.Errorf("%+v", d)
	}
	if d.Spoons != 11 { // 9 g to the spoon
		t.Errorf("%v spoons", d.Spoons)
	}
	ask.Share = 20 // 20 L would hold 20 g: cut to 10
	if d = st.Dose(ask, at); !d.Cut || d.Grams.String() != "0.05 kg" {
		t.Errorf("%v %v %v", d.Cut, d.Grams, d.Locked)
	}
	for name, c := range map[string]struct {
		change func(*season.DoseAsk)
		kind   fault.Kind
	}{
		"no label":   {func(a *season.DoseAsk) { a.Product = "white sugar" }, fault.Missing},
		"too strong": {func(a *season.DoseAsk) { a.Strength = 0.667 }, fault.Unsafe},
		"too warm":   {func(a *season.DoseAsk) { a.Temp = 45 }, fault.Unsafe},
		"no share":   {func(a *season.DoseAsk) { a.Share = 0 }, fault.Missing},
	} {
		a := ask
		c.change(&a)
		if d := st.Dose(a, at); len(d.Locked) == 0 || !fault.Is(d.Locked[0], c.kind) || d.Grams != 0 {
			t.Errorf("%s: %v", name, d.Locked)
		}
	}
	// Past its days once opened: 60 days from 3 August.
	if d := st.Dose(ask, units.OnDay(aug(3)+61)); len(d.Locked) == 0 || !fault.Is(d.Locked[0], fault.Unsafe) {
		t.Errorf("an old pack: %v", d.Locked)
	}
}

func TestSupersOnFed(t *testing.T) {
	st, at := stateOf(t, shedFacts())
	got := ""
	for _, x := range st.SupersOnFed(at) {
		got += fmt.Sprintf("%s fed %s super %s honey %s; ", x.Colony, x.Fed, x.Looked, x.HoneyFrom)
	}
	// a had the invented medicine on 5 August, 42 days; c has a super on.
	if got != "c fed 2026-08-09 super 2026-08-09 honey ; a fed 2026-08-05 super  honey 2026-09-17; " {
		t.Error(got)
	}
}

func TestToBuy(t *testing.T) {
	st, at := stateOf(t, shedFacts())
	p := &season.Planned{}
	p.Totals.Sugar = 200
	b := st.ToBuy(p, 0, at)
	// 57 kg are there (69 less the 12 overdrawn): 143 kg are 6 sacks of 25, at the
	// 1.20 paid last.
	if b.Sacks != 6 || b.Sack != 25 || b.OnHand.String() != "57 kg" || b.Price.String() != "180.00 USD" {
		t.Errorf("%+v", b)
	}
	if b := st.ToBuy(nil, 50, at); b.Sacks != 0 || b.Buy != 0 {
		t.Errorf("%+v", b)
	}
}

// TestUsedAndNeverBought: sugar that went into a batch before anybody wrote its
// delivery down is not bought once more.
func TestUsedAndNeverBought(t *testing.T) {
	lb := func(x float64) units.Mass { return units.Mass(x) * units.Pound }
	near := func(a, b units.Mass) bool { return math.Abs(float64(a-b)) < 1e-5 } // stock is kept in milligrams
	used := ledger.Batch{ID: "b1", Volume: units.In(30 * units.USGallon), Strength: 2.0 / 3, Sugar: units.In(lb(221))}
	st, at := stateOf(t, []any{1, season.Setting{Key: "house.units", Value: "us"}, 4, used})
	p := &season.Planned{}
	p.Totals.Sugar = lb(328)
	// 328 lb are 6.56 sacks of 50.
	b := st.ToBuy(p, 0, at)
	if b.OnHand != 0 || !near(b.Untold, lb(221)) || !near(b.Buy, lb(328)) || b.Sacks != 7 || b.Sack != 50*units.Pound || st.Sack() != b.Sack {
		t.Errorf("%+v", b)
	}
	// In sacks of 25 kg 328 lb are 148.8 kg, or 5.95.
	st, at = stateOf(t, []any{1, season.Setting{Key: "house.units", Value: "metric"}, 4, used})
	if b := st.ToBuy(p, 0, at); b.Sack != 25 || b.Sacks != 6 {
		t.Errorf("%+v", b)
	}
	// Bought and told, in sacks of 55 lb: 79 lb are left, and 249 are 4.5 of these.
	st, at = stateOf(t, []any{1, season.Setting{Key: "house.units", Value: "us"}, 3, ledger.Purchase{Item: "white sugar", Mass: units.In(lb(300)), Sack: units.In(lb(55))}, 4, used})
	if b := st.ToBuy(p, 0, at); b.Untold != 0 || !near(b.OnHand, lb(79)) || b.Sacks != 5 || b.Sack != lb(55) || st.Sack() != b.Sack {
		t.Errorf("%+v", b)
	}
}

func TestCompareSugars(t *testing.T) {
	st, _ := stateOf(t, shedFacts())
	got := st.Compare([]season.Offer{
		{Kind: syrup.HFCS55, Price: units.MustMoney("480 USD"), Volume: 1041},
		{Kind: syrup.WhiteSugar, Price: units.MustMoney("1.20 USD"), Mass: 1},
		{Kind: syrup.Fondant, Price: units.MustMoney("30 USD"), Mass: 12.5},
		{Kind: "moonshine", Price: units.MustMoney("1 USD"), Mass: 1},
	})
	order := ""
	for _, x := range got {
		order += string(x.Kind) + " "
		if x.Err == nil {
			if c, err := x.Low.Cmp(x.High); err != nil || c > 0 {
				t.Errorf("%s: %v to %v", x.Kind, x.Low, x.High)
			}
		}
	}
	if order != "hfcs-55 white-sugar fondant moonshine " || !got[0].Wanted || got[3].Err == nil {
		t.Errorf("%s %+v", order, got)
	}
	// A kilogram of sugar makes about a kilogram of stores (0.92 × 1.14 planned):
	// 1.20 the kilogram is 1.0 to 1.3 the kilogram of stores (sucrose.md §6, colony.md §3).
	i := slices.IndexFunc(got, func(x season.Compared) bool { return x.Kind == syrup.WhiteSugar })
	if n, err := got[i].Money.Minor(); err != nil || n < 100 || n > 130 {
		t.Errorf("%v a kilogram of stores", got[i].Money)
	}
	if o := st.Offers(); len(o) != 1 || o[0].Lot != "S-2" {
		t.Errorf("%+v", o)
	}
}
