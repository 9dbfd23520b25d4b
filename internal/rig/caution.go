package rig

import (
	"fmt"
	"strconv"
	"strings"
)

// Caution is something that must be read at the place where the hand is. It
// has the shape of the warnings of package syrup.
type Caution struct {
	Code string // stable, lower case: "hot-syrup", "switch-cycling" …
	Say  string // one short sentence; "{0}" stands for the first of Amounts
	// Amounts are typed quantities, so that a screen can say them in the
	// keeper's units; plain numbers are percentages or counts.
	Amounts []any
}

// String gives the sentence with exact amounts in the inside units.
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
