package syrup

import (
	"fmt"
	"strconv"
	"strings"
)

// Warning is something the keeper should know about a result, in a code that a
// test can hold on to and a sentence for people. It has the same shape as the
// reasons of the feeding plan, so that one may be turned into the other.
type Warning struct {
	Code string // stable, lower case: "crystals-cold", "last-grains" …
	Say  string // one sentence; "{0}" stands for the first of Amounts
	// Amounts are typed quantities (units.Temp, units.Strength …), so that a
	// screen can say them in the keeper's units.
	Amounts []any
}

// String gives the sentence with exact amounts in the inside units.
func (w Warning) String() string {
	s := w.Say
	for i, a := range w.Amounts {
		s = strings.ReplaceAll(s, "{"+strconv.Itoa(i)+"}", fmt.Sprint(a))
	}
	return s
}

func warn(code, say string, amounts ...any) Warning {
	return Warning{Code: code, Say: say, Amounts: amounts}
}
