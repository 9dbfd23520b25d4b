package folder

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// Read reads a season folder and gives its facts in order of truth. The error
// is a fault.List with all that is wrong in any file; then there are no facts.
func Read(fsys fs.FS) ([]season.Fact, error) {
	facts, _, err := ReadReport(fsys)
	return facts, err
}

// ReadDir is [ReadReport] for a folder on disk. Links that lead out of it are
// not followed.
func ReadDir(dir string) ([]season.Fact, Report, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		k, say, hint := fault.Damaged, "the folder cannot be opened", ""
		if errors.Is(err, fs.ErrNotExist) {
			k, say, hint = fault.NotFound, "there is no such folder", "`larder demo --folder DIR` writes one to look at"
		}
		return nil, Report{}, fault.List{&fault.Error{Kind: k, Op: "folder.ReadDir", Thing: dir, Say: say, Hint: hint, Err: err}}
	}
	defer root.Close()
	return ReadReport(root.FS())
}

// ReadReport is [Read], and tells what was found and passed over as well.
func ReadReport(fsys fs.FS) ([]season.Fact, Report, error) {
	l := loader{fsys: fsys, rep: Report{Tables: []Count{}, Warnings: []Warning{}}}
	l.list()
	l.season()
	for _, t := range tables {
		if name, ok := l.files[t.file()]; ok {
			l.csv(t, name)
		}
	}
	l.weatherFolder()
	l.scaleFolder()
	l.roadsFolder()
	return l.finish()
}

// loader gathers what the files of a folder say.
type loader struct {
	fsys  fs.FS
	files map[string]string // names in lower case → as they stand in the folder
	house house
	errs  fault.List
	rep   Report
	got   []placedFact
}

func (l *loader) tell(err error) { l.errs = append(l.errs, err) }

func (l *loader) warn(thing, say, hint string) {
	l.rep.Warnings = append(l.rep.Warnings, Warning{Thing: thing, Say: say, Hint: hint})
}

// list looks which files are there. What is none of ours is told, since it may
// be a table with a slip in its name.
func (l *loader) list() {
	l.files = map[string]string{}
	l.house.zone = utc
	entries, err := fs.ReadDir(l.fsys, ".")
	if err != nil {
		l.tell(&fault.Error{Kind: fault.Damaged, Op: "folder.Read", Thing: "season folder", Say: "the folder cannot be read", Err: err})
		return
	}
	ours := map[string]bool{seasonFile: true}
	for _, t := range tables {
		ours[t.file()] = true
	}
	for _, e := range entries {
		low := strings.ToLower(e.Name())
		switch {
		case e.IsDir() && (low == plansFolder || low == weatherDir || low == scaleDir || low == roadsDir), strings.HasPrefix(low, "."), strings.HasPrefix(low, "~$"):
		case e.IsDir() || !ours[low]:
			l.warn(e.Name(), "this is none of our files and was passed over", near(low, ours))
		case l.files[low] != "":
			l.tell(fault.Newf(fault.Conflict, e.Name(), "%s is there as well, and both mean the same table", l.files[low]).WithHint("keep one of the two"))
		default:
			l.files[low] = e.Name()
		}
	}
	if len(l.files) == 0 && len(l.errs) == 0 && !l.hasWeather() {
		l.tell(fault.New(fault.NotFound, "season folder", "there is no season in this folder").
			WithHint("it holds season.toml, yards.csv, colonies.csv, readings.csv and so on; the manual lists them"))
	}
}

// near gives a hint at the file of ours that differs least.
func near(name string, ours map[string]bool) string {
	best, least := "", 4
	for _, o := range sortedKeys(ours) {
		if d := distance(name, o); d < least {
			best, least = o, d
		}
	}
	if best == "" {
		return "the manual lists the files of a season folder"
	}
	return "did you mean " + best + "?"
}

func sortedKeys(m map[string]bool) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// season reads season.toml, which says how the rest is read.
func (l *loader) season() {
	name, ok := l.files[seasonFile]
	if !ok {
		return
	}
	b, err := readFile(l.fsys, name, name)
	var text string
	if err == nil {
		text, _, err = textOf(name, b)
	}
	if err != nil {
		l.tell(err)
		l.house.systemTold, l.house.since = true, 1 // blame no cell for what cannot be known now
		return
	}
	bad := len(l.errs)
	entries := tomlEntries([]byte(text), l.tell)
	l.settings(entries, seasonFile)
	if len(l.errs) > bad && entries == nil {
		l.house.systemTold, l.house.since = true, 1
	}
}

