package units_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
	"pgregory.net/rapid"
)

func TestParseMoney(t *testing.T) {
	tests := []struct {
		typed string
		l     units.Locale
		want  string
	}{
		{"18.40 USD", us, "18.40 USD"},
		{"USD 18.40", us, "18.40 USD"},
		{"18.4 usd", us, "18.40 USD"},
		{"$18.40", us, "18.40 USD"},
		{"$ 18", us, "18.00 USD"},
		{"18.40 dollars", us, "18.40 USD"},
		{"US$18.40", metric, "18.40 USD"},
		{"$18.40 CAD", us, "18.40 CAD"},
		{"C$18.40", metric, "18.40 CAD"},
		{"€12,50", us, "12.50 EUR"},
		{"12,50 €", metric, "12.50 EUR"},
		{"12,50\u00a0€", metric, "12.50 EUR"},
		{"1.234,50 €", metric, "1234.50 EUR"},
		{"1,234.50 €", us, "1234.50 EUR"},
		{"1,234 €", us, "1234.00 EUR"},
		{"1'234.50 CHF", metric, "1234.50 CHF"},
		{"£3", uk, "3.00 GBP"},
		{"3 GBP", uk, "3.00 GBP"},
		{"-£3", uk, "-3.00 GBP"},
		{"£-3.50", uk, "-3.50 GBP"},
		{".85 USD", us, "0.85 USD"},
		{"0.8325 USD", us, "0.8325 USD"},
		{"500 JPY", us, "500 JPY"},
		{"0 USD", us, "0.00 USD"},
		{"-0 USD", us, "0.00 USD"},
		{"１８．４０ USD", us, "18.40 USD"},
	}
	for _, tt := range tests {
		got, err := units.ParseMoney(tt.typed, tt.l)
		if err != nil || got.String() != tt.want {
			t.Errorf("%q = %q, %v; want %q", tt.typed, got, err, tt.want)
		}
	}
	if m, err := units.ParseMoneyIn("18.40", "CAD", us); err != nil || m.String() != "18.40 CAD" {
		t.Errorf("18.40 in CAD = %v, %v", m, err)
	}
	if m, err := units.ParseMoneyIn("$18.40", "CAD", us); err != nil || m.String() != "18.40 CAD" {
		t.Errorf("$18.40 in CAD = %v, %v", m, err)
	}
	if m, err := units.ParseMoneyIn("£18.40", "CAD", us); err != nil || m.String() != "18.40 GBP" {
		t.Errorf("£18.40 in CAD = %v, %v", m, err)
	}
}

func TestRefusesMoney(t *testing.T) {
	for _, tt := range []struct {
		typed string
		l     units.Locale
		say   string
	}{
		{"", us, "missing"},
		{"18.40", us, "currency is missing"},
		{"$18.40", metric, "which dollars"},
		{"$18.40", uk, "which dollars"},
		{"$18.40 EUR", us, "two currencies"},
		{"€18.40 USD", us, "two currencies"},
		{"18.40 XXQ", us, "not a currency"},
		{"18.40 kr", us, "not a currency"},
		{"1,234 USD", untold, "two ways"},
		{"1.234 EUR", metric, "two ways"},
		{"12,34,5 USD", us, "threes"},
		{"1e3 USD", us, "not an amount"},
		{"NaN USD", us, "not an amount"},
		{"Inf USD", us, "not an amount"},
		{"18 40 USD", us, "not an amount"},
		{"18.40 USD/kg", us, "not a currency"},
		{"USD", us, "not an amount"},
		{strings.Repeat("9", 60) + " USD", us, "not an amount"},
		{strings.Repeat("9", 6000) + " USD", us, "not an amount"},
	} {
		got, err := units.ParseMoney(tt.typed, tt.l)
		if err == nil || !strings.Contains(err.Error(), tt.say) || fault.HintOf(err) == "" || fault.KindOf(err) == fault.Internal {
			t.Errorf("%.40q = %v, %v (hint %q); want %q", tt.typed, got, err, fault.HintOf(err), tt.say)
		}
	}
	for _, n := range []string{"", "1e3", "NaN", "Infinity", "1,5", "+5", "5.", ".5", "--5", " 5", "0x5"} {
		if m, err := units.NewMoney(n, "USD"); !fault.Is(err, fault.NotUnderstood) {
			t.Errorf("%q USD = %v, %v", n, m, err)
		}
	}
	if m, err := units.NewMoney("5", "XXQ"); !fault.Is(err, fault.NotUnderstood) {
		t.Errorf("5 XXQ = %v, %v", m, err)
	}
	if _, err := units.ParseMoneyIn("5", "XXQ", us); !fault.Is(err, fault.NotUnderstood) {
		t.Errorf("in XXQ: %v", err)
	}
}

