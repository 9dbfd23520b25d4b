package units

import (
	"strings"

	"github.com/bojanz/currency"
	"larder/internal/fault"
)

// moneyDim has no units: its currencies are looked up.
var moneyDim = newDimension(dimension{what: "an amount of money", eg: "18.40 USD"})

// symbols that mean one currency wherever they are written. A bare "$" does
// not: it is US dollars only for a person in the US system.
var symbols = map[string]string{
	"€": "EUR", "euro": "EUR", "euros": "EUR", "£": "GBP", "us$": "USD", "c$": "CAD", "ca$": "CAD",
	"a$": "AUD", "au$": "AUD", "nz$": "NZD", "zł": "PLN", "kč": "CZK", "₹": "INR", "₺": "TRY", "₴": "UAH",
	"us dollars": "USD", "us dollar": "USD",
}

// dollars are the currencies written with a "$".
const dollars = " USD CAD AUD NZD MXN SGD HKD TWD ARS CLP COP BRL "

// ParseMoney reads "18.40 USD", "USD 18.40", "€12,50", "£3". "$18.40" is USD in
// the US system only; elsewhere we ask which dollars. The amount is kept
// exactly, with at least the digits of the currency: "€3" is 3.00 EUR. It may
// be below zero, as what comes back from a dealer is.
func ParseMoney(s string, l Locale) (Money, error) { return parseMoney(s, "", l) }

// ParseMoneyIn is [ParseMoney], but a bare number is in the currency code.
func ParseMoneyIn(s, code string, l Locale) (Money, error) {
	if !currency.IsValid(code) {
		return Money{}, fault.Newf(fault.NotUnderstood, "", "%s is not a currency", quoted(code)).WithHint("write its three letters: USD, CAD, EUR, GBP")
	}
	return parseMoney(s, code, l)
}

// MustMoney is [ParseMoney] in the zero Locale; it panics.
func MustMoney(s string) Money { return must(ParseMoney(s, Locale{})) }

func parseMoney(s, code string, l Locale) (Money, error) {
	t := normalise(s)
	if t == "" {
		return Money{}, fault.Newf(fault.Missing, "", "an amount of money is missing").WithHint("write 18.40 USD")
	}
	bad := fault.Newf(fault.NotUnderstood, "", "%s is not an amount of money", quoted(s)).
		WithHint("write the number and the currency, for example 18.40 USD")
	from := strings.IndexAny(t, digits)
	if from < 0 || len(s) > longest {
		return Money{}, bad
	}
	if from > 0 && (t[from-1] == '.' || t[from-1] == ',') {
		from--
	}
	rd := reader{d: &moneyDim, l: l}
	to := from + rd.runLength(t[from:])
	n, err := rd.decimal(t[from:to])
	if err != nil {
		return Money{}, hinted(err, &moneyDim)
	}
	before, after := t[:from], t[to:]
	if strings.ContainsAny(after, digits) {
		return Money{}, bad
	}
	if i := strings.IndexByte(before, minus); i >= 0 {
		n, before = "-"+n, before[:i]+before[i+1:]
	}
	if code, err = currencyOf(clean(before), clean(after), code, l); err != nil {
		return Money{}, hinted(err, &moneyDim)
	}
	return NewMoney(padded(n, code), code)
}

func clean(s string) string { return strings.ToLower(strings.Trim(s, space)) }

// currencyOf finds the currency that the texts before and behind a number
// name. Both may name it, "$18.40 CAD", if they agree.
func currencyOf(before, after, code string, l Locale) (string, error) {
	a, err := currencyNamed(before)
	if err != nil {
		return "", err
	}
	b, err := currencyNamed(after)
	if err != nil {
		return "", err
	}
	switch {
	case a == "" && b == "":
		if code == "" {
			return "", fault.New(fault.NotUnderstood, "", "the currency is missing").WithHint("write for example 18.40 USD, €12.50 or £3")
		}
		return code, nil
	case a == "$" && len(b) == 3 && strings.Contains(dollars, " "+b+" "):
		return b, nil
	case a != "" && b != "" && a != b:
		return "", fault.Newf(fault.NotUnderstood, "", "two currencies are named: %s and %s", a, b)
	case a == "$" || b == "$":
		if strings.Contains(dollars, " "+code+" ") {
			return code, nil // the place it was written in says which dollars
		}
		if l.System == US && code == "" {
			return "USD", nil
		}
		return "", fault.New(fault.NotUnderstood, "", "which dollars are these?").WithHint("write USD, CAD, AUD or NZD")
	case a != "":
		return a, nil
	}
	return b, nil
}

// currencyNamed gives the code s names, "" for nothing and "$" for dollars of
// some country.
func currencyNamed(s string) (string, error) {
	switch s {
	case "":
		return "", nil
	case "$", "dollar", "dollars":
		return "$", nil
	}
	if c, ok := symbols[s]; ok {
		return c, nil
	}
	if c := strings.ToUpper(s); len(s) == 3 && currency.IsValid(c) {
		return c, nil
	}
	return "", fault.Newf(fault.NotUnderstood, "", "%s is not a currency we know", quoted(s)).
		WithHint("write its three letters: USD, CAD, EUR, GBP")
}

// padded gives n the decimals its currency has at least.
func padded(n, code string) string {
	d, _ := currency.GetDigits(code)
	w, f, _ := strings.Cut(n, ".")
	if d == 0 && f == "" {
		return w
	}
	for len(f) < int(d) {
		f += "0"
	}
	return w + "." + f
}
