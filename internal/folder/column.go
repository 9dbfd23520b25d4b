package folder

import (
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// sort of a column: what its cells hold. It is what the manual calls it.
type sort string

const (
	sText   sort = "text"
	sName   sort = "name"
	sNumber sort = "number"
	sChoice sort = "one of a list"
	sYesNo  sort = "yes or no"
	sAnswer sort = "yes, no or ?"
	sDay    sort = "day"
	sMoment sort = "day or time"
	sMass   sort = "weight"
	sVolume sort = "volume"
	sTemp   sort = "temperature"
	sPart   sort = "strength"
	sLength sort = "length"
	sRoad   sort = "distance"
	sRain   sort = "rain"
	sTime   sort = "span of time"
	sFlow   sort = "flow"
	sClock  sort = "time of day"
	sMoney  sort = "money"
	sStack  sort = "boxes"
	sCount  sort = "frames by box"
	sID     sort = "id"
)

// column says what a column is called, holds and means; it is what the manual
// prints.
type column struct {
	name    string
	also    []string // other heads it is known by
	sort    sort
	need    bool // a row cannot do without it
	rare    bool // written only when some row has something in it
	text    bool // free text: kept to the letter, guarded against formulas
	dash    bool // "-" passes the whole row over: it was not seen
	plain   bool // a bare number: a workbook holds it as one
	decimal bool // its text has decimal points to turn into commas
	head    string
	what    string
	blank   string
	example string

	// usual is the unit of a bare number by the house's units: us, metric, uk.
	// "" = it has to be said.
	usual [3]string
	// unit reads the unit in a head; nil = the column takes none.
	unit func(s string, l units.Locale) (string, error)
}

// field is a column with the way into a fact and back. p points to the body.
type field struct {
	column
	bit  uint64 // its place in the table
	put  func(f *season.Fact, p any) string
	take func(f *season.Fact, p any, c *cell) error
}

// col is a field of a body of type B, in the making.
type col[B any] struct {
	column
	put  func(*B) string
	take func(*B, *cell) error
}

func (c col[B]) needed() col[B]           { c.need = true; return c }
func (c col[B]) seldom() col[B]           { c.rare = true; return c }
func (c col[B]) dashed() col[B]           { c.dash, c.need = true, true; return c }
func (c col[B]) or(a ...string) col[B]    { c.also = a; return c }
func (c col[B]) void(blank string) col[B] { c.blank = blank; return c }

// eg sets the example of a column.
func (c col[B]) eg(example string) col[B] { c.example = example; return c }

// within refuses amounts that cannot be, at the column they stand in. The
// season would refuse them too, but only the first of a row.
func (c col[B]) within(lo, hi float64, unit string, get func(*B) float64) col[B] {
	take := c.take
	c.take = func(b *B, x *cell) error {
		if err := take(b, x); err != nil {
			return err
		}
		if v := get(b); !(v >= lo && v <= hi) {
			return fault.Newf(fault.OutOfRange, "", "that is not between %v and %v%s", lo, hi, unit).
				WithHint("is the unit right? write for example %s", c.example)
		}
		return nil
	}
	return c
}

// bare makes the unit stand in the head when written, and bare numbers below.
func (c col[B]) bare(head string) col[B] { c.head, c.plain, c.decimal = head, true, true; return c }

// written is the head the column is written under.
func (c *column) written() string {
	if c.head != "" {
		return c.head
	}
	return c.name
}

// textual is a column of free text or, if it names something, of a name.
func textual[B any](s sort, name, what, example string, at func(*B) *string) col[B] {
	return col[B]{column: column{name: name, sort: s, what: what, example: example, text: true},
		put:  func(b *B) string { return *at(b) },
		take: func(b *B, c *cell) error { *at(b) = c.freeText(s == sName); return nil },
	}
}

func text[B any](name, what, example string, at func(*B) *string) col[B] {
	return textual(sText, name, what, example, at)
}

func named[B any](name, what, example string, at func(*B) *string) col[B] {
	return textual(sName, name, what, example, at)
}

// entered is a quantity that keeps the words it was entered in.
func entered[B any, Q units.Quantity](s sort, name, what, example string, usual [3]string, at func(*B) *units.Entered[Q]) col[B] {
	return col[B]{column: column{name: name, sort: s, what: what, example: example, usual: usual, unit: units.UnitName[Q], decimal: true},
		put: func(b *B) string {
			if e := at(b); !e.IsZero() {
				return e.String()
			}
			return ""
		},
		take: func(b *B, c *cell) (err error) { *at(b), err = quantity[Q](c); return err },
	}
}

// amount is a quantity of which zero means that it was not told.
func amount[B any, Q units.Quantity](s sort, name, what, example string, usual [3]string, at func(*B) *Q) col[B] {
	return col[B]{column: column{name: name, sort: s, what: what, example: example, usual: usual, unit: units.UnitName[Q], decimal: true},
		put: func(b *B) string {
			if q := *at(b); q != 0 {
				return round(q)
			}
			return ""
		},
		take: func(b *B, c *cell) error {
			e, err := quantity[Q](c)
			*at(b) = e.Q
			return err
		},
	}
}

// known is a quantity with a flag beside it: zero is a reading like any other.
func known[B any, Q units.Quantity](s sort, name, what, example string, usual [3]string, at func(*B) (*Q, *bool)) col[B] {
	c := amount[B](s, name, what, example, usual, func(b *B) *Q { q, _ := at(b); return q })
	c.put = func(b *B) string {
		if q, ok := at(b); *ok {
			return round(*q)
		}
		return ""
	}
	take := c.take
	c.take = func(b *B, x *cell) error {
		_, ok := at(b)
		*ok = true
		return take(b, x)
	}
	return c
}

// numeric is a bare number, not known when its flag (if any) is not set.
func numeric[B any](name, what, example string, at func(*B) (*float64, *bool)) col[B] {
	return col[B]{column: column{name: name, sort: sNumber, what: what, example: example, plain: true, decimal: true},
		put: func(b *B) string {
			if x, ok := at(b); *ok {
				return digits(*x)
			}
			return ""
		},
		take: func(b *B, c *cell) (err error) {
			x, ok := at(b)
			*ok = true
			*x, err = c.number()
			return err
		},
	}
}

// whole is a whole number of which zero means that it was not told.
func whole[B any](name, what, example string, at func(*B) *int) col[B] {
	return col[B]{column: column{name: name, sort: sNumber, what: what, example: example, plain: true},
		put: func(b *B) string {
			if n := *at(b); n != 0 {
				return digits(float64(n))
			}
			return ""
		},
		take: func(b *B, c *cell) error {
			x, err := c.number()
			if err == nil && (x != float64(int32(x)) || x < 0) {
				err = fault.Newf(fault.NotUnderstood, "", "%q is not a whole number", c.text).WithHint("write 1, 2, 3 …")
			}
			if err == nil {
				*at(b) = int(x)
			}
			return err
		},
	}
}

// yesno is a flag: blank is no.
func yesno[B any](name, what string, at func(*B) *bool) col[B] {
	return col[B]{column: column{name: name, sort: sYesNo, what: what, example: "yes", blank: "no"},
		put: func(b *B) string {
			if *at(b) {
				return "yes"
			}
			return ""
		},
		take: func(b *B, c *cell) (err error) {
			*at(b), err = c.yes()
			return err
		},
	}
}

// choice is one of a closed list of words; also maps other spellings to them.
func choice[B any, S ~string](name, what string, words []S, also map[string]S, at func(*B) *S) col[B] {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = string(w)
	}
	return col[B]{column: column{name: name, sort: sChoice, what: what + ": " + strings.Join(list, ", "), example: list[0]},
		put: func(b *B) string { return string(*at(b)) },
		take: func(b *B, c *cell) error {
			for _, w := range words {
				if folded(c.text) == folded(string(w)) {
					*at(b) = w
					return nil
				}
			}
			if w, ok := also[folded(c.text)]; ok {
				*at(b) = w
				return nil
			}
			return fault.Newf(fault.NotUnderstood, "", "%q is not one of those we know", c.text).WithHint("one of: %s", strings.Join(list, ", "))
		},
	}
}