func TestMoneyArithmetic(t *testing.T) {
	a, b := units.MustMoney("12.50 USD"), units.MustMoney("0.10 USD")
	sum, err := a.Plus(b)
	if err != nil || sum.String() != "12.60 USD" {
		t.Errorf("12.50 + 0.10 = %v, %v", sum, err)
	}
	less, err := b.Minus(a)
	if err != nil || less.String() != "-12.40 USD" {
		t.Errorf("0.10 - 12.50 = %v, %v", less, err)
	}
	if m, err := a.Minus(a); err != nil || m.String() != "0.00 USD" || m.IsZero() {
		t.Errorf("12.50 - 12.50 = %q, %v", m, err)
	}
	if m, err := units.MustMoney("0.00 USD").Times("-1"); err != nil || m.String() != "0.00 USD" {
		t.Errorf("0·-1 = %q, %v", m, err)
	}
	// Ten cents ten times are a dollar: no binary fractions anywhere.
	total := units.Money{}
	for range 10 {
		if total, err = total.Plus(b); err != nil {
			t.Fatal(err)
		}
	}
	if !total.Equal(units.MustMoney("1 USD")) || total.String() != "1.00 USD" {
		t.Errorf("ten dimes are %v", total)
	}
	for n, want := range map[string]string{"2.5": "31.250 USD", "1e-3": "0.01250 USD", "0.000001": "0.00001250 USD", "-1": "-12.50 USD", "1e6": "12500000.00 USD"} {
		if m, err := a.Times(n); err != nil || m.String() != want {
			t.Errorf("12.50·%s = %q, %v; want %q", n, m, err, want)
		}
	}
	if m, err := a.Times("1e-300"); err != nil || !strings.HasPrefix(m.String(), "0.0000") {
		t.Errorf("12.50·1e-300 = %q, %v", m, err)
	}
	if m, err := a.Times("1e300"); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("12.50·1e300 = %q, %v", m, err)
	}
	for _, n := range []string{"", "x", "NaN", "Inf", "1e999"} {
		if m, err := a.Times(n); !fault.Is(err, fault.NotUnderstood) {
			t.Errorf("12.50·%q = %v, %v", n, m, err)
		}
	}
	if c, err := a.Cmp(b); c != 1 || err != nil {
		t.Errorf("12.50 and 0.10: %d, %v", c, err)
	}
	if c, err := units.MustMoney("12.5 USD").Cmp(a); c != 0 || err != nil {
		t.Errorf("12.5 and 12.50: %d, %v", c, err)
	}
	for _, o := range []units.Money{units.MustMoney("1 EUR"), {}} {
		if _, err := a.Cmp(o); !fault.Is(err, fault.Conflict) {
			t.Errorf("USD and %q compared: %v", o, err)
		}
	}
	if _, err := a.Plus(units.MustMoney("1 EUR")); !fault.Is(err, fault.Conflict) {
		t.Errorf("USD and EUR added: %v", err)
	}
	if n, err := units.MustMoney("12.505 USD").Minor(); n != 1251 || err != nil {
		t.Errorf("12.505 USD are %d cents, %v", n, err)
	}
	if n, err := units.MustMoney("500 JPY").Minor(); n != 500 || err != nil {
		t.Errorf("500 JPY are %d, %v", n, err)
	}
	if _, err := units.MustMoney("1" + strings.Repeat("0", 30) + " USD").Minor(); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("too much money: %v", err)
	}
}

func anyMoney() *rapid.Generator[units.Money] {
	return rapid.Custom(func(t *rapid.T) units.Money {
		n := rapid.StringMatching(`-?[0-9]{1,9}(\.[0-9]{1,4})?`).Draw(t, "n")
		m, err := units.NewMoney(n, rapid.SampledFrom([]string{"USD", "EUR", "GBP", "JPY", "CAD", "KWD"}).Draw(t, "code"))
		if err != nil {
			t.Fatal(err)
		}
		return m
	})
}

func TestMoneyTextIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMoney().Draw(t, "m")
		if rapid.Bool().Draw(t, "times") {
			x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
			var err error
			if m, err = m.Times(strconv.FormatFloat(x, 'g', -1, 64)); err != nil {
				t.Fatal(err)
			}
		}
		var back units.Money
		b, err := m.MarshalText()
		if err == nil {
			err = back.UnmarshalText(b)
		}
		if err != nil || back.String() != m.String() || !back.Equal(m) {
			t.Fatalf("%q reads back as %q, %v", m, back, err)
		}
		typed, err := units.ParseMoney(m.String(), us)
		if err != nil || !typed.Equal(m) {
			t.Fatalf("%q typed is %q, %v", m, typed, err)
		}
	})
	m := units.MustMoney("5 USD")
	if err := m.UnmarshalText(nil); err != nil || !m.IsZero() || m.String() != "" {
		t.Errorf("no text is %q, %v", m, err)
	}
	for _, s := range []string{"5", "USD", "5USD", "$5", "5 USD ", "5,00 USD", "5 usd"} {
		if err := m.UnmarshalText([]byte(s)); err == nil {
			t.Errorf("%q was read as %q", s, m)
		}
	}
}

