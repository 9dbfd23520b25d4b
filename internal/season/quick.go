package season

import (
	"strconv"
	"unicode/utf8"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// Nine facts in ten are of the kinds below, written by our own encoder: one
// object, no spaces, fields in the order of the struct, few escapes. They are
// read here without reflection. Whatever looks otherwise in the least is left
// to encoding/json (ok false), which decides whether it is good.

func (d *Decoder) quick(kindName string, b []byte) (any, bool) {
	s := scan{b: b, d: d, last: -1}
	var v any
	switch kindName {
	case "reading":
		v = s.reading()
	case "given":
		v = s.given()
	case "left":
		v = s.left()
	case "look":
		v = s.look()
	case "weather":
		v = s.weather()
	default:
		return nil, false
	}
	return v, !s.bad && s.i == len(b)
}

func (s *scan) reading() (r stores.Reading) {
	for s.next() {
		switch string(s.key) {
		case "colony":
			s.field(0)
			r.Colony = s.word()
		case "way":
			s.field(1)
			r.Way = stores.Way(s.word())
		case "gross":
			s.field(2)
			r.Gross = s.mass()
		case "lift1":
			s.field(3)
			r.Lift1 = s.mass()
		case "lift2":
			s.field(4)
			r.Lift2 = s.mass()
		case "frames":
			s.field(6)
			r.Frames = s.frames()
		case "heft":
			s.field(7)
			r.Heft = stores.Heft(s.word())
		case "in_feeder":
			s.field(8)
			r.InFeeder = s.volume()
		case "wet":
			s.field(11)
			r.Wet = s.yes()
		case "note":
			s.field(12)
			r.Note = s.word()
		default:
			s.bad = true
		}
	}
	return r
}

// frames reads what was counted box by box.
func (s *scan) frames() []stores.FrameCount {
	if !s.take('[') || s.peek() == ']' {
		s.bad = true
		return nil
	}
	var out []stores.FrameCount
	for !s.bad {
		out = append(out, s.frameCount())
		if s.peek() == ']' {
			s.i++
			return out
		}
		s.must(',')
	}
	return nil
}

func (s *scan) frameCount() (c stores.FrameCount) {
	in := scan{b: s.b, i: s.i, d: s.d, last: -1}
	for in.next() {
		switch string(in.key) {
		case "box":
			in.field(0)
			c.Box = in.word()
		case "sealed":
			in.field(1)
			c.Sealed = in.number()
		case "open":
			in.field(2)
			c.Open = in.number()
		default:
			in.bad = true
		}
	}
	s.i, s.bad = in.i, s.bad || in.bad
	return c
}

func (s *scan) given() (g ledger.Given) {
	for s.next() {
		switch string(s.key) {
		case "colony":
			s.field(0)
			g.Colony = s.word()
		case "feed":
			s.field(1)
			g.Feed = ledger.Feed(s.word())
		case "volume":
			s.field(2)
			g.Volume = s.volume()
		case "strength":
			s.field(3)
			g.Strength = s.strength()
		case "mass":
			s.field(4)
			g.Mass = s.mass()
		case "batch":
			s.field(5)
			g.Batch = s.word()
		case "from":
			s.field(6)
			g.From = s.word()
		case "plan":
			s.field(7)
			g.Plan = s.word()
		case "note":
			s.field(8)
			g.Note = s.word()
		default:
			s.bad = true
		}
	}
	return g
}

func (s *scan) left() (l ledger.Left) {
	for s.next() {
		switch string(s.key) {
		case "colony":
			s.field(0)
			l.Colony = s.word()
		case "volume":
			s.field(1)
			l.Volume = s.volume()
		case "note":
			s.field(2)
			l.Note = s.word()
		default:
			s.bad = true
		}
	}
	return l
}

func (s *scan) look() (l apiary.Look) {
	for s.next() {
		switch string(s.key) {
		case "colony":
			s.field(0)
			l.Colony = s.word()
		case "bees":
			s.field(1)
			l.Bees = s.number()
		case "bees_known":
			s.field(2)
			l.BeesKnown = s.yes()
		case "brood":
			s.field(3)
			l.Brood = s.number()
		case "brood_known":
			s.field(4)
			l.BroodKnown = s.yes()
		case "queen":
			s.field(5)
			l.Queen = s.answer()
		case "disease":
			s.field(6)
			l.Disease = s.answer()
		case "treatment":
			s.field(7)
			l.Treatment = s.answer()
		case "super":
			s.field(8)
			l.Super = s.answer()
		case "refuses":
			s.field(9)
			l.Refuses = s.answer()
		case "note":
			s.field(11)
			l.Note = s.word()
		default:
			s.bad = true
		}
	}
	return l
}

func (s *scan) weather() (w weather.Day) {
	for s.next() {
		switch string(s.key) {
		case "station":
			s.field(0)
			w.Station = s.word()
		case "day":
			s.field(1)
			w.Day = s.day()
		case "tmax":
			s.field(2)
			w.TMax = s.temp()
		case "tmin":
			s.field(3)
			w.TMin = s.temp()
		case "rain":
			s.field(4)
			w.Rain = s.number()
		case "has_max":
			s.field(5)
			w.HasMax = s.yes()
		case "has_min":
			s.field(6)
			w.HasMin = s.yes()
		case "has_rain":
			s.field(7)
			w.HasRain = s.yes()
		case "forecast":
			s.field(8)
			w.Forecast = s.yes()
		default:
			s.bad = true
		}
	}
	return w
}

// scan walks one JSON object.
type scan struct {
	b    []byte
	i    int
	d    *Decoder
	key  []byte
	last int  // place of the field before this one
	bad  bool // not for us
}

func (s *scan) peek() byte {
	if s.i < len(s.b) {
		return s.b[s.i]
	}
	return 0
}

func (s *scan) take(c byte) bool {
	if s.peek() == c {
		s.i++
		return true
	}
	return false
}

func (s *scan) must(c byte) {
	if !s.take(c) {
		s.bad = true
	}
}

// next goes to the next field and puts its name into key. It is false at the
// end of the object and at anything unlooked-for.
func (s *scan) next() bool {
	if s.bad {
		return false
	}
	if s.key == nil {
		s.must('{')
		if s.take('}') {
			return false
		}
	} else {
		if s.take('}') {
			return false
		}
		s.must(',')
	}
	s.key = s.text()
	s.must(':')
	return !s.bad
}

// field refuses a field that is out of order, and so one that is there twice.
func (s *scan) field(n int) {
	if n <= s.last {
		s.bad = true
	}
	s.last = n
}

// text reads a string without escapes.
func (s *scan) text() []byte {
	s.must('"')
	from := s.i
	high := false
	for s.i < len(s.b) {
		c := s.b[s.i]
		switch {
		case c == '"':
			t := s.b[from:s.i]
			s.i++
			if high && !utf8.Valid(t) {
				s.bad = true
			}
			return t
		case c < ' ' || c == '\\':
			s.bad = true
			return nil
		case c >= utf8.RuneSelf:
			high = true
		}
		s.i++
	}
	s.bad = true
	return nil
}

func (s *scan) word() string {
	t := s.text()
	if s.bad {
		return ""
	}
	return s.d.wordOf(t)
}

// number reads a JSON number: -?(0|[1-9][0-9]*)(\.[0-9]+)?, exponents left to
// the long way.
func (s *scan) number() float64 {
	from := s.i
	s.take('-')
	if !s.take('0') && s.digits() == 0 {
		s.bad = true
	}
	if s.take('.') && s.digits() == 0 {
		s.bad = true
	}
	if c := s.peek(); s.bad || c != ',' && c != '}' {
		s.bad = true
		return 0
	}
	x, err := strconv.ParseFloat(string(s.b[from:s.i]), 64)
	if err != nil {
		s.bad = true
	}
	return x
}

func (s *scan) digits() int {
	n := 0
	for c := s.peek(); c >= '0' && c <= '9'; c = s.peek() {
		s.i++
		n++
	}
	return n
}

func (s *scan) answer() apiary.Answer {
	c := s.peek()
	if c < '0' || c > '9' {
		s.bad = true
		return 0
	}
	s.i++
	if e := s.peek(); e != ',' && e != '}' {
		s.bad = true
	}
	return apiary.Answer(c - '0')
}

func (s *scan) yes() bool {
	for _, w := range [...]string{"true", "false"} {
		if len(s.b)-s.i >= len(w) && string(s.b[s.i:s.i+len(w)]) == w {
			s.i += len(w)
			return w == "true"
		}
	}
	s.bad = true
	return false
}

func (s *scan) mass() units.Entered[units.Mass]     { return amount(s, s.d.masses) }
func (s *scan) volume() units.Entered[units.Volume] { return amount(s, s.d.volumes) }
func (s *scan) temp() units.Temp                    { return amount(s, s.d.temps) }
func (s *scan) strength() units.Strength            { return amount(s, s.d.parts) }
func (s *scan) day() units.Day                      { return amount(s, s.d.days) }

func amount[V any, P textReader[V]](s *scan, m map[string]V) V {
	t := s.text()
	if s.bad {
		return *new(V)
	}
	v, ok := remembered[V, P](m, t)
	if !ok {
		s.bad = true
	}
	return v
}
