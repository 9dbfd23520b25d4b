package units

import (
	"fmt"
	"math"
	"strings"
	"unicode"
)

// unit is one unit of a dimension. Its worth in the inside unit is
// (x·10^ten - off)·num/den; keeping powers of ten and fractions apart makes
// "450 g" exactly 0.45 and "30 L/min" exactly 0.5.
type unit struct {
	name     string  // canonical spelling, readable without any locale
	ten      int     // power of ten, taken on the decimal text: no rounding
	off      float64 // zero point; °F only
	num, den float64 // 0 stands for 1
	// chain joins units that are written together, "25 lb 4 oz": units of one
	// dimension with the same letter. 0 = never written together.
	chain byte
	also  string // further spellings, "|" between; case is ignored
	bare  string // spellings that mean this unit only if the system says so
	mega  bool   // the leading M must be a capital: m would be a milliard times less
}

// worth gives the inside value of x, which is already taken times 10^ten.
func (u *unit) worth(x float64) float64 {
	x -= u.off
	if u.num != 0 {
		x *= u.num
	}
	if u.den != 0 {
		x /= u.den
	}
	return x
}

// size gives how much of the inside unit one of u is (differences, not points
// on a scale).
func (u *unit) size() float64 {
	s := math.Pow10(u.ten)
	if u.num != 0 {
		s *= u.num
	}
	if u.den != 0 {
		s /= u.den
	}
	return s
}

// show gives the inside value x in u; the other way round of worth.
func (u *unit) show(x float64) float64 { return x/u.size() + u.off }

// spelling is what one way of writing a unit stands for. A bare "gal" is the
// US one unless the system is UK; a bare cup is no unit there.
type spelling struct {
	us, uk *unit
	bare   bool
}

func (p spelling) in(s System) *unit {
	if p.bare && s == UK {
		return p.uk
	}
	return p.us
}

// dimension is one physical dimension: its units and what sentences call it.
type dimension struct {
	what   string // "a weight", for sentences
	eg     string // two usual ways to write one, for hints
	signed bool   // may be below zero when typed by a person
	only   bool   // only one unit in use: a bare number means it
	feet   bool   // ' stands for feet, not for grouping of digits
	units  []unit // the first is the inside unit
	exact  map[string]spelling
	folded map[string]spelling
}

func newDimension(d dimension) dimension {
	d.exact, d.folded = map[string]spelling{}, map[string]spelling{}
	for i := range d.units {
		u := &d.units[i]
		for _, n := range strings.Split(u.name+"|"+u.also, "|") {
			d.add(n, spelling{us: u})
		}
	}
	for i := range d.units {
		u := &d.units[i]
		for _, n := range strings.Split(u.bare, "|") {
			p := d.exact[n]
			p.bare = true
			if strings.HasPrefix(u.name, "UK ") || strings.Contains(u.name, "/UK ") {
				p.uk = u
			} else {
				p.us = u
			}
			d.set(n, p)
		}
	}
	delete(d.exact, "")
	delete(d.folded, "")
	return d
}

func (d *dimension) add(n string, p spelling) {
	if old, ok := d.folded[fold(n)]; ok && n != "" && old.us != p.us {
		panic(fmt.Sprintf("units: %q means two units of %s", n, d.what))
	}
	d.set(n, p)
}

func (d *dimension) set(n string, p spelling) { d.exact[n], d.folded[fold(n)] = p, p }

func (d *dimension) inside() *unit { return &d.units[0] }

// unit finds a unit by its name; a name that is not there is a mistake of the
// program.
func (d *dimension) unit(name string) *unit {
	p, ok := d.exact[name]
	if !ok || p.us == nil {
		panic(fmt.Sprintf("units: no unit %q of %s", name, d.what))
	}
	return p.us
}

// find looks a spelling up. nil: not a unit of this dimension.
func (d *dimension) find(s string, sys System) *unit {
	if p, ok := d.exact[s]; ok {
		return p.in(sys)
	}
	u := d.folded[fold(s)].in(sys)
	if u != nil && u.mega && strings.HasPrefix(s, "m") && len(s) == len(u.name) {
		return nil
	}
	return u
}

// fold makes spellings equal that differ only in case, spaces and full stops.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '.', nbsp:
			return -1
		case '⋅', '*':
			return '·'
		}
		return unicode.ToLower(r)
	}, s)
}
