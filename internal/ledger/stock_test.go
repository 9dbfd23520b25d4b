package ledger

import (
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"larder/internal/units"
	"pgregory.net/rapid"
)

func on(day int) units.Moment { return units.OnDay(units.DayOf(2026, time.August, day)) }

func usd(s string) units.Money { return units.MustMoney(s + " USD") }

func kg(x float64) Qty { return WeightQty(units.Mass(x)) }

// shedMoves is one shed by hand: two lots of sugar, a batch of each, gifts.
func shedMoves() []Move {
	return []Move{
		{Ref: "1", At: on(1), Way: In, Item: "white sugar", Goods: Sugar, Lot: "late", Qty: kg(100), Price: usd("90.00"), UseBy: units.DayOf(2028, 1, 1)},
		{Ref: "2", At: on(2), Way: In, Item: "white sugar", Goods: Sugar, Lot: "soon", Qty: kg(50), Price: usd("60.00"), UseBy: units.DayOf(2027, 1, 1)},
		{Ref: "3", At: on(3), Way: Out, AnyOf: []Goods{Sugar}, Qty: kg(70), Why: ForBatch, For: "b1"},
		{Ref: "4", At: on(3), Way: In, Item: "b1", Goods: Mixed, Lot: "b1", Liquid: true, Qty: LitresQty(80)},
		{Ref: "5", At: on(4), Way: Out, AnyOf: []Goods{Mixed}, Lot: "b1", Liquid: true, Qty: LitresQty(30), Why: ForColony, For: "c1"},
		{Ref: "6", At: on(4), Way: Out, AnyOf: []Goods{Mixed}, Liquid: true, Qty: LitresQty(30), Why: ForColony, For: "c2"},
		{Ref: "7", At: on(5), Way: Out, Item: "b1", Goods: Mixed, Lot: "b1", Liquid: true, Qty: LitresQty(10), Why: string(Spilt)},
	}
}

