package folder

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"

	"larder/internal/fault"
)

// splitter cuts the text of a table into rows and cells. It is more patient
// than encoding/csv: a wrong quote costs its own row, not the rest of the file,
// so that all troubles can be told at once; and blank lines keep their number,
// so that a row is called what a spreadsheet calls it.
type splitter struct {
	file  string
	s     string
	delim byte
	limit int // bytes in a cell
	tell  func(row int, err error)
}

// rows cuts the whole text. A blank line is a row without cells.
func (p splitter) rows() [][]string {
	var out [][]string
	wide := 0
	for pos := 0; pos < len(p.s); {
		if len(out) == maxRows {
			p.tell(len(out), fault.Newf(fault.OutOfRange, p.file, "there are more than %d rows", maxRows).WithHint("split the table by years"))
			return out
		}
		cells := make([]string, 0, wide)
		cells, pos = p.row(cells, pos, len(out)+1)
		if len(cells) > maxCols {
			if strings.TrimSpace(strings.Join(cells[maxCols:], "")) != "" {
				p.tell(len(out)+1, fault.Newf(fault.OutOfRange, fmt.Sprintf("%s row %d", p.file, len(out)+1), "the row has more than %d cells", maxCols).
					WithHint("take the columns out that are not the season's"))
			}
			cells = cells[:maxCols]
		}
		if len(cells) == 1 && cells[0] == "" {
			cells = nil
		}
		wide = max(wide, len(cells))
		out = append(out, cells)
	}
	return out
}

// row reads the row that starts at pos and gives where the next one starts.
func (p splitter) row(cells []string, pos, n int) ([]string, int) {
	for {
		var cell string
		cell, pos = p.cell(pos, n)
		cells = append(cells, cell)
		switch {
		case pos >= len(p.s):
			return cells, pos
		case p.s[pos] == p.delim:
			pos++
		case strings.HasPrefix(p.s[pos:], "\r\n"):
			return cells, pos + 2
		default: // \n or a bare \r, as old Macs end their lines
			return cells, pos + 1
		}
	}
}

// cell reads one cell and gives where it ends: at a delimiter, a line end or
// the end of the text.
func (p splitter) cell(pos, n int) (string, int) {
	// Spaces before a quote are what people put behind their commas.
	i := pos
	for i < len(p.s) && p.s[i] == ' ' {
		i++
	}
	if i < len(p.s) && p.s[i] == '"' {
		if text, end, ok := p.quoted(i+1, n); ok {
			return text, end
		}
	}
	end := pos
	for end < len(p.s) && p.s[end] != p.delim && p.s[end] != '\n' && p.s[end] != '\r' {
		end++
	}
	if end-pos > p.limit {
		p.tooLong(n)
		return "", end
	}
	return p.s[pos:end], end
}

func (p splitter) tooLong(n int) {
	p.tell(n, fault.Newf(fault.OutOfRange, fmt.Sprintf("%s row %d", p.file, n), "a cell has more than %d KB", p.limit>>10).
		WithHint("is there a quote that is never closed?"))
}

// quoted reads a quoted cell whose text starts at i. It is not ok when the
// quote is never closed; then the quote counts as text.
func (p splitter) quoted(i, n int) (text string, end int, ok bool) {
	var b strings.Builder
	told := false
	from, start := i, i
	for {
		k := strings.IndexByte(p.s[i:min(len(p.s), start+p.limit+1)], '"')
		if k < 0 {
			p.tell(n, fault.New(fault.NotUnderstood, fmt.Sprintf("%s row %d", p.file, n), "a quote is opened and not closed").
				WithHint("put a second \" at the end of the cell, or take the first one out"))
			return "", 0, false
		}
		i += k
		if i+1 < len(p.s) && p.s[i+1] == '"' { // "" stands for one quote
			b.WriteString(p.s[from : i+1])
			i += 2
			from = i
			continue
		}
		end = i + 1
		for end < len(p.s) && p.s[end] == ' ' && p.delim != ' ' {
			end++
		}
		if end == len(p.s) || p.s[end] == p.delim || p.s[end] == '\n' || p.s[end] == '\r' {
			b.WriteString(p.s[from:i])
			return b.String(), end, true
		}
		if !told {
			told = true
			p.tell(n, fault.New(fault.NotUnderstood, fmt.Sprintf("%s row %d", p.file, n), "a quote stands in the middle of a quoted cell").
				WithHint("double it: \"a 5\"\" board\""))
		}
		i++
	}
}

// delimiters in the order in which they win a draw.
const delimiters = ",;\t|"

// forced reads the line "sep=;" that some spreadsheets put first.
func forced(s string) (byte, bool) {
	if len(s) > 4 && strings.EqualFold(s[:4], "sep=") && (len(s) == 5 || s[5] == '\r' || s[5] == '\n') {
		return s[4], true
	}
	return 0, false
}

// top cuts off the first lines, enough to hold a title and the head. It may
// cut through a cell; it is only for looking.
func top(s string) string {
	at := 0
	for range titleTop * 2 {
		i := strings.IndexAny(s[at:], "\r\n")
		if i < 0 {
			return s
		}
		at += i + 1
	}
	return s[:at]
}

// writeCSV writes rows as RFC 4180 has it, with line feeds. A byte order mark
// leads only where there is something outside ASCII, since spreadsheets need it
// then and other programs stumble over it.
func writeCSV(rows [][]string, delim rune) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma = delim
	for _, r := range rows {
		if err := w.Write(r); err != nil {
			return nil, err
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return nil, err
	}
	for _, c := range b.Bytes() {
		if c >= 0x80 {
			return append([]byte(bom8), b.Bytes()...), nil
		}
	}
	return b.Bytes(), nil
}
