package units

import (
	"encoding"
	"fmt"
	"strings"
)

// Entered is a quantity together with the words it was entered in, so that
// "48 lb" stays "48 lb" however often units are switched. As is the canonical
// spelling in the entered unit ("48 lb"), or "" for the inside unit.
type Entered[Q interface {
	comparable
	fmt.Stringer
}] struct {
	Q  Q
	As string
}

// In makes an Entered without words of its own.
func In[Q interface {
	comparable
	fmt.Stringer
}](q Q) Entered[Q] {
	return Entered[Q]{Q: q}
}

// String gives the entered words, or the exact inside value.
func (e Entered[Q]) String() string {
	if e.As != "" {
		return e.As
	}
	return e.Q.String()
}

// IsZero tells whether nothing was entered: value zero and no words. "0 lb" is
// not zero in this sense.
func (e Entered[Q]) IsZero() bool { var z Q; return e.As == "" && e.Q == z }

// MarshalText gives String, or nothing for an Entered that IsZero.
func (e Entered[Q]) MarshalText() ([]byte, error) {
	if e.IsZero() {
		return nil, nil
	}
	return []byte(e.String()), nil
}

// UnmarshalText reads the quantity and keeps its spelling.
func (e *Entered[Q]) UnmarshalText(b []byte) error {
	*e = Entered[Q]{}
	if len(b) == 0 {
		return nil
	}
	u, ok := any(&e.Q).(encoding.TextUnmarshaler)
	if !ok {
		panic(fmt.Sprintf("units: %T cannot be read from text", e.Q))
	}
	if err := u.UnmarshalText(b); err != nil {
		return err
	}
	s := string(b)
	if e.Q == *new(Q) || !insideUnit(&e.Q, s) || s != e.Q.String() {
		e.As = s
	}
	return nil
}

// insideUnit tells whether s can be what q's String writes. It saves the
// writing for nearly all that was entered in other units.
func insideUnit(q any, s string) bool {
	d, ok := q.(interface{ dim() *dimension })
	return !ok || strings.HasSuffix(s, d.dim().inside().name)
}