// day is a calendar day.
func day[B any](name, what, example string, at func(*B) *units.Day) col[B] {
	return col[B]{column: column{name: name, sort: sDay, what: what, example: example},
		put: func(b *B) string { return (*at(b)).String() },
		take: func(b *B, c *cell) (err error) {
			*at(b), err = c.day()
			return err
		},
	}
}

// clockTime is a time of day, counted from midnight; zero means that it was not
// told.
func clockTime[B any](name, what, example string, at func(*B) *units.Duration) col[B] {
	return col[B]{column: column{name: name, sort: sClock, what: what, example: example},
		put: func(b *B) string {
			if d := *at(b); d != 0 {
				return season.ClockText(d)
			}
			return ""
		},
		take: func(b *B, c *cell) (err error) {
			*at(b), err = season.ReadClock(c.text)
			return err
		},
	}
}

// money is an exact amount in a currency.
func money[B any](name, what, example string, at func(*B) *units.Money) col[B] {
	return col[B]{column: column{name: name, sort: sMoney, what: what, example: example, unit: currencyName, decimal: true},
		put: func(b *B) string { return at(b).String() },
		take: func(b *B, c *cell) (err error) {
			*at(b), err = c.money()
			return err
		},
	}
}

// field makes the column one of any body.
func (c col[B]) field() field {
	return field{column: c.column,
		put:  func(_ *season.Fact, p any) string { return c.put(p.(*B)) },
		take: func(_ *season.Fact, p any, x *cell) error { return c.take(p.(*B), x) },
	}
}
