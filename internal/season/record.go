package season

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"hash/crc32"
	"slices"

	"larder/internal/fault"
	"larder/internal/units"
)

// Record is a fact laid out flat, as an engine keeps it: one row, one text. All
// engines keep the same fields, so a fact reads the same from each.
type Record struct {
	ID       ID
	Kind     string
	Seen     Stamp
	Made     Stamp // zero = not noted
	By       string
	Replaces ID     // zero = none
	Body     []byte // JSON
}

// Stamp is a [units.Moment] as numbers. The zero Stamp is no moment.
type Stamp struct {
	MS      int64 // Unix milliseconds
	Off     int   // minutes east of UTC
	DayOnly bool
}

func stampOf(m units.Moment) Stamp {
	if m.IsZero() {
		return Stamp{}
	}
	s := Stamp{MS: m.UnixMilli(), DayOnly: m.DayOnly()}
	if !s.DayOnly { // a bare day has no offset
		_, off := m.Time().Zone()
		s.Off = off / 60
	}
	return s
}

// Record lays the fact out flat, after checking it and reading the result back:
// what is kept can be read. The body is in its settled form, which is what
// comes out when it is read and written again ("-0 kg" settles to nothing).
// Errors: those of [Fact.Check]; fault.OutOfRange for a number that is none.
func (f *Fact) Record() (Record, error) {
	if err := f.Check(); err != nil {
		return Record{}, err
	}
	body, err := f.settled()
	if err != nil {
		return Record{}, &fault.Error{Kind: fault.OutOfRange, Op: "season.Record", Thing: f.Kind(), Say: "a number or text in this fact cannot be written down", Err: err}
	}
	return Record{ID: f.ID, Kind: f.Kind(), Seen: stampOf(f.Seen), Made: stampOf(f.Made), By: f.By, Replaces: f.Replaces, Body: body}, nil
}

// settled writes the body so that reading and writing it again changes nothing.
func (f *Fact) settled() ([]byte, error) {
	g := Fact{ID: f.ID, Seen: f.Seen, Made: f.Made, By: f.By, Replaces: f.Replaces, Body: f.Body}
	was, err := EncodeBody(&g)
	for range 3 { // twice is enough for every type we have
		if err != nil {
			return nil, err
		}
		if g.Body, err = DecodeBody(f.Kind(), was); err != nil {
			return nil, err
		}
		if err = g.Check(); err != nil {
			return nil, err
		}
		var now []byte
		if now, err = EncodeBody(&g); err == nil && bytes.Equal(was, now) {
			return now, nil
		}
		was = now
	}
	return nil, fault.New(fault.Internal, f.Kind(), "this fact reads otherwise each time")
}

// Append writes the record as bytes from which it could be read back, so that
// two records are equal exactly when their bytes are.
func (r *Record) Append(b []byte) []byte { return append(r.appendHead(b), r.Body...) }

// appendHead writes all but the body.
func (r *Record) appendHead(b []byte) []byte {
	b = append(b, r.ID[:]...)
	b = append(b, r.Replaces[:]...)
	b = r.Seen.append(b)
	b = r.Made.append(b)
	b = binary.AppendUvarint(b, uint64(len(r.Kind)))
	b = append(b, r.Kind...)
	b = binary.AppendUvarint(b, uint64(len(r.By)))
	return append(b, r.By...)
}

func (s Stamp) append(b []byte) []byte {
	day := byte(0)
	if s.DayOnly {
		day = 1
	}
	b = binary.AppendVarint(b, s.MS)
	b = binary.AppendVarint(b, int64(s.Off))
	return append(b, day)
}

// HeadRoom is enough for all of a record but its body.
const HeadRoom = 256

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// Sum gives a check sum over everything in the record (CRC-32C of
// [Record.Append], begun with salt). It finds damage, not malice. buf is scratch
// room of [HeadRoom] bytes or so, and may be nil.
func (r *Record) Sum(salt uint32, buf []byte) uint32 {
	head := crc32.Update(salt, castagnoli, r.appendHead(buf[:0]))
	return crc32.Update(head, castagnoli, r.Body)
}

// Fact reads a record back and checks the fact.
func (d *Decoder) Fact(r *Record) (Fact, error) {
	if !r.Seen.good() || !r.Made.good() {
		return Fact{}, fault.New(fault.Damaged, r.Kind, "the time of this fact cannot be read")
	}
	body, err := d.Body(r.Kind, r.Body)
	if err != nil {
		return Fact{}, err
	}
	f := Fact{ID: r.ID, Seen: r.Seen.moment(), Made: r.Made.moment(), By: d.word(r.By), Replaces: r.Replaces, Body: body}
	if err := f.Check(); err != nil {
		return Fact{}, err
	}
	return f, nil
}

const dayMS = 24 * 60 * 60 * 1000

// good tells whether s is a stamp that stampOf gives: each moment has one.
func (s Stamp) good() bool {
	if s.DayOnly {
		return s.Off == 0 && ((s.MS%dayMS)+dayMS)%dayMS == dayMS/2
	}
	return s.Off > -24*60 && s.Off < 24*60
}

// moment is the other way from stampOf.
func (s Stamp) moment() units.Moment {
	switch {
	case s == Stamp{}:
		return units.Moment{}
	case s.DayOnly:
		return units.OnDay(units.Day((s.MS - dayMS/2) / dayMS)) // exact: see good
	}
	return units.AtOffset(s.MS, s.Off)
}

// SortFacts puts facts in order of truth: time seen, then id.
func SortFacts(facts []Fact) {
	if slices.IsSortedFunc(facts, compareFacts) {
		return
	}
	// Facts are large and lie apart: their moments are sorted with their places, and
	// each fact is moved once.
	type key struct {
		ms   int64
		from int32
	}
	keys := make([]key, len(facts))
	for i := range facts {
		keys[i] = key{facts[i].Seen.UnixMilli(), int32(i)}
	}
	slices.SortFunc(keys, func(a, b key) int {
		if a.ms != b.ms {
			return cmp.Compare(a.ms, b.ms)
		}
		return compareFactsAt(&facts[a.from], &facts[b.from])
	})
	// Place k gets the fact of place keys[k].from. Each goes to the place that was
	// left last, till the first of that round is wanted.
	for k := range keys {
		first := facts[k]
		for at := k; ; {
			from := int(keys[at].from)
			keys[at].from = int32(at) // done
			if from == k {
				facts[at] = first
				break
			}
			facts[at], at = facts[from], from
		}
	}
}

func compareFacts(a, b Fact) int { return compareFactsAt(&a, &b) }

func compareFactsAt(a, b *Fact) int {
	if c := a.Seen.Compare(b.Seen); c != 0 {
		return c
	}
	return a.ID.Compare(b.ID)
}
