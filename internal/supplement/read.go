package supplement

import (
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// Keys of the lines of a label, as forms and folders name them, in the order of
// the label.
const (
	LineProduct    = "product"
	LineForm       = "form"
	LinePerSyrup   = "per_syrup"
	LinePerColony  = "per_colony"
	LineSeasonMost = "season_most"
	LineTimes      = "season_times"
	LineStrongest  = "strongest"
	LineWarmest    = "warmest"
	LineCarrier    = "carrier"
	LineOrder      = "order"
	LineKept       = "kept_where"
	LineOpened     = "opened_days"
	LineMixed      = "mixed_days"
	LineMedicine   = "medicine"
	LineAuthority  = "authority"
	LineWithdrawal = "withdrawal_days"
)

// Lines lists the keys.
func Lines() []string {
	return []string{LineProduct, LineForm, LinePerSyrup, LinePerColony, LineSeasonMost, LineTimes, LineStrongest, LineWarmest, LineCarrier,
		LineOrder, LineKept, LineOpened, LineMixed, LineMedicine, LineAuthority, LineWithdrawal}
}

// Typed is a label as it stands in the boxes of a form: by key, what was typed.
// Silent names the lines that were looked for and are not on the label.
type Typed struct {
	Text   map[string]string
	Silent map[string]bool
}

// Typed writes the label into boxes, so that [Typed.Read] gives it back.
func (l Label) Typed(s units.Style) Typed {
	t := Typed{Text: map[string]string{LineProduct: l.Product, LineForm: string(l.Form), LineMedicine: string(l.Medicine), LineAuthority: l.Authority}, Silent: map[string]bool{}}
	rule := func(key string, r Rule) {
		if !r.IsZero() {
			t.Text[key] = r.String()
		}
	}
	rule(LinePerSyrup, l.PerSyrup)
	rule(LinePerColony, l.PerColony)
	put(t, LineSeasonMost, l.SeasonMost, Amount.String)
	put(t, LineTimes, l.SeasonTimes, strconv.Itoa)
	put(t, LineStrongest, l.Strongest, func(x units.Strength) string {
		if y, err := units.ParseStrengthIn(s.Strength(x), "%", s.Locale()); err == nil && y == x {
			return s.Strength(x)
		}
		return x.String() // rounding a label is changing it
	})
	put(t, LineWarmest, l.Warmest, func(x units.Temp) string {
		if y, err := units.ParseTemp(s.Temp(x), s.Locale()); err == nil && y == x {
			return s.Temp(x)
		}
		return x.String()
	})
	put(t, LineCarrier, l.Carrier, Carrier.String)
	put(t, LineOrder, l.Order, func(o []string) string { return strings.Join(o, "\n") })
	put(t, LineKept, l.KeptWhere, func(s string) string { return s })
	days := func(d Days) string { return strconv.Itoa(int(d)) }
	put(t, LineOpened, l.OpenedDays, days)
	put(t, LineMixed, l.MixedDays, days)
	put(t, LineWithdrawal, l.Withdrawal, days)
	return t
}

func put[T any](t Typed, key string, v Term[T], write func(T) string) {
	switch v.Said {
	case Says:
		t.Text[key] = write(v.Is)
	case Silent:
		t.Silent[key] = true
	}
}

// Bad is a line that could not be read.
type Bad struct {
	Line string
	Err  error
}

// Read makes a label of what was typed. Empty boxes are lines not copied yet;
// they are no trouble here: [Label.Check] tells of them. A line cannot be both
// typed and silent. deg is the unit of a bare temperature, "C" or "F".
func (t Typed) Read(deg string, l units.Locale) (Label, []Bad) {
	r := lineReader{t: t, l: l}
	out := Label{Product: t.text(LineProduct), Form: Form(t.text(LineForm)), Medicine: YesNo(t.text(LineMedicine)), Authority: t.text(LineAuthority)}
	out.PerSyrup = r.rule(LinePerSyrup, false)
	out.PerColony = r.rule(LinePerColony, true)
	out.SeasonMost = take(&r, LineSeasonMost, func(s string) (Amount, error) { return ParseAmount(s, l) })
	out.SeasonTimes = take(&r, LineTimes, ParseTimes)
	out.Strongest = take(&r, LineStrongest, func(s string) (units.Strength, error) { return units.ParseStrengthIn(s, "%", l) })
	out.Warmest = take(&r, LineWarmest, func(s string) (units.Temp, error) { return units.ParseTempIn(s, deg, l) })
	out.Carrier = take(&r, LineCarrier, func(s string) (Carrier, error) { return ParseCarrier(s, l) })
	out.Order = take(&r, LineOrder, func(s string) ([]string, error) { return ParseOrder(s), nil })
	out.KeptWhere = take(&r, LineKept, func(s string) (string, error) { return s, nil })
	out.OpenedDays = take(&r, LineOpened, ParseDays)
	out.MixedDays = take(&r, LineMixed, ParseDays)
	out.Withdrawal = take(&r, LineWithdrawal, ParseDays)
	return out, r.bad
}

func (t Typed) text(key string) string { return strings.TrimSpace(t.Text[key]) }

type lineReader struct {
	t   Typed
	l   units.Locale
	bad []Bad
}

func (r *lineReader) trouble(key string, err error) { r.bad = append(r.bad, Bad{key, err}) }

func (r *lineReader) rule(key string, colony bool) Rule {
	s := r.t.text(key)
	if s == "" {
		return Rule{}
	}
	rule, err := ParseRule(s, r.l)
	if err != nil && colony { // the box says what it is for: "5 g" is enough
		if a, e := ParseAmount(s, r.l); e == nil {
			return Rule{Product: a}
		}
	}
	switch {
	case err != nil:
		r.trouble(key, err)
		return Rule{}
	case colony != rule.ByColony():
		e := trouble(fault.NotUnderstood, "", "supplement.Typed", "%s is not a dose for %s", short(s), map[bool]string{true: "one colony", false: "syrup"}[colony])
		r.trouble(key, e.WithHint("write it as 5 g per 10 L, or 5 g per colony"))
		return Rule{}
	}
	return rule
}

func take[T any](r *lineReader, key string, read func(string) (T, error)) Term[T] {
	s := r.t.text(key)
	switch {
	case s == "" && r.t.Silent[key]:
		return Nothing[T]()
	case s == "":
		return Term[T]{}
	case r.t.Silent[key]:
		r.trouble(key, trouble(fault.Conflict, "", "supplement.Typed", "something is typed here, and it is also said that the label says nothing").WithHint("do one of the two"))
		return Term[T]{}
	}
	v, err := read(s)
	if err != nil {
		r.trouble(key, err)
		return Term[T]{}
	}
	return Saying(v)
}

// ParseDays reads a number of days: "90", "90 days".
func ParseDays(s string) (Days, error) {
	n, err := countOf(s, "days", "day", "d", "días", "día")
	if err != nil || n > 100_000 {
		return 0, trouble(fault.NotUnderstood, "", "supplement.ParseDays", "%s is not a number of days", short(s)).WithHint("a whole number, for example 90")
	}
	return Days(n), nil
}

// ParseTimes reads how often: "3", "3 times".
func ParseTimes(s string) (int, error) {
	n, err := countOf(s, "times", "time", "x", "×", "veces", "vez")
	if err != nil || n < 1 || n > 1000 {
		return 0, trouble(fault.NotUnderstood, "", "supplement.ParseTimes", "%s is not a number of times", short(s)).WithHint("a whole number from 1 up")
	}
	return n, nil
}

func countOf(s string, words ...string) (int, error) {
	s = strings.ToLower(strings.TrimSpace(s))
	for _, w := range words {
		if n, ok := strings.CutSuffix(s, w); ok {
			s = strings.TrimSpace(n)
			break
		}
	}
	n, err := strconv.ParseUint(s, 10, 31)
	return int(n), err
}

// String writes the carrier so that [ParseCarrier] reads it back.
func (c Carrier) String() string { return c.Water.String() + " per " + c.Product.String() }

// ParseCarrier reads the water to dissolve a product in: "50 mL per 10 g",
// "50 mL water for 10 g".
func ParseCarrier(s string, l units.Locale) (Carrier, error) {
	bad := trouble(fault.NotUnderstood, "", "supplement.ParseCarrier", "%s is not so much water for so much product", short(s)).WithHint("write it as 50 mL per 10 g")
	if len(s) > 200 {
		return Carrier{}, bad
	}
	for _, word := range []string{" per ", " for ", " por ", " para ", "/"} {
		at := strings.LastIndex(s, word)
		if at <= 0 {
			continue
		}
		water := strings.TrimSpace(s[:at])
		for _, w := range []string{" of water", " water", " de agua", " agua"} {
			water = strings.TrimSuffix(water, w)
		}
		v, err := units.Enter[units.Volume](water, l)
		if err != nil {
			return Carrier{}, bad
		}
		a, err := ParseAmount(s[at+len(word):], l)
		if err != nil {
			return Carrier{}, err
		}
		if !(v.Q > 0) {
			return Carrier{}, bad
		}
		return Carrier{Water: v, Product: a}, nil
	}
	return Carrier{}, bad
}

// ParseOrder reads the steps of mixing: one to a line, or with ; between them.
func ParseOrder(s string) []string {
	var out []string
	for x := range strings.FieldsFuncSeq(s, func(r rune) bool { return r == ';' || r == '\n' || r == '\r' }) {
		if x = strings.TrimSpace(x); x != "" {
			out = append(out, x)
		}
	}
	return out
}