func run(t interface{ Fatal(...any) }, moves []Move) Stock {
	s, err := Run(moves)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func lotOf(t *testing.T, s Stock, name string) Lot {
	t.Helper()
	for _, l := range s.Lots {
		if l.Lot == name {
			return l
		}
	}
	t.Fatalf("no lot %q in %+v", name, s.Lots)
	return Lot{}
}

func TestShedByHand(t *testing.T) {
	s := run(t, shedMoves())
	// The lot that expires first goes first: 50 kg of "soon", 20 kg of "late".
	soon, late, b1 := lotOf(t, s, "soon"), lotOf(t, s, "late"), lotOf(t, s, "b1")
	if soon.OnHand != 0 || late.OnHand != kg(80) || b1.OnHand != LitresQty(10) {
		t.Errorf("left %v %v %v", soon.OnHand, late.OnHand, b1.OnHand)
	}
	// 60.00 + 20/100 of 90.00 = 78.00 for 80 L; 70 of them are gone: 30/30/10.
	if got := fmt.Sprint(late.Value, b1.Price, b1.Value, b1.Priced); got != "72.00 USD 78.00 USD 9.75 USD true" {
		t.Error(got)
	}
	for ref, want := range map[string]string{"5": "29.25 USD", "6": "29.25 USD", "7": "9.75 USD"} {
		i := slices.IndexFunc(s.Issues, func(i Issue) bool { return i.Ref == ref })
		if x := s.Issues[i]; x.Cost.String() != want || !x.Known {
			t.Errorf("%s cost %v, want %s", ref, x.Cost, want)
		}
	}
}

func TestMoreThanThereIs(t *testing.T) {
	m := append(shedMoves(), Move{Ref: "8", At: on(6), Way: Out, AnyOf: []Goods{Sugar}, Qty: kg(100), Why: ForBatch, For: "b2"},
		Move{Ref: "9", At: on(6), Way: Out, AnyOf: []Goods{Sugar}, Lots: []string{"never bought"}, Qty: kg(5), Why: ForBatch, For: "b3"},
		Move{Ref: "a", At: on(6), Way: Out, Item: "fondant", Goods: FondantFeed, Lot: "F-1", Qty: kg(2), Why: ForColony, For: "c1"})
	s := run(t, m)
	short := s.Short()
	got := ""
	for _, l := range short {
		got += fmt.Sprintf("%s/%s %v; ", l.Item, l.Lot, l.OnHand.Mass())
	}
	if got != "white sugar/ -20 kg; white sugar/never bought -5 kg; fondant/F-1 -2 kg; " {
		t.Error(got)
	}
	for _, i := range s.Issues {
		if s.Lots[i.No].OnHand < 0 && (i.Known || !i.Cost.IsZero()) {
			t.Errorf("a price was made up: %+v", i)
		}
	}
}

func TestCountAndOpen(t *testing.T) {
	m := append(shedMoves(),
		Move{Ref: "8", At: on(6), Way: Open, Item: "white sugar", Lot: "late", Keeps: 10, Kept: "dry"},
		Move{Ref: "9", At: on(7), Way: Set, Item: "white sugar", Goods: Sugar, Qty: kg(75), Why: string(Counted)},
		Move{Ref: "a", At: on(8), Way: Set, Item: "honey tub", Goods: Other, Qty: kg(3), Why: string(Counted)})
	s := run(t, m)
	late := lotOf(t, s, "late")
	if late.OnHand != kg(75) || late.Opened != units.DayOf(2026, 8, 6) || late.UseBy != units.DayOf(2026, 8, 16) || late.Kept != "dry" {
		t.Errorf("%+v", late)
	}
	if x := lotOf(t, s, ""); x.Item != "honey tub" || x.OnHand != kg(3) || x.Priced {
		t.Errorf("%+v", x)
	}
}

func TestTwoCurrencies(t *testing.T) {
	m := shedMoves()
	m[1].Price = units.MustMoney("60 EUR")
	s, err := Run(m)
	if err == nil {
		t.Fatal("dollars and euros went into one batch and had a sum")
	}
	if l := lotOf(t, s, "b1"); l.Priced || l.OnHand != LitresQty(10) {
		t.Errorf("%+v", l)
	}
}

// anyMoves draws moves that meet: few items, few lots, few days.
func anyMoves(t *rapid.T) []Move {
	n := rapid.IntRange(0, 30).Draw(t, "n")
	out := make([]Move, n)
	for i := range out {
		m := Move{Ref: fmt.Sprintf("%03d", i), At: on(rapid.IntRange(1, 9).Draw(t, "day")), Qty: Qty(rapid.Int64Range(0, 5_000_000).Draw(t, "qty"))}
		m.Way = rapid.SampledFrom([]Way{In, In, Out, Out, Out, Set, Open}).Draw(t, "way")
		m.Item = rapid.SampledFrom([]string{"white sugar", "brown sugar", "fondant"}).Draw(t, "item")
		m.Goods = GoodsOf(m.Item)
		m.Lot = rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, "lot")
		switch m.Way {
		case In:
			cents := rapid.IntRange(0, 100_000).Draw(t, "cents")
			if rapid.IntRange(0, 4).Draw(t, "priced") > 0 {
				m.Price = usd(fmt.Sprintf("%d.%02d", cents/100, cents%100))
			}
			m.UseBy = rapid.SampledFrom([]units.Day{0, units.DayOf(2026, 9, 1), units.DayOf(2027, 1, 1)}).Draw(t, "useby")
		case Out:
			m.Why, m.For = rapid.SampledFrom([]string{ForBatch, ForColony, string(Spilt)}).Draw(t, "why"), rapid.SampledFrom([]string{"x", "y"}).Draw(t, "for")
			if rapid.Bool().Draw(t, "any") {
				m.Item, m.AnyOf = "", []Goods{Sugar}
			}
		case Set, Open:
			m.Why = string(Counted)
		}
		out[i] = m
	}
	// Two batches, so that what went in has somewhere to be.
	return append(out, Move{Ref: "bx", At: on(9), Way: In, Item: "x", Goods: Mixed, Lot: "x", Liquid: true, Qty: 1_000_000},
		Move{Ref: "c1", At: on(10), Way: Out, AnyOf: []Goods{Mixed}, Liquid: true, Qty: Qty(rapid.Int64Range(1, 2_000_000).Draw(t, "syrup")), Why: ForColony, For: "c"})
}

