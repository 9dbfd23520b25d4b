package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// enteredWords lets Amount see into any Entered.
func (e Entered[Q]) enteredWords() (as string, q any) { return e.As, e.Q }

// Amount writes any of our quantities, days, money, whole numbers, numbers and
// texts as the matching method of s does. What was entered stays as entered:
// "48 lb" is "48 lb" in every system.
func (s Style) Amount(v any) string {
	switch x := v.(type) {
	case nil:
		return notKnown
	case string:
		return x
	case int:
		return s.localised(strconv.Itoa(x))
	case int64:
		return s.localised(strconv.FormatInt(x, 10))
	case float64:
		return s.trim(x, 2)
	case interface{ enteredWords() (string, any) }:
		as, q := x.enteredWords()
		if as == "" {
			return s.Amount(q)
		}
		return strings.ReplaceAll(as, ".", string(s.mark()))
	}
	if t, ok := s.quantity(v); ok {
		return t
	}
	return s.other(v)
}

// TempStep is a difference of temperatures in a sentence: 5 °C are 9 °F. It is
// written to a tenth, for corrections that are worked out and not measured.
type TempStep Temp

// quantity writes the types of units.go.
func (s Style) quantity(v any) (string, bool) {
	switch x := v.(type) {
	case Mass:
		return s.anyMass(x), true
	case Volume:
		return s.Volume(x), true
	case Temp:
		return s.Temp(x), true
	case TempStep:
		u := s.tempUnit()
		return s.trim(float64(x)/u.size(), 1) + " " + shown(u), true
	case Strength:
		return s.StrengthFull(x), true
	case Length:
		if math.Abs(float64(x)) >= 1000 {
			return s.Road(x), true
		}
		return s.Length(x), true
	case Duration:
		return s.Duration(x), true
	case Pressure:
		return s.Pressure(x), true
	case Power:
		return s.Power(x), true
	case Energy:
		return s.Energy(x), true
	case Voltage:
		return s.Voltage(x), true
	case Current:
		return s.Current(x), true
	case Density:
		return s.Density(x), true
	case Viscosity:
		return s.Viscosity(x), true
	case Area:
		return s.Area(x), true
	case Flow:
		return s.Flow(x), true
	}
	return "", false
}

func (s Style) other(v any) string {
	switch x := v.(type) {
	case Day:
		return s.Day(x)
	case Moment:
		return s.Moment(x)
	case Money:
		return s.Money(x)
	case Ratio:
		return s.RatioText(x)
	case Basis:
		return s.words().basis[x&1]
	case time.Month:
		return s.Month(x)
	case time.Weekday:
		return s.Weekday(x)
	}
	return fmt.Sprint(v)
}

// anyMass is Mass, but what is less than two steps of it is weighed on a
// smaller scale: "350 g" is not "0.5 kg", and 12 g are not nothing.
func (s Style) anyMass(m Mass) string {
	if a := s.massUnit().show(math.Abs(float64(m))); a > 0 && a < 2*s.massStep() {
		return s.MassSmall(m)
	}
	return s.Mass(m)
}

// Say puts amounts into a sentence: "{0}" stands for the first, "{1}" for the
// second. What stands in braces but is no number of an amount stays as it is,
// so a sentence with too few amounts shows what is missing.
func (s Style) Say(sentence string, amounts []any) string {
	var b strings.Builder
	for {
		open := strings.IndexByte(sentence, '{')
		if open < 0 {
			break
		}
		b.WriteString(sentence[:open])
		sentence = sentence[open:]
		end := strings.IndexByte(sentence, '}')
		if end < 0 {
			break
		}
		n, err := strconv.ParseUint(sentence[1:end], 10, 8)
		if err != nil || int(n) >= len(amounts) {
			b.WriteByte('{')
			sentence = sentence[1:]
			continue
		}
		b.WriteString(s.Amount(amounts[n]))
		sentence = sentence[end+1:]
	}
	b.WriteString(sentence)
	return b.String()
}
