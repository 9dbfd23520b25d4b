package supplement

import (
	"math"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// Amount is an amount of the product: a weight or a volume, as the label has
// it; one of the two. The zero Amount is "not told".
type Amount struct {
	Mass   units.Entered[units.Mass]   `json:"mass,omitzero"`
	Volume units.Entered[units.Volume] `json:"volume,omitzero"`
}

// ByMass makes an amount of so much weight.
func ByMass(m units.Mass) Amount { return Amount{Mass: units.In(m)} }

// ByVolume makes an amount of so much volume.
func ByVolume(v units.Volume) Amount { return Amount{Volume: units.In(v)} }

// IsZero tells whether no amount was told.
func (a Amount) IsZero() bool { return a.Mass.IsZero() && a.Volume.IsZero() }

// Weighed tells whether it is a weight.
func (a Amount) Weighed() bool { return !a.Mass.IsZero() }

// q is the bare number: kg or L.
func (a Amount) q() float64 {
	if a.Weighed() {
		return float64(a.Mass.Q)
	}
	return float64(a.Volume.Q)
}

// with gives an amount of the same kind with another number.
func (a Amount) with(x float64) Amount {
	if a.Weighed() {
		return Amount{Mass: units.In(units.Mass(x))}
	}
	return Amount{Volume: units.In(units.Volume(x))}
}

// same tells whether two amounts are of one kind.
func (a Amount) same(b Amount) bool { return a.Weighed() == b.Weighed() }

// Say gives the amount as the value a sentence is filled with.
func (a Amount) Say() any {
	if a.Weighed() {
		return a.Mass
	}
	return a.Volume
}

// String gives it as it was entered, or exactly.
func (a Amount) String() string {
	if a.Weighed() {
		return a.Mass.String()
	}
	return a.Volume.String()
}

func (a Amount) check() bool {
	x := a.q()
	return a.Mass.IsZero() != a.Volume.IsZero() && x > 0 && !math.IsInf(x, 0)
}

// printed gives the last digit the label prints: 0.1 g for "2.5 g". 0 where it
// cannot be told, as for fractions and for what has no words.
func (a Amount) printed() float64 {
	as := a.Mass.As
	if !a.Weighed() {
		as = a.Volume.As
	}
	n, rest, _ := strings.Cut(as, " ")
	// "1/2 oz", "2 1/2 oz" and "1 lb 2 oz" have no last digit to go by.
	if n == "" || strings.ContainsAny(as, "/") || strings.Contains(strings.TrimLeft(rest, " "), " ") && strings.ContainsAny(rest, "0123456789") {
		return 0
	}
	x, err := strconv.ParseFloat(n, 64)
	if err != nil || x <= 0 {
		return 0
	}
	decimals := 0
	if i := strings.IndexByte(n, '.'); i >= 0 {
		decimals = len(n) - i - 1
	}
	return a.q() / x * math.Pow10(-decimals)
}

// ParseAmount reads an amount of product: "5 g", "1/2 oz", "10 mL", "1 fl oz".
// A spoon or a scoop is not an amount: see [Spoon].
func ParseAmount(s string, l units.Locale) (Amount, error) {
	if err := spoonful(s); err != nil {
		return Amount{}, err
	}
	m, massErr := units.Enter[units.Mass](s, l)
	if massErr == nil {
		return positive(Amount{Mass: m}, s)
	}
	v, err := units.Enter[units.Volume](s, l)
	if err == nil {
		return positive(Amount{Volume: v}, s)
	}
	if fault.Is(err, fault.NotUnderstood) && !fault.Is(massErr, fault.NotUnderstood) {
		err = massErr
	}
	if e, ok := err.(*fault.Error); ok && fault.Is(err, fault.NotUnderstood) {
		c := *e
		return Amount{}, c.WithHint("write a weight or a volume, for example 5 g or 10 mL")
	}
	return Amount{}, err
}

func positive(a Amount, s string) (Amount, error) {
	if !a.check() {
		return Amount{}, trouble(fault.OutOfRange, "", "supplement.ParseAmount", "%q is no amount of product", s).WithHint("more than nothing, for example 5 g or 10 mL")
	}
	return a, nil
}

// spoonful refuses spoons and scoops with the reason.
func spoonful(s string) error {
	t := strings.ToLower(s)
	for _, w := range []string{"spoon", "tbsp", "tsp", "tbs", "scoop"} {
		if strings.Contains(t, w) {
			return trouble(fault.NotUnderstood, "", "supplement.ParseAmount", "a spoon is a volume, and not the same one everywhere").
				WithHint("write how many mL or grams the label means by it; a level tablespoon is about 15 mL, a teaspoon 5 mL (common practice, no source)")
		}
	}
	return nil
}

// Rule is a dose as a label has it: so much product for so much syrup, or for
// one colony. The zero Rule is "not told".
type Rule struct {
	Product Amount                      `json:"product,omitzero"`
	Syrup   units.Entered[units.Volume] `json:"syrup,omitzero"` // empty for a dose by colony
}

// ByColony tells whether the rule counts colonies.
func (r Rule) ByColony() bool { return r.Syrup.IsZero() }

// IsZero tells whether nothing was told.
func (r Rule) IsZero() bool { return r.Product.IsZero() && r.Syrup.IsZero() }

// String writes the rule so that [ParseRule] reads it back.
func (r Rule) String() string {
	if r.ByColony() {
		return r.Product.String() + " per colony"
	}
	return r.Product.String() + " per " + r.Syrup.String()
}

// ParseRule reads a dose: "5 g per 10 L", "2 mL/L", "1 oz per gal", "4 g per
// colony".
func ParseRule(s string, l units.Locale) (Rule, error) {
	bad := trouble(fault.NotUnderstood, "", "supplement.ParseRule", "%s is not a dose", short(s)).WithHint("write it as 5 g per 10 L, or 5 g per colony")
	t := strings.TrimSpace(s)
	at, size := strings.LastIndex(t, " per "), len(" per ")
	if at < 0 {
		at = strings.LastIndex(t, " por ") // the same in Spanish
	}
	if at < 0 {
		// The last stroke; a stroke between two digits is a fraction.
		at, size = strings.LastIndexByte(t, '/'), 1
		if at > 0 && at+1 < len(t) && digit(t[at-1]) && digit(t[at+1]) {
			return Rule{}, bad
		}
	}
	if at <= 0 || len(s) > 200 {
		if err := spoonful(t); err != nil {
			return Rule{}, err
		}
		return Rule{}, bad
	}
	var r Rule
	var err error
	if r.Product, err = ParseAmount(t[:at], l); err != nil {
		return Rule{}, err
	}
	per := strings.TrimSpace(t[at+size:])
	switch strings.ToLower(per) {
	case "":
		return Rule{}, bad
	case "colony", "hive", "1 colony", "1 hive", "colonia", "colmena", "1 colonia", "1 colmena":
		return r, nil
	}
	if !strings.ContainsAny(per[:1], "0123456789.,") {
		per = "1 " + per
	}
	if r.Syrup, err = units.Enter[units.Volume](per, l); err != nil {
		return Rule{}, err
	}
	if r.Syrup.Q <= 0 {
		return Rule{}, bad
	}
	return r, nil
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

func short(s string) string {
	if len(s) > 40 {
		s = strings.ToValidUTF8(s[:40], "") + "…"
	}
	return strconv.Quote(s)
}
