package units

import (
	"math"
	"strconv"
	"strings"

	"github.com/bojanz/currency"
	"larder/internal/fault"
)

// Money is an exact decimal amount in a currency. The zero Money is "no amount
// told" and prints as "".
type Money struct{ a currency.Amount }

// longestMoney is more digits than any price or bill has, and fewer than the
// 39 that package currency calculates with.
const longestMoney = 36

// NewMoney makes 12.50 USD from "12.50", "USD". The number is plain decimals,
// without grouping or exponent.
func NewMoney(n, code string) (Money, error) {
	bad := fault.Newf(fault.NotUnderstood, "", "%s is not an amount of money", quoted(n+" "+code)).
		WithHint("write the number and the currency, for example 18.40 USD")
	if !plainDecimal(n) {
		return Money{}, bad
	}
	a, err := currency.NewAmount(n, code)
	if err != nil {
		return Money{}, bad
	}
	return Money{a}, nil
}

// plainDecimal tells whether s is digits with at most one point between them.
func plainDecimal(s string) bool {
	s = strings.TrimPrefix(s, "-")
	w, f, point := strings.Cut(s, ".")
	return len(s) <= longestMoney && w != "" && strings.Trim(w, digits) == "" &&
		strings.Trim(f, digits) == "" && point == (f != "")
}

// IsZero tells whether no amount was told.
func (m Money) IsZero() bool { return m.a.CurrencyCode() == "" }

// Currency gives the ISO 4217 code, "" if no amount was told.
func (m Money) Currency() string { return m.a.CurrencyCode() }

// String gives the exact amount, "12.50 USD".
func (m Money) String() string {
	if m.IsZero() {
		return ""
	}
	return m.number() + " " + m.a.CurrencyCode()
}

// number gives the exact decimal number, never with an exponent, never "-0".
func (m Money) number() string {
	n := m.a.Number()
	if strings.ContainsRune(n, 'E') {
		n = string(movePoint(nil, strings.ToLower(n), 0))
	}
	if m.a.IsZero() {
		n = strings.TrimPrefix(n, "-")
	}
	return n
}

// Minor gives the amount in minor units (cents), rounded half up to a whole.
func (m Money) Minor() (int64, error) {
	if m.IsZero() {
		return 0, nil
	}
	r, err := m.a.Round().Int64()
	if err != nil {
		return 0, fault.Newf(fault.OutOfRange, "", "%s is too much money to count", m)
	}
	return r, nil
}

// Plus adds two amounts; different currencies are refused. No amount is
// neutral.
func (m Money) Plus(o Money) (Money, error) {
	if m.IsZero() {
		return o, nil
	}
	if o.IsZero() {
		return m, nil
	}
	a, err := m.a.Add(o.a)
	if err != nil {
		return Money{}, fault.Newf(fault.Conflict, "", "%s and %s cannot be added", m, o).
			WithHint("keep one currency in a season")
	}
	return kept(a)
}

// kept keeps a result that can be written and read back, rounded to 18
// decimals if it has very many.
func kept(a currency.Amount) (Money, error) {
	m := Money{a}
	if plainDecimal(m.number()) {
		return m, nil
	}
	if m = (Money{a.RoundTo(18, currency.RoundHalfUp)}); plainDecimal(m.number()) {
		return m, nil
	}
	return Money{}, fault.New(fault.OutOfRange, "", "this is too much money to count")
}

// Minus takes an amount off; different currencies are refused. No amount is
// neutral.
func (m Money) Minus(o Money) (Money, error) {
	n, err := o.Times("-1")
	if err != nil {
		return Money{}, err
	}
	return m.Plus(n)
}

// Cmp gives -1, 0 or +1 as m is less than, equal to or more than o. Amounts in
// different currencies, or of which one was not told, are refused.
func (m Money) Cmp(o Money) (int, error) {
	if m.IsZero() && o.IsZero() {
		return 0, nil
	}
	c, err := m.a.Cmp(o.a)
	if err != nil {
		return 0, fault.Newf(fault.Conflict, "", "%s and %s cannot be compared", told(m), told(o)).
			WithHint("keep one currency in a season")
	}
	return c, nil
}

// Equal tells whether m and o are the same amount in the same currency; 12.5
// and 12.50 are.
func (m Money) Equal(o Money) bool { return m.a.Equal(o.a) }

func told(m Money) string {
	if m.IsZero() {
		return "an amount that was not told"
	}
	return m.String()
}

// Times multiplies by an exact decimal number written as text, "2.5"; the
// e-form of strconv is taken too. The result is exact, or rounded to 18
// decimals if it has very many.
func (m Money) Times(n string) (Money, error) {
	x, err := strconv.ParseFloat(n, 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return Money{}, fault.Newf(fault.NotUnderstood, "", "%s is not a number", quoted(n))
	}
	if !plainDecimal(n) {
		n = exactDigits(x)
	}
	if m.IsZero() {
		return m, nil
	}
	a, err := m.a.Mul(n)
	if err != nil {
		return Money{}, fault.Newf(fault.NotUnderstood, "", "%s is not a number", quoted(n))
	}
	return kept(a)
}

// MarshalText gives String.
func (m Money) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what String writes; an empty text is no amount.
func (m *Money) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*m = Money{}
		return nil
	}
	n, code, _ := strings.Cut(string(b), " ")
	v, err := NewMoney(n, code)
	if err == nil {
		*m = v
	}
	return err
}

// Cents rounds to the smallest coin of the currency, half up.
func (m Money) Cents() (Money, error) {
	if m.IsZero() {
		return m, nil
	}
	return kept(m.a.Round())
}
