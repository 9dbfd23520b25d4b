package web

import (
	"net/url"
	"strings"

	"larder/internal/season"
)

// Field is one labelled box of a form, for the partials "field", "area" and
// "choose". What is wrong with it comes from Base.Trouble.
type Field struct {
	ID, Label, Value string
	Hint             string
	Class            string // "short", "tiny" or ""
	Mode             string // inputmode: "decimal", "numeric" or ""
	List             string // id of a datalist
	Rows             int    // area
	Options          []Option
	Bad              string
}

// Option is one choice of a select or of radio buttons.
type Option struct{ Value, Label string }

// Field makes a box: its id and name, the key of its label, what stands in it,
// the key of its hint ("" = none) and its class. "short 0" and "tiny 0" ask a
// phone for digits.
func (b *Base) Field(id, label, value, hint, class string) Field {
	f := Field{ID: id, Label: b.T(label), Value: value, Bad: b.TroubleAt(id)}
	if hint != "" {
		f.Hint = b.T(hint)
	}
	f.Class, f.Mode, _ = strings.Cut(class, " ")
	if f.Mode == "0" {
		f.Mode = "decimal"
	}
	return f
}

// Area makes a box of several lines.
func (b *Base) Area(id, label, value, hint string, rows int) Field {
	f := b.Field(id, label, value, hint, "")
	f.Rows = rows
	return f
}

// Choose makes a list of choices, one of them chosen.
func (b *Base) Choose(id, label, value, hint string, options []Option) Field {
	f := b.Field(id, label, value, hint, "")
	f.Options = options
	return f
}

// Described gives the ids that describe the box.
func (f Field) Described() string {
	var ids []string
	if f.Hint != "" {
		ids = append(ids, f.ID+"-hint")
	}
	if f.Bad != "" {
		ids = append(ids, f.ID+"-bad")
	}
	return strings.Join(ids, " ")
}

// HivePath gives the address of a hive's page, YardPath that of a yard's. Names
// may hold anything.
func (b *Base) HivePath(id string) string { return "/hives/" + url.PathEscape(id) }

// YardPath gives the address of a yard's page.
func (b *Base) YardPath(id string) string { return "/yards/" + url.PathEscape(id) }

// slips puts what is wrong with the boxes of a form into its troubles; before
// stands before their names on the page.
func (s *Server) slips(b *Base, slips []season.Slip, before string) {
	for _, x := range slips {
		b.trouble(s.troubleOf(b, x.Err, before+x.Box))
	}
}

// trouble adds one thing wrong with a form.
func (b *Base) trouble(t Trouble) { b.Trouble = append(b.Trouble, t) }
