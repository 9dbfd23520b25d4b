package season

import (
	"encoding"

	"larder/internal/units"
)

// Decoder reads the bodies of many facts. It remembers the names and amounts it
// has met, since a book says the same few thousand words over and over: what is
// remembered is neither parsed nor kept twice. What a Decoder reads is what
// [DecodeBody] reads, and a test holds them together.
//
// A Decoder is not safe for use by several goroutines at once.
type Decoder struct {
	words   map[string]string
	masses  map[string]units.Entered[units.Mass]
	volumes map[string]units.Entered[units.Volume]
	temps   map[string]units.Temp
	parts   map[string]units.Strength
	days    map[string]units.Day
}

// How much a Decoder remembers: a book with more different words than this is
// read all the same, only less quickly.
const (
	maxWords = 1 << 16
	maxWord  = 64
)

// NewDecoder makes a Decoder that remembers nothing yet.
func NewDecoder() *Decoder {
	return &Decoder{
		words: map[string]string{}, masses: map[string]units.Entered[units.Mass]{}, volumes: map[string]units.Entered[units.Volume]{},
		temps: map[string]units.Temp{}, parts: map[string]units.Strength{}, days: map[string]units.Day{},
	}
}

// Body reads the body of a fact of the named kind, as [DecodeBody] does.
func (d *Decoder) Body(kindName string, b []byte) (any, error) {
	if v, ok := d.quick(kindName, b); ok {
		return v, nil
	}
	return DecodeBody(kindName, b)
}

// word gives s as a string, the same one each time for a short one.
func (d *Decoder) word(s string) string {
	if w, ok := d.words[s]; ok {
		return w
	}
	return d.keep(s)
}

func (d *Decoder) wordOf(b []byte) string {
	if w, ok := d.words[string(b)]; ok { // no copy is made for the look
		return w
	}
	return d.keep(string(b))
}

func (d *Decoder) keep(s string) string {
	if len(s) <= maxWord && len(d.words) < maxWords {
		d.words[s] = s
	}
	return s
}

type textReader[V any] interface {
	*V
	encoding.TextUnmarshaler
}

// remembered reads an amount by its own reader, or remembers what that gave.
func remembered[V any, P textReader[V]](m map[string]V, b []byte) (V, bool) {
	if v, ok := m[string(b)]; ok {
		return v, true
	}
	var v V
	if P(&v).UnmarshalText(b) != nil {
		return v, false // the long way says what is wrong
	}
	if len(b) <= maxWord && len(m) < maxWords {
		m[string(b)] = v
	}
	return v, true
}
