package web

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"larder/internal/fault"
)

// Limits of a pasted table. Beyond them it is no sheet of readings.
const (
	tableBytes = 2 << 20
	tableRows  = 20_000
	tableCols  = 100
	tableCell  = 10 << 10
)

// tableText makes text of what was uploaded: UTF-8 with or without a byte order
// mark, UTF-16 with one, else Windows-1252.
func tableText(b []byte) (string, error) {
	const again = "save the table as \"CSV UTF-8\", or copy the cells and paste them"
	switch {
	case len(b) > tableBytes:
		return "", fault.Newf(fault.OutOfRange, "", "the file has more than %d MB", tableBytes>>20).WithHint("paste only the columns with the hives and what was read")
	case bytes.HasPrefix(b, []byte("PK\x03\x04")):
		return "", fault.New(fault.NotUnderstood, "", "this is a workbook, not a text table").WithHint(again)
	case bytes.HasPrefix(b, []byte("\xff\xfe")):
		return utf16Text(b[2:], binary.LittleEndian, again)
	case bytes.HasPrefix(b, []byte("\xfe\xff")):
		return utf16Text(b[2:], binary.BigEndian, again)
	}
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	if bytes.IndexByte(b, 0) >= 0 {
		return "", fault.New(fault.NotUnderstood, "", "this is not a text table").WithHint(again)
	}
	if utf8.Valid(b) {
		return string(b), nil
	}
	t, err := charmap.Windows1252.NewDecoder().Bytes(b)
	if err != nil {
		return "", fault.New(fault.NotUnderstood, "", "the letters of this file cannot be read").WithHint(again)
	}
	return string(t), nil
}

func utf16Text(b []byte, order binary.ByteOrder, hint string) (string, error) {
	if len(b)%2 != 0 {
		return "", fault.New(fault.NotUnderstood, "", "the file breaks off in the middle of a letter").WithHint("%s", hint)
	}
	u := make([]uint16, len(b)/2)
	for i := range u {
		u[i] = order.Uint16(b[2*i:])
	}
	s := string(utf16.Decode(u))
	if strings.IndexByte(s, 0) >= 0 {
		return "", fault.New(fault.NotUnderstood, "", "this is not a text table").WithHint("%s", hint)
	}
	return s, nil
}

