package folder

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"larder/internal/fault"
	"larder/internal/season"
)

const (
	seasonSheet  = "season"
	maxBook      = 64 << 20  // bytes of a workbook
	maxUnzipped  = 512 << 20 // of all its parts together
	partOfFact   = 30000     // letters of a long fact in one cell
	sheetPrefix  = "sheet "
	workbookName = "workbook"
)

// WriteXLSX writes facts as one workbook: a sheet season with what season.toml
// holds, and a sheet for each table. Amounts keep their units and stay text;
// bare numbers are numbers. The same facts give the same bytes.
func WriteXLSX(w io.Writer, facts []season.Fact) error {
	x, err := layOut(facts, true)
	if err != nil {
		return err
	}
	f := excelize.NewFile()
	defer f.Close()
	if err := x.workbook(f); err != nil {
		return fault.Wrap(err, "folder.WriteXLSX")
	}
	buf, err := f.WriteToBuffer()
	if err != nil {
		return fault.Wrap(err, "folder.WriteXLSX")
	}
	return fault.Wrap(repack(w, buf.Bytes()), "folder.WriteXLSX")
}

// workbook fills the sheets.
func (x *layout) workbook(f *excelize.File) error {
	if err := f.SetSheetName("Sheet1", seasonSheet); err != nil {
		return err
	}
	if err := writeSheet(f, seasonSheet, x.seasonRows(), nil); err != nil {
		return err
	}
	for _, t := range tables {
		rows, _, err := x.table(t)
		if err != nil {
			return err
		}
		if len(rows) < 2 {
			continue
		}
		if t == otherTable {
			rows = inParts(rows)
		}
		if len(rows) > maxRows {
			return fault.Newf(fault.WontFit, t.name, "%d rows are more than a sheet may have", len(rows)).WithHint("export a folder instead, or fewer years of weather")
		}
		if _, err := f.NewSheet(t.name); err != nil {
			return err
		}
		plain := make([]bool, len(rows[0]))
		for i, h := range rows[0] {
			plain[i] = slices.ContainsFunc(t.fields, func(c field) bool { return c.written() == h && c.plain })
		}
		if err := writeSheet(f, t.name, rows, plain); err != nil {
			return err
		}
	}
	return nil
}

// seasonRows are the lines of season.toml as rows.
func (x *layout) seasonRows() [][]string {
	rows := [][]string{{"key", "value"}, {"format", strconv.Itoa(format)}}
	if x.since != 0 {
		rows = append(rows, []string{"since", x.since.String()})
	}
	if x.note != "" {
		rows = append(rows, []string{"decimal", x.note})
	}
	slices.SortFunc(x.head, func(a, b season.Setting) int { return strings.Compare(a.Key, b.Key) })
	for _, s := range x.head {
		rows = append(rows, []string{guard(s.Key), guard(s.Value)})
	}
	return rows
}

// inParts cuts facts that are too long for a cell.
func inParts(rows [][]string) [][]string {
	out := [][]string{{otherFact, "part"}}
	for _, r := range rows[1:] {
		s, part := r[0], 1
		for len(s) > partOfFact {
			cut := partOfFact
			for !utf8.RuneStart(s[cut]) {
				cut--
			}
			out = append(out, []string{guard(s[:cut]), strconv.Itoa(part)})
			s, part = s[cut:], part+1
		}
		out = append(out, []string{guard(s), strconv.Itoa(part)})
	}
	return out
}

func writeSheet(f *excelize.File, name string, rows [][]string, plain []bool) error {
	w, err := f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	cells := make([]any, 0, len(rows[0]))
	for i, r := range rows {
		cells = cells[:0]
		for k, s := range r {
			cells = append(cells, bookCell(s, i > 0 && k < len(plain) && plain[k]))
		}
		if err := w.SetRow("A"+strconv.Itoa(i+1), cells); err != nil {
			return err
		}
	}
	return w.Flush()
}

// bookCell makes a number of a number that stays what it is.
func bookCell(s string, plain bool) any {
	if s == "" {
		return nil
	}
	if plain {
		// Such programs keep fifteen digits.
		if x, err := strconv.ParseFloat(s, 64); err == nil && digits(x) == s && len(s) <= 15 {
			return x
		}
	}
	return s
}

