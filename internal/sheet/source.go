package sheet

import (
	"cmp"
	"crypto/sha256"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// Source is what sheets are made from: the season as of a moment, and how to
// say it. Nothing is worked out here that a screen would work out otherwise.
type Source struct {
	State *season.State
	Short []season.Short  // every living colony, by yard and walking order
	Plan  *season.Planned // nil = none could be made
	// Winter is the winter watch, for the winter list only.
	Winter *season.WatchList
	At     units.Moment // the facts are as of then
	Style  units.Style
	T      Catalogue  // the keeper's language
	En     Catalogue  // English, to stand under cautions; nil when T is English
	Base   string     // address that QR codes lead to, "http://192.168.1.20:8642"
	Sack   units.Mass // of sugar; 0 = that of [season.State.Sack]
}

func (s *Source) sack() units.Mass {
	if s.Sack > 0 {
		return s.Sack
	}
	return s.State.Sack()
}

// doc begins a sheet with what all sheets have.
func (s *Source) doc(kind, name string) Doc {
	return Doc{
		Kind: s.T("sheets." + kind + ".kind"), Name: name, House: s.State.Settings.Name, Lang: cmp.Or(s.Style.Lang, "en"),
		Printed: s.T("sheets.printed", "When", s.Style.Moment(s.At), "Year", s.At.Day().Year()),
		PageOf:  func(n, of int) string { return s.T("sheets.page", "No", n, "Of", of) },
	}
}

// caution gives a warning in the keeper's language, with the English.
func (s *Source) caution(key string) Caution {
	c := Caution{Word: s.T("caution"), Say: s.T("caution." + key)}
	if s.En != nil {
		c.English = s.En("caution") + ": " + s.En("caution."+key)
	}
	return c
}

func (s *Source) cautions(keys ...string) []Caution {
	out := make([]Caution, len(keys))
	for i, k := range keys {
		out[i] = s.caution(k)
	}
	return out
}

func (s *Source) field(key, say string) Field { return Field{s.T("sheets." + key), say} }

// yard gives a yard by id; one that only colonies name has its id for a name.
func (s *Source) yard(id string) (apiary.Yard, error) {
	for _, y := range s.State.Yards() {
		if y.ID == id {
			y.Name = cmp.Or(y.Name, y.ID)
			return y, nil
		}
	}
	return apiary.Yard{}, fault.New(fault.NotFound, id, "there is no yard of this name")
}

func (s *Source) yardName(id string) string {
	y, err := s.yard(id)
	if err != nil {
		return id
	}
	return y.Name
}

// inYard gives a yard's living colonies in walking order.
func (s *Source) inYard(id string) []*season.Short {
	var out []*season.Short
	for i := range s.Short {
		if s.Short[i].Colony.Yard == id {
			out = append(out, &s.Short[i])
		}
	}
	return out
}

// noPlan is the fault of a sheet that needs a plan.
func (s *Source) noPlan() error {
	return fault.New(fault.Missing, "plan", "there is no plan to print").WithHint("see Plan for what it lacks")
}

// codeSigns leaves out what is misread: no I, L, O, 0 or 1.
const codeSigns = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"

// code makes the short code that ties a sheet to what was printed on it: the
// first letter of its name and four signs of a hash of its matter. The same
// matter has the same code.
func code(name string, matter ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(matter, "\x00")))
	out := []byte{}
	for _, r := range strings.ToUpper(name) {
		if r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			out = append(out, byte(r), '-')
			break
		}
	}
	for _, b := range sum[:4] {
		out = append(out, codeSigns[int(b)%len(codeSigns)])
	}
	return string(out)
}

// FileName makes the stem of a file's name: lower-case letters, digits and
// hyphens only.
func FileName(words ...string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(strings.Join(words, "-")) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 60 {
			break
		}
	}
	return cmp.Or(strings.Trim(b.String(), "-"), "sheet")
}

// mass and volume give amounts without and with the word that says they are
// sums rounded after adding.
func (s *Source) rounded(amount string) string { return s.T("sheets.rounded", "Amount", amount) }