// cutTable cuts a text into rows and cells: at tabs, semicolons or commas, with
// quoted cells, whatever ends its lines. Columns empty to the right are left
// out; blank lines stay, so that rows keep their numbers.
func cutTable(text string) ([][]string, error) {
	text = strings.TrimPrefix(text, "\ufeff")
	if len(text) > 3*tableBytes/2 {
		return nil, fault.Newf(fault.OutOfRange, "", "the table has more than %d MB", tableBytes>>20)
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	delim, text := delimiterOf(text)
	if delim == ' ' {
		return wordRows(text)
	}
	var rows [][]string
	wide := 0
	for text != "" {
		if len(rows) == tableRows {
			return nil, tooMany()
		}
		var row []string
		var err error
		if row, text, err = cutRow(text, delim); err != nil {
			return nil, err
		}
		for i, c := range row {
			if strings.TrimSpace(c) != "" {
				wide = max(wide, i+1)
			}
		}
		rows = append(rows, row)
	}
	if wide > tableCols {
		return nil, fault.Newf(fault.OutOfRange, "", "the table has %d columns; %d is the most", wide, tableCols).WithHint("paste only the columns with the hives and what was read")
	}
	for i, r := range rows {
		rows[i] = r[:min(len(r), wide)]
	}
	return rows, nil
}

func tooMany() error {
	return fault.Newf(fault.OutOfRange, "", "the table has more than %d rows", tableRows).WithHint("paste it in parts")
}

// cutRow cuts the first row off.
func cutRow(text string, delim byte) (row []string, rest string, err error) {
	for {
		var cell string
		cell, text = cutCell(text, delim)
		if len(cell) > tableCell {
			return nil, "", fault.Newf(fault.OutOfRange, "", "a cell has more than %d KB", tableCell>>10).WithHint("is there a quote that is never closed?")
		}
		row = append(row, cell)
		if text == "" || text[0] == '\n' {
			return row, strings.TrimPrefix(text, "\n"), nil
		}
		text = text[1:]
		if text == "" {
			return append(row, ""), "", nil
		}
	}
}

// cutCell cuts a cell off; what follows begins with the delimiter or the end of
// the line. A quote that is never closed, or closed in the middle of a cell, is
// a letter like others.
func cutCell(text string, delim byte) (cell, rest string) {
	if t := strings.TrimLeft(text, " "); strings.HasPrefix(t, `"`) {
		var b strings.Builder
		for s := t[1:]; ; {
			i := strings.IndexByte(s, '"')
			if i < 0 || b.Len() > tableCell {
				break
			}
			b.WriteString(s[:i])
			if s = s[i+1:]; strings.HasPrefix(s, `"`) {
				b.WriteByte('"')
				s = s[1:]
				continue
			}
			end := strings.TrimLeft(s, " ")
			if end == "" || end[0] == delim || end[0] == '\n' {
				return b.String(), end
			}
			break
		}
	}
	i := strings.IndexAny(text, string([]byte{delim, '\n'}))
	if i < 0 {
		return text, ""
	}
	return text[:i], text[i:]
}

// delimiterOf finds what parts the cells: what a first line "sep=;" says; a tab
// where there is one; else that of ; and , which stands the same number of times
// in most lines. ' ' is a list typed by hand: a name and what follows it.
func delimiterOf(text string) (byte, string) {
	line, rest, _ := strings.Cut(text, "\n")
	if sep, ok := strings.CutPrefix(strings.TrimSpace(strings.ToLower(line)), "sep="); ok && len(sep) == 1 {
		return sep[0], rest
	}
	if strings.Contains(text, "\t") {
		return '\t', text
	}
	best, most := byte(' '), 0
	for _, d := range []byte{';', ','} {
		count := map[int]int{}
		for i, l := range strings.SplitN(text, "\n", 51) {
			if strings.TrimSpace(l) == "" || i == 50 {
				continue
			}
			n := -1
			for row := l; row != "" || n < 0; n++ {
				_, row = cutCell(row, d)
				if row == "" {
					n++
					break
				}
				row = row[1:]
			}
			count[n]++
		}
		for n, lines := range count {
			if n > 0 && lines > most {
				best, most = d, lines
			}
		}
	}
	if best == ',' && handWritten(text) {
		best = ' '
	}
	return best, text
}

// handWritten tells whether the commas of a text are decimal marks in a list
// typed by hand: "m1 48,5". They stand between digits, behind a space.
func handWritten(text string) bool {
	yes, no := 0, 0
	for i, l := range strings.SplitN(text, "\n", 51) {
		before, after, ok := strings.Cut(strings.TrimSpace(l), ",")
		if !ok || i == 50 {
			continue
		}
		if strings.Contains(before, " ") && endsInDigit(before) && after != "" && after[0] >= '0' && after[0] <= '9' && !strings.Contains(after, ",") {
			yes++
		} else {
			no++
		}
	}
	return yes > no
}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

// wordRows reads a list typed by hand: each line a hive and what was read.
func wordRows(text string) ([][]string, error) {
	var rows [][]string
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\n"), "\n") {
		if len(rows) == tableRows {
			return nil, tooMany()
		}
		if len(line) > tableCell {
			return nil, fault.Newf(fault.OutOfRange, "", "a line has more than %d KB", tableCell>>10)
		}
		name, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		row := []string{name}
		if rest = strings.TrimSpace(rest); rest != "" {
			row = append(row, rest)
		}
		if name == "" {
			row = nil
		}
		rows = append(rows, row)
	}
	return rows, nil
}