// repack writes the parts of a workbook in a fixed order, since the library
// takes them as they come.
func repack(w io.Writer, b []byte) error {
	in, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return err
	}
	const first = "[Content_Types].xml" // some readers want it there
	slices.SortFunc(in.File, func(a, b *zip.File) int {
		if (a.Name == first) != (b.Name == first) {
			if a.Name == first {
				return -1
			}
			return 1
		}
		return strings.Compare(a.Name, b.Name)
	})
	out := zip.NewWriter(w)
	for _, f := range in.File {
		if err := out.Copy(f); err != nil {
			return err
		}
	}
	return out.Close()
}

// ReadXLSX reads a season from a workbook, as [ReadReport] does from a folder.
func ReadXLSX(r io.ReaderAt, size int64) (facts []season.Fact, rep Report, err error) {
	damaged := func(cause error) error {
		return fault.List{&fault.Error{Kind: fault.Damaged, Op: "folder.ReadXLSX", Thing: workbookName, Say: "this is not a workbook we can read",
			Hint: "save it as .xlsx, without a password", Err: cause}}
	}
	defer func() { // the library has met fewer strange files than we may be given
		if p := recover(); p != nil {
			facts, rep, err = nil, Report{}, damaged(fmt.Errorf("panic: %v", p))
		}
	}()
	if size > maxBook {
		return nil, rep, fault.List{fault.Newf(fault.OutOfRange, workbookName, "the workbook has %d MB", size>>20).WithHint("at most %d MB", maxBook>>20)}
	}
	if err := unzipped(r, size); err != nil {
		return nil, rep, damaged(err)
	}
	f, err := excelize.OpenReader(io.NewSectionReader(r, 0, size),
		excelize.Options{RawCellValue: true, UnzipSizeLimit: maxUnzipped, UnzipXMLSizeLimit: maxUnzipped})
	if err != nil {
		return nil, rep, damaged(err)
	}
	defer f.Close()
	l := loader{house: house{zone: utc}, rep: Report{Tables: []Count{}, Warnings: []Warning{}}}
	l.workbook(f)
	return l.finish()
}

// unzipped counts what the parts say they unpack to, before anything is
// unpacked. A part that holds more than it says is refused when it is read.
func unzipped(r io.ReaderAt, size int64) error {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return err
	}
	if len(z.File) > 4096 {
		return fmt.Errorf("%d parts", len(z.File))
	}
	sum := uint64(0)
	for _, f := range z.File {
		sum += f.UncompressedSize64
		if sum > maxUnzipped {
			return fmt.Errorf("unpacks to more than %d bytes", maxUnzipped)
		}
	}
	return nil
}

// workbook reads the sheets.
func (l *loader) workbook(f *excelize.File) {
	y1904 := false
	if p, err := f.GetWorkbookProps(); err == nil && p.Date1904 != nil {
		y1904 = *p.Date1904
	}
	sheets := map[string]string{}
	ours := map[string]bool{seasonSheet: true}
	for _, t := range tables {
		ours[t.name] = true
	}
	for _, name := range f.GetSheetList() {
		low := strings.ToLower(strings.TrimSpace(name))
		switch {
		case !ours[low]:
			l.warn(sheetPrefix+name, "this is none of our sheets and was passed over", near(low, ours))
		case sheets[low] != "":
			l.tell(fault.Newf(fault.Conflict, sheetPrefix+name, "%s is there as well, and both mean the same table", sheets[low]).WithHint("keep one of the two"))
		default:
			sheets[low] = name
		}
	}
	if len(sheets) == 0 {
		l.tell(fault.New(fault.NotFound, workbookName, "there is no season in this workbook").
			WithHint("it holds sheets called season, yards, colonies, readings and so on; the manual lists them"))
		return
	}
	if name, ok := sheets[seasonSheet]; ok {
		l.seasonSheet(f, name, y1904)
	}
	for _, t := range tables {
		name, ok := sheets[t.name]
		if !ok {
			continue
		}
		s := &sheet{name: sheetPrefix + name, t: t, m: &manner{house: &l.house, book: true, y1904: y1904}}
		s.m.loc = localeOf(&l.house, 0)
		rows, ok := s.bookRows(f, name)
		if ok {
			s.bookTable(rows)
		}
		l.take(s)
	}
}