// What Style prints reads back in its locale, to the cent.
func TestPrintedMoneyReadsBack(t *testing.T) {
	styles := []units.Style{american, german, spanish, tejano, british, {Decimal: ','}, {System: units.Metric}, {System: units.UK, Lang: "es"}}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(styles).Draw(t, "style")
		n := rapid.StringMatching(`-?(0|[1-9][0-9]{0,7})\.[0-9]{2}`).Draw(t, "n")
		m, err := units.NewMoney(n, rapid.SampledFrom([]string{"USD", "EUR", "GBP", "CAD"}).Draw(t, "code"))
		if err != nil {
			t.Fatal(err)
		}
		back, err := units.ParseMoneyIn(s.Money(m), m.Currency(), s.Locale())
		if err != nil || !back.Equal(m) {
			t.Fatalf("%+v: %q printed %q reads %q, %v", s, m, s.Money(m), back, err)
		}
	})
}

func TestSplitByHand(t *testing.T) {
	tests := []struct {
		m       string
		weights []float64
		want    string
	}{
		{"100.00 USD", []float64{1, 1, 1}, "33.34 33.33 33.33"},
		{"0.05 USD", []float64{3, 7}, "0.01 0.04"}, // 1.5 and 3.5 cents: the cent over goes to the greater weight
		{"10.00 USD", []float64{0, 5, 0}, "0.00 10.00 0.00"},
		{"-100.00 USD", []float64{1, 1, 1}, "-33.34 -33.33 -33.33"},
		{"1000 JPY", []float64{1, 2}, "333 667"},
		{"0.01 USD", []float64{1, 1, 1, 1}, "0.01 0.00 0.00 0.00"},
		{"1.005 USD", []float64{1, 1}, "0.503 0.502"},
		{"12.5 USD", []float64{1, 1}, "6.25 6.25"},
	}
	for _, tt := range tests {
		shares, err := units.MustMoney(tt.m).Split(tt.weights)
		if err != nil {
			t.Errorf("%s: %v", tt.m, err)
			continue
		}
		var got []string
		for _, s := range shares {
			got = append(got, strings.Fields(s.String())[0])
		}
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s by %v: %v, want %s", tt.m, tt.weights, got, tt.want)
		}
	}
	m := units.MustMoney("1 USD")
	for _, w := range [][]float64{{}, {0, 0}, {-1, 2}, {math.NaN()}, {math.Inf(1), 1}} {
		if got, err := m.Split(w); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("by %v: %v, %v", w, got, err)
		}
	}
	if got, err := (units.Money{}).Split([]float64{1, 2}); err != nil || len(got) != 2 || !got[0].IsZero() {
		t.Errorf("an amount not told: %v, %v", got, err)
	}
}

// The shares add up to the whole in any order of adding, each is within a cent
// of its exact part, and the order of the weights changes no one's share but
// between equals.
func TestSplitProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.StringMatching(`-?[0-9]{1,7}\.[0-9]{2}`).Draw(t, "n")
		m, err := units.NewMoney(n, "USD")
		if err != nil {
			t.Fatal(err)
		}
		weights := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(0, 1000), rapid.Map(rapid.IntRange(0, 5), func(i int) float64 { return float64(i) })), 1, 12).Draw(t, "weights")
		weights[0] += 0.5
		shares, err := m.Split(weights)
		if err != nil {
			t.Fatal(err)
		}
		order := rapid.Permutation(indices(len(weights))).Draw(t, "order")
		sum := units.Money{}
		shuffled := make([]float64, len(weights))
		for i, j := range order {
			if sum, err = sum.Plus(shares[j]); err != nil {
				t.Fatal(err)
			}
			shuffled[i] = weights[j]
		}
		if !sum.Equal(m) {
			t.Fatalf("%v by %v: shares add up to %v", m, weights, sum)
		}
		again, err := m.Split(shuffled)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(byWeight(t, weights, shares), byWeight(t, shuffled, again)) {
			t.Fatalf("%v by %v: %v, but by %v: %v", m, weights, shares, shuffled, again)
		}
		var all float64
		for _, w := range weights {
			all += w
		}
		whole := minor(t, m)
		for i, s := range shares {
			if math.Abs(minor(t, s)-whole*weights[i]/all) > 1.000001 {
				t.Fatalf("%v by %v: share %d is %v", m, weights, i, s)
			}
		}
	})
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func minor(t *rapid.T, m units.Money) float64 {
	n, err := m.Minor()
	if err != nil {
		t.Fatal(err)
	}
	return float64(n)
}

// byWeight lists weight and share, sorted: who got what, whatever the order.
func byWeight(t *rapid.T, weights []float64, shares []units.Money) [][2]float64 {
	out := make([][2]float64, len(weights))
	for i := range out {
		out[i] = [2]float64{weights[i], minor(t, shares[i])}
	}
	slices.SortFunc(out, func(a, b [2]float64) int { return slices.Compare(a[:], b[:]) })
	return out
}
