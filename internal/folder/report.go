package folder

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
)

// Report says what was found in a folder and what was passed over.
type Report struct {
	Tables   []Count   `json:"tables"`   // in the order of the manual; only those that were there
	Warnings []Warning `json:"warnings"` // none of them keeps a folder from being read
}

// Count is what was found in one file or sheet.
type Count struct {
	File    string `json:"file"` // "readings.csv", or "sheet readings"
	Rows    int    `json:"rows"` // with something in them, the head not counted
	Facts   int    `json:"facts"`
	NotSeen int    `json:"not_seen"` // rows that say nothing was seen, passed over
}

// Warning is something a keeper should look at.
type Warning struct {
	Thing string `json:"thing"` // where
	Say   string `json:"say"`
	Hint  string `json:"hint,omitzero"`
}

// String gives the sentence, led by the place.
func (w Warning) String() string { return w.Thing + ": " + w.Say }

// sheet is one table while it is read: a CSV file, or a sheet of a workbook.
type sheet struct {
	name  string // "readings.csv", or "sheet readings"
	t     *table
	m     *manner
	delim byte // 0 in a workbook
	errs  []rowError
	more  int // troubles not told
	warns []Warning
	count Count
	got   []placedFact
	said  map[string]bool // of rows passed over: said once for the file
}

// placedFact is a fact and where it was found.
type placedFact struct {
	fact season.Fact
	file string
	row  int // 0 = the file says it all
}

func (p *placedFact) at() string {
	if p.row == 0 {
		return p.file
	}
	return fmt.Sprintf("%s row %d", p.file, p.row)
}

// at says where something stands. label is a head, "" for the whole row.
func (s *sheet) at(row int, label string) string {
	if label == "" {
		return fmt.Sprintf("%s row %d", s.name, row)
	}
	return fmt.Sprintf("%s row %d, column %s", s.name, row, label)
}

// rowError is a trouble with its row, 0 for the whole table.
type rowError struct {
	row int
	err error
}

// tell notes a trouble; beyond a number no reader would go on with, it counts.
func (s *sheet) tell(row int, err error) {
	if len(s.errs) >= maxTold {
		s.more++
		return
	}
	s.errs = append(s.errs, rowError{row, err})
}

// told gives all troubles of the sheet, from top to bottom.
func (s *sheet) told() fault.List {
	slices.SortStableFunc(s.errs, func(a, b rowError) int { return a.row - b.row })
	var out fault.List
	for _, e := range s.errs {
		out = append(out, e.err)
	}
	if s.more == 0 {
		return out
	}
	return append(out, fault.Newf(fault.NotUnderstood, s.name, "and %d more of this kind", s.more).
		WithHint("mend these first"))
}

func (s *sheet) warn(thing, say, hint string) {
	s.warns = append(s.warns, Warning{Thing: thing, Say: say, Hint: hint})
}

// trouble notes what is wrong with a cell.
func (s *sheet) trouble(err error, row int, label, text string) {
	s.tell(row, placed(err, s.at(row, label), text, ""))
}

// foundSay makes the sentence of a trouble say what was found.
func foundSay(text string, e *fault.Error) string {
	say := e.Say
	if say == "" {
		say = e.Kind.String()
	}
	if text == "" {
		return say
	}
	q := strconv.Quote(text)
	if rest, ok := strings.CutPrefix(say, q+" "); ok {
		return "found " + q + ", which " + rest
	}
	if r := []rune(text); len(r) > 40 {
		q = strconv.Quote(string(r[:40]) + "…")
	}
	if e.Thing != "" && e.Thing != text && strings.Contains(text, e.Thing) {
		say += ": " + e.Thing
	}
	return "found " + q + ": " + say
}
