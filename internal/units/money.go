package units

import (
	"strings"

	"github.com/bojanz/currency"
	"larder/internal/fault"
)

// Money is an exact decimal amount in a currency. The zero Money is "no amount
// told" and prints as "".
type Money struct{ a currency.Amount }

// NewMoney makes 12.50 USD from "12.50", "USD".
func NewMoney(n, code string) (Money, error) {
	a, err := currency.NewAmount(n, code)
	if err != nil {
		return Money{}, fault.Newf(fault.NotUnderstood, "", "%q %s is not an amount of money", n, code).
			WithHint("write the number and the currency, for example 18.40 USD")
	}
	return Money{a}, nil
}

// IsZero tells whether no amount was told.
func (m Money) IsZero() bool { return m.a.CurrencyCode() == "" }

// Currency gives the ISO 4217 code, "" if no amount was told.
func (m Money) Currency() string { return m.a.CurrencyCode() }

// String gives "12.50 USD".
func (m Money) String() string {
	if m.IsZero() {
		return ""
	}
	return m.a.Number() + " " + m.a.CurrencyCode()
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
	return Money{a}, nil
}

// Times multiplies by an exact decimal number written as text, "2.5".
func (m Money) Times(n string) (Money, error) {
	if m.IsZero() {
		return m, nil
	}
	a, err := m.a.Mul(n)
	if err != nil {
		return Money{}, fault.Newf(fault.NotUnderstood, "", "%q is not a number", n)
	}
	return Money{a}, nil
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
