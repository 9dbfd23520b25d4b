package folder

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// proof makes the rows and proves each by reading it back: what does not come
// back the same goes into other.csv whole.
type proof struct {
	x    *layout
	m    manner
	cols map[*table][]*bound
	home map[string]*table // by kind
}

func newProof(x *layout) *proof {
	h := &house{zone: time.UTC}
	p := &proof{x: x, m: manner{house: h, book: x.book}, cols: map[*table][]*bound{}, home: map[string]*table{}}
	if x.comma {
		p.m.loc.Decimal = ','
	}
	for _, t := range tables {
		for i := range t.fields {
			f := &t.fields[i]
			b := &bound{f: f, at: i, label: f.written()}
			if f.head != "" {
				b.unit, _ = f.unit(strings.TrimPrefix(f.head, f.name+"_"), units.Locale{})
			}
			p.cols[t] = append(p.cols[t], b)
		}
		if t.kind != "" {
			p.home[t.kind] = t
		}
	}
	return p
}

// row gives the row of a fact and its table. body is its body, as a book keeps
// it.
func (p *proof) row(f *season.Fact, body []byte) ([]string, *table, error) {
	if t := p.home[f.Kind()]; t != nil {
		if cells, ok := t.encode(f); ok {
			if p.x.comma {
				commas(t, cells)
			}
			if p.fits(t, cells) && p.same(t, cells, f, body) {
				return cells, t, nil
			}
		}
	}
	return p.whole(f)
}

// commas turns decimal points into commas.
func commas(t *table, cells []string) {
	for i := range cells {
		if t.fields[i].decimal {
			cells[i] = strings.ReplaceAll(cells[i], ".", ",")
		}
	}
}

// maxBookCell is what we put into a cell of a workbook, in UTF-16 units; such
// programs take 32,767.
const maxBookCell = 32000

// fits tells whether the cells can be written and read.
func (p *proof) fits(t *table, cells []string) bool {
	for i, c := range cells {
		if c == "" {
			continue
		}
		if p.x.book {
			if !bookSafe(c) {
				return false
			}
			continue
		}
		if t.fields[i].name != planContent && (len(c) > maxCell || strings.IndexByte(c, 0) >= 0) {
			return false
		}
	}
	return true
}

// bookSafe tells whether a workbook keeps a text to the letter.
func bookSafe(s string) bool {
	n := 0
	for _, r := range s {
		n += utf16.RuneLen(r)
	}
	return n <= maxBookCell && bookKeeps(s) && strings.TrimSpace(s) == s
}

// bookKeeps tells whether there is no letter in a text that a workbook changes.
func bookKeeps(s string) bool {
	for i, r := range s {
		switch {
		case r < ' ' && r != '\n' && r != '\t', r == 0xfffe, r == 0xffff, r == '_' && strings.HasPrefix(s[i:], "_x"):
			return false
		}
	}
	return true
}

// same reads the cells back and compares.
func (p *proof) same(t *table, cells []string, f *season.Fact, body []byte) bool {
	g, r, errs := t.decode(cells, p.cols[t], &p.m)
	if len(errs) > 0 || r.skipped || g.ID != f.ID || g.Seen != f.Seen || g.Made != f.Made || g.By != f.By || g.Replaces != f.Replaces {
		return false
	}
	if s, ok := f.Body.(season.Setting); ok && !anywhere(s) {
		return false
	}
	back, err := season.EncodeBody(&g)
	return err == nil && bytes.Equal(back, body)
}

// anywhere tells whether a setting means the same in a folder of any units: a bare
// "40 gal" does not.
func anywhere(s season.Setting) bool {
	for _, u := range []units.System{units.US, units.Metric, units.UK} {
		if v, err := settled(s.Key, s.Value, units.Locale{Decimal: '.', System: u}); err != nil || v != s.Value {
			return false
		}
	}
	return true
}

// whole writes a fact as the book keeps it.
func (p *proof) whole(f *season.Fact) ([]string, *table, error) {
	readsBack := func(text string, err error) error {
		var back season.Fact
		if err == nil {
			err = json.Unmarshal([]byte(text), &back)
		}
		if err == nil && !season.Same(f, &back) {
			err = errors.New("it differs")
		}
		return err
	}
	text, err := factJSON(f)
	if err = readsBack(text, err); err != nil && p.x.book {
		// A plan is kept to the letter, and letters spelt in ASCII are others: as it
		// is, if the workbook keeps that.
		if raw, e := json.Marshal(f); e == nil && utf8.Valid(raw) && bookKeeps(string(raw)) {
			text, err = string(raw), readsBack(string(raw), nil)
		}
	}
	if err != nil {
		return nil, nil, &fault.Error{Kind: fault.Damaged, Op: "folder.Write", Thing: f.Kind() + " " + f.ID.String(),
			Say: "this fact does not read back the same, so it cannot be exported", Hint: "strike it and write it down anew", Err: err}
	}
	cells := make([]string, len(otherTable.fields))
	cells[0] = text
	return cells, otherTable, nil
}