// Nothing is lost and nothing is hidden: what is left of a lot is what came less
// what the issues took, and every lot below zero is listed.
func TestNothingIsHidden(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		moves := anyMoves(t)
		s := run(t, moves)
		gone := make([]Qty, len(s.Lots))
		for _, i := range s.Issues {
			if i.Qty <= 0 {
				t.Fatalf("an issue of %d", i.Qty)
			}
			gone[i.No] += i.Qty
		}
		below := 0
		for n, l := range s.Lots {
			if l.OnHand != l.Came-gone[n] {
				t.Fatalf("%+v: %d of %d gone", l, gone[n], l.Came)
			}
			if l.OnHand < 0 {
				below++
			}
		}
		if below != len(s.Short()) {
			t.Fatalf("%d lots below zero, %d shown", below, len(s.Short()))
		}
		// Without counts, the whole adds up from the moves alone.
		var in, out, left Qty
		for _, m := range moves {
			switch m.Way {
			case In:
				in += m.Qty
			case Out:
				out += m.Qty
			case Set:
				return
			}
		}
		for _, l := range s.Lots {
			left += l.OnHand
		}
		if left != in-out {
			t.Fatalf("%d in, %d out, %d left", in, out, left)
		}
	})
}

// Money adds up to the cent in any order: what was paid is what the issues cost
// and what is left is worth, whatever the order of entries and of adding.
func TestMoneyAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		moves := anyMoves(t)
		s := run(t, moves)
		var parts []units.Money
		var paid units.Money
		for _, l := range s.Lots {
			if l.Goods != Mixed {
				paid, _ = Sum(paid, l.Price)
				parts = append(parts, l.Value)
			}
		}
		for _, i := range s.Issues {
			if s.Lots[i.No].Goods != Mixed {
				parts = append(parts, i.Cost)
			}
		}
		order := rapid.Permutation(parts).Draw(t, "order")
		sum, err := Sum(order...)
		if err != nil || !sum.Equal(paid) && !(sum.IsZero() && paid.IsZero()) {
			t.Fatalf("paid %v, accounted for %v (%v)", paid, sum, err)
		}
		again := run(t, rapid.Permutation(moves).Draw(t, "moves"))
		if !reflect.DeepEqual(s, again) {
			t.Fatalf("another order of entries, another stock:\n%+v\n%+v", s, again)
		}
	})
}

// First expired, first out: at no moment is a lot taken from by an unnamed
// going-out while one that expires sooner is left.
func TestFirstExpiredFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var moves []Move
		for i, d := range rapid.SliceOfN(rapid.IntRange(1, 400), 2, 6).Draw(t, "days") {
			moves = append(moves, Move{Ref: fmt.Sprint(i), At: on(1), Way: In, Item: "sugar", Goods: Sugar, Lot: fmt.Sprint("L", i), Qty: 100, UseBy: units.DayOf(2026, 9, 1) + units.Day(d)})
		}
		total := Qty(len(moves) * 100)
		q := Qty(rapid.Int64Range(1, int64(total)).Draw(t, "q"))
		s := run(t, append(moves, Move{Ref: "out", At: on(2), Way: Out, AnyOf: []Goods{Sugar}, Qty: q, Why: ForBatch, For: "b"}))
		open := false
		for _, l := range s.Lots { // in the order of use
			if open && l.Gone > 0 {
				t.Fatalf("%s was taken from before a sooner one was empty: %+v", l.Lot, s.Lots)
			}
			open = open || l.OnHand > 0
		}
	})
}

func TestSacks(t *testing.T) {
	for _, c := range []struct {
		want, sack float64
		n          int
	}{{0, 25, 0}, {25, 25, 1}, {25.000001, 25, 2}, {24.9, 25, 1}, {100, 0, 0}, {-3, 25, 0}} {
		if n := Sacks(kg(c.want), kg(c.sack)); n != c.n {
			t.Errorf("%v in %v: %d, want %d", c.want, c.sack, n, c.n)
		}
	}
}

func TestGoodsOf(t *testing.T) {
	for item, want := range map[string]Goods{"white sugar": Sugar, "Azúcar": Sugar, "sugar syrup": LiquidFeed, "HFCS-55": LiquidFeed, "fondant": FondantFeed, "pollen patties": ProteinFeed, "powder in the blue tub": Other} {
		if g := GoodsOf(item); g != want {
			t.Errorf("%s is %s, want %s", item, g, want)
		}
	}
}