func (s *sheet) bookTable(rows [][]string) {
	at, _ := s.t.headRow(rows)
	switch {
	case at >= 0:
		s.table(rows, at)
	case slices.ContainsFunc(rows, func(r []string) bool { return !blank(r) }):
		s.tell(0, fault.Newf(fault.NotUnderstood, s.name, "no row looks like the head of this table").
			WithHint("the head of %s has at least: %s", s.t.name, strings.Join(s.t.needs(), ", ")))
	default:
		s.warn(s.name, "the sheet is empty", "")
	}
}

// bookRows reads the cells of a sheet.
func (s *sheet) bookRows(f *excelize.File, name string) ([][]string, bool) {
	rows, err := f.Rows(name)
	if err != nil {
		s.tell(0, &fault.Error{Kind: fault.Damaged, Thing: s.name, Say: "the sheet cannot be read", Err: err})
		return nil, false
	}
	defer rows.Close()
	var out [][]string
	for rows.Next() {
		if len(out) == maxRows {
			s.tell(len(out), fault.Newf(fault.OutOfRange, s.name, "there are more than %d rows", maxRows).WithHint("split the table by years"))
			return nil, false
		}
		cells, err := rows.Columns()
		if err != nil {
			s.tell(len(out)+1, &fault.Error{Kind: fault.Damaged, Thing: s.at(len(out)+1, ""), Say: "the row cannot be read", Err: err})
			return nil, false
		}
		if len(cells) > maxCols {
			if !blank(cells[maxCols:]) {
				s.tell(len(out)+1, fault.Newf(fault.OutOfRange, s.at(len(out)+1, ""), "the row has more than %d cells", maxCols).WithHint("take the columns out that are not the season's"))
			}
			cells = cells[:maxCols]
		}
		for i, c := range cells {
			if len(c) > 4*maxBookCell || strings.IndexByte(c, 0) >= 0 {
				s.tell(len(out)+1, fault.Newf(fault.OutOfRange, s.at(len(out)+1, place26(i)), "the cell holds more than text of a sensible length"))
				cells[i] = ""
			}
		}
		out = append(out, cells)
	}
	if err := rows.Error(); err != nil {
		s.tell(0, &fault.Error{Kind: fault.Damaged, Thing: s.name, Say: "the sheet cannot be read to its end", Err: err})
		return nil, false
	}
	return out, true
}

// seasonSheet reads the sheet that stands for season.toml.
func (l *loader) seasonSheet(f *excelize.File, name string, y1904 bool) {
	s := &sheet{name: sheetPrefix + name, t: settingsTable, m: &manner{house: &l.house, book: true, y1904: y1904}}
	rows, ok := s.bookRows(f, name)
	l.errs = append(l.errs, s.told()...)
	if !ok {
		return
	}
	at, _ := settingsTable.headRow(rows)
	if at < 0 {
		l.tell(fault.New(fault.NotUnderstood, s.name, "no row looks like the head of this table").WithHint("key, value"))
		return
	}
	cols := s.bind(rows[at], at+1)
	l.rep.Warnings = append(l.rep.Warnings, s.warns...)
	if l.errs = append(l.errs, s.told()...); len(s.errs) > 0 {
		return
	}
	var entries []entry
	for i := at + 1; i < len(rows); i++ {
		var e entry
		for _, b := range cols {
			if b.at >= len(rows[i]) {
				continue
			}
			c := cell{raw: rows[i][b.at], text: strings.TrimSpace(rows[i][b.at]), b: b, m: s.m}
			switch b.f.name {
			case "key":
				e.key = c.freeText(true)
			case "value":
				e.value = tidy(c.freeText(true))
				if e.key == "since" || e.key == "plan.start" {
					if d, ok := serial(e.value, y1904); ok {
						e.value = d
					}
				}
			}
		}
		if e.key != "" {
			e.at = s.at(i+1, "") + ", " + e.key
			entries = append(entries, e)
		}
	}
	l.settings(entries, s.name)
}
