package supplement

import (
	"fmt"
	"strconv"
	"strings"

	"larder/internal/fault"
)

// Caution is something to be read before the step is done. It has the shape of
// the warnings of package syrup.
type Caution struct {
	Code string // stable, lower case: "label-law", "supers-off" …
	Say  string // one sentence; "{0}" stands for the first of Amounts
	// Amounts are typed quantities, so that a screen can say them in the
	// keeper's units.
	Amounts []any
}

// String gives the sentence with exact amounts.
func (c Caution) String() string {
	s := c.Say
	for i, a := range c.Amounts {
		s = strings.ReplaceAll(s, "{"+strconv.Itoa(i)+"}", fmt.Sprint(a))
	}
	return s
}

func caution(code, say string, amounts ...any) Caution {
	return Caution{Code: code, Say: say, Amounts: amounts}
}

// trouble makes an error about a product.
func trouble(k fault.Kind, product, op, format string, args ...any) *fault.Error {
	e := fault.Newf(k, product, format, args...)
	e.Op = op
	return e
}
