// Package figure keeps every number we took from somewhere as a record: its
// value, unit, the range in which it holds, its spread and its source.
//
// Nothing in the core uses a bare constant for what could be argued about. A
// [Set] is what a calculation is handed: the published defaults with the
// keeper's own values laid over them. A Set is a value; there is no global one.
//
// Physical formulas (density, solubility …) are not figures: they live with
// their ranges and sources in package syrup.
package figure

import (
	"math"
	"slices"
	"sort"

	"larder/internal/fault"
)

// Grade says how good a source is.
type Grade string

// The grades, as in the evidence base.
const (
	Peer     Grade = "peer"     // peer-reviewed paper, government or university text
	Trade    Grade = "trade"    // association, trade journal, textbook
	Keeper   Grade = "keeper"   // one keeper's records
	Practice Grade = "practice" // common practice, no source
	Memory   Grade = "memory"   // from memory, not found again
	Derived  Grade = "derived"  // worked out from other figures
	Own      Grade = "own"      // the keeper's own value
)

// Figure is one number with all we know of it.
type Figure struct {
	Key    string  // stable name, "stores.comb_g_dm2"
	Name   string  // what it is, in trade words
	Value  float64 // in Unit
	Unit   string  // "g/dm²", "°C", "fraction" …
	Low    float64 // range in which a value is believable
	High   float64
	SD     float64 // one standard deviation of what we know; 0 = not stated
	Source string  // author, title, year, table or page
	Grade  Grade
	Note   string // what it drives, or how the default was chosen
}

// InRange tells whether v is within the believable range.
func (f Figure) InRange(v float64) bool { return v >= f.Low && v <= f.High }

// Set is a list of figures with the keeper's own values over the defaults.
// The zero Set is empty.
type Set struct {
	defaults map[string]Figure
	own      map[string]float64
}

// NewSet makes a set from lists of defaults. A key that comes twice is a
// mistake of the program and panics.
func NewSet(lists ...[]Figure) Set {
	s := Set{defaults: map[string]Figure{}, own: map[string]float64{}}
	for _, l := range lists {
		for _, f := range l {
			if _, dup := s.defaults[f.Key]; dup {
				panic("figure: two figures called " + f.Key)
			}
			s.defaults[f.Key] = f
		}
	}
	return s
}

// With gives a copy of s in which the keeper's value for key is v. Unknown keys
// and values that are no numbers are refused; a value outside the believable
// range is taken (it is his to say) and shown as such by [Set.Outside].
func (s Set) With(key string, v float64) (Set, error) {
	f, ok := s.defaults[key]
	if !ok {
		return s, fault.Newf(fault.NotFound, key, "there is no figure of this name").
			WithHint("`larder figures` lists them all")
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return s, fault.Newf(fault.OutOfRange, key, "%v is not a number", v).
			WithHint("between %g and %g %s is usual", f.Low, f.High, f.Unit)
	}
	c := Set{defaults: s.defaults, own: make(map[string]float64, len(s.own)+1)}
	for k, x := range s.own {
		c.own[k] = x
	}
	c.own[key] = v
	return c, nil
}

// V gives the value to use: the keeper's own, else the default. A key that
// does not exist is a mistake of the program and panics.
func (s Set) V(key string) float64 {
	if v, ok := s.own[key]; ok {
		return v
	}
	return s.def(key).Value
}

// SD gives the spread of key.
func (s Set) SD(key string) float64 { return s.def(key).SD }

// Get gives the figure in use: with the keeper's value, graded Own, if he set one.
func (s Set) Get(key string) Figure {
	f := s.def(key)
	if v, ok := s.own[key]; ok {
		f.Note = "own value; published: " + f.Source
		f.Value, f.Grade = v, Own
	}
	return f
}

// Default gives the published figure whatever the keeper set.
func (s Set) Default(key string) (Figure, bool) { f, ok := s.defaults[key]; return f, ok }

// IsOwn tells whether the keeper set key himself.
func (s Set) IsOwn(key string) bool { _, ok := s.own[key]; return ok }

// Outside lists the keys whose own value lies outside the believable range.
func (s Set) Outside() []string {
	var out []string
	for k, v := range s.own {
		if !s.defaults[k].InRange(v) {
			out = append(out, k)
		}
	}
	sort.Strings(out)
	return out
}

// All lists the figures in use, by key.
func (s Set) All() []Figure {
	keys := make([]string, 0, len(s.defaults))
	for k := range s.defaults {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	out := make([]Figure, len(keys))
	for i, k := range keys {
		out[i] = s.Get(k)
	}
	return out
}

func (s Set) def(key string) Figure {
	f, ok := s.defaults[key]
	if !ok {
		panic("figure: no figure called " + key)
	}
	return f
}