// settings takes what the entries of season.toml, or of the sheet season, say.
func (l *loader) settings(entries []entry, file string) {
	var errs fault.List
	h := readSeason(entries, func(e error) { errs = append(errs, e) })
	if len(errs) > maxTold {
		errs = append(errs[:maxTold], fault.Newf(fault.NotUnderstood, file, "and %d more of this kind", len(errs)-maxTold))
	}
	l.errs = append(l.errs, errs...)
	l.house = h.house
	for _, f := range h.settings {
		l.got = append(l.got, placedFact{fact: f, file: file + ", " + f.Body.(season.Setting).Key})
	}
	l.rep.Tables = append(l.rep.Tables, Count{File: file, Rows: len(entries), Facts: len(h.settings)})
	if !slices.ContainsFunc(entries, func(e entry) bool { return e.key == "format" }) {
		l.warn(file, "it does not say its format; taken as "+strconv.Itoa(format), "write format = 1 at the top")
	}
}

// csv reads one table.
func (l *loader) csv(t *table, name string) {
	b, err := readFile(l.fsys, name, name)
	if err != nil {
		l.tell(err)
		return
	}
	text, ansi, err := textOf(name, b)
	if err != nil {
		l.tell(err)
		return
	}
	s := &sheet{name: name, t: t, m: &manner{house: &l.house, fsys: l.fsys}}
	if ansi {
		s.warn(name, "the letters are not UTF-8; read as Windows-1252", hintUTF8)
	}
	s.read(text)
	l.take(s)
}

// take takes what one sheet gave.
func (l *loader) take(s *sheet) {
	l.errs = append(l.errs, s.told()...)
	l.got = append(l.got, s.got...)
	l.rep.Warnings = append(l.rep.Warnings, s.warns...)
	s.count.File, s.count.Facts = s.name, len(s.got)
	l.rep.Tables = append(l.rep.Tables, s.count)
}

// finish names the facts that have no id, and gives them in order of truth.
func (l *loader) finish() ([]season.Fact, Report, error) {
	if len(l.errs) == 0 {
		l.name()
	}
	if len(l.errs) == 0 {
		l.strangers()
		l.twoWeathers()
	}
	if len(l.errs) > 0 {
		return nil, l.rep, l.errs
	}
	facts := make([]season.Fact, len(l.got))
	for i := range l.got {
		facts[i] = l.got[i].fact
	}
	slices.SortFunc(facts, order)
	return facts, l.rep, nil
}

// order is the order of truth.
func order(a, b season.Fact) int {
	if c := a.Seen.Compare(b.Seen); c != 0 {
		return c
	}
	return a.ID.Compare(b.ID)
}

// name gives ids to the facts that came without. A fact that is there twice to
// the letter is one fact; two different ones of one id cannot be.
func (l *loader) name() {
	x := newNamer()
	first := map[season.ID]int{}
	kept := l.got[:0]
	for _, p := range l.got {
		if !p.fact.ID.IsZero() {
			i, twice := first[p.fact.ID]
			if twice {
				if !season.Same(&kept[i].fact, &p.fact) {
					l.tell(fault.Newf(fault.Conflict, p.at(), "%s has the same id and says something else", kept[i].at()).
						WithHint("for a correction leave id empty and put the old id under replaces"))
				} else {
					l.warn(p.at(), "the same fact stands at "+kept[i].at()+" already", "")
				}
				continue
			}
			first[p.fact.ID] = len(kept)
			x.take(p.fact.ID)
		}
		kept = append(kept, p)
	}
	l.got = kept
	buf := make([]byte, 0, 1024)
	for i := range l.got {
		if f := &l.got[i].fact; f.ID.IsZero() {
			b, err := season.EncodeBody(f)
			if err != nil {
				l.tell(placed(err, l.got[i].at(), "", ""))
				continue
			}
			f.ID = x.derive(f.Kind(), f.RowContent(b, buf[:0]))
		}
	}
}

// hasWeather tells whether there is a folder of weather files.
func (l *loader) hasWeather() bool {
	info, err := fs.Stat(l.fsys, weatherDir)
	return err == nil && info.IsDir()
}

// base is the name of a file without its folder and ending.
func base(name string) string {
	b := path.Base(name)
	return strings.TrimSuffix(b, path.Ext(b))
}

// decimalOf decides the decimal sign of a table: that of the house, or the
// comma where semicolons stand between the cells. When the two disagree nothing
// is taken for granted, and what is not certain is asked about.
func decimalOf(h *house, delim byte) rune {
	switch {
	case delim != ';':
		return h.decimal
	case h.decimal == '.':
		return 0
	}
	return ','
}

func localeOf(h *house, delim byte) units.Locale {
	return units.Locale{Decimal: decimalOf(h, delim), System: h.system}
}
