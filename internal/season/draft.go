package season

import (
	"errors"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
)

// Sheet says what holds for all rows of a sheet of readings that do not say
// otherwise themselves.
type Sheet struct {
	Way      stores.Way // full, lift2, lift1, frames or hand
	Unit     string     // of a weight without one: "lb", "kg"
	FeedUnit string     // of a volume without one: "US gal", "L"
	Seen     units.Moment
	Locale   units.Locale
}

// Cells is one row of a sheet of readings as it was typed. Blank is not read;
// so is "-". "/" is as in the row above. In First "d" says the colony is dead
// and "e" that its feeder is empty; it also takes a heft in words, "24 + 25" for
// two lifts and "6 fr" for frames, whatever the way of the sheet.
type Cells struct {
	Colony string
	Way    string // "" = that of the sheet
	First  string // the weight, the first lift, the frames or the heft
	Second string // the second lift
	Unit   string // "" = that of the sheet
	Feeder string // syrup in the feeder; 0 = seen empty
	Note   string
}

// The cells a trouble can lie in.
const (
	CellFirst  = "first"
	CellSecond = "second"
	CellFeeder = "feeder"
	CellNote   = "note"
	CellWay    = "way"
)

// CellTrouble is what keeps a cell from being taken.
type CellTrouble struct {
	Cell string
	Say  feeding.Reason // in words, with its amounts
	Hint string
}

// Drafted is what a row comes to.
type Drafted struct {
	Cells   Cells // with "/" filled in
	Blank   bool  // nothing was typed
	NotRead bool  // it says that it was not read
	Dead    bool
	// Reading is what was read, when HasReading.
	Reading    stores.Reading
	HasReading bool
	Bodies     []any // what would be kept of the row
	Trouble    []CellTrouble
}

// OK tells whether the row has something to keep and nothing wrong with it.
func (d *Drafted) OK() bool { return len(d.Trouble) == 0 && len(d.Bodies) > 0 }

// Draft reads the rows of a sheet. Rows do not depend on each other but for "/".
func (st *State) Draft(s Sheet, rows []Cells) []Drafted {
	out := make([]Drafted, len(rows))
	var above Cells
	for i, c := range rows {
		c = c.ditto(above)
		above = c
		out[i] = st.draftRow(s, c)
	}
	return out
}

// ditto fills in what is as in the row above.
func (c Cells) ditto(above Cells) Cells {
	for _, p := range []struct {
		to   *string
		from string
	}{{&c.First, above.First}, {&c.Second, above.Second}, {&c.Feeder, above.Feeder}, {&c.Note, above.Note}} {
		if strings.TrimSpace(*p.to) == "/" {
			*p.to = p.from
		}
	}
	return c
}

func (st *State) draftRow(s Sheet, c Cells) Drafted {
	for _, p := range []*string{&c.Way, &c.First, &c.Second, &c.Unit, &c.Feeder, &c.Note} {
		*p = strings.TrimSpace(*p)
	}
	d := Drafted{Cells: c}
	if c.First == "" && c.Second == "" && c.Feeder == "" && c.Note == "" {
		d.Blank = true
		return d
	}
	if c.Unit == "" {
		c.Unit = s.Unit
	}
	way := stores.Way(c.Way)
	if way == "" {
		way = s.Way
	}
	switch word := strings.ToLower(c.First); {
	case notReadWords[word] && (c.Second == "" || notReadWords[c.Second]):
		d.NotRead = word != ""
	case deadWords[word]:
		d.Dead = true
		d.Bodies = append(d.Bodies, apiary.Ended{Colony: c.Colony, State: apiary.Dead, Cause: "unknown"})
	case word == "e" && c.Feeder == "":
		c.Feeder = "0"
	default:
		d.read(st, s, c, way)
	}
	d.feeder(s, c)
	d.note(c)
	return d
}

var (
	notReadWords = map[string]bool{"": true, "-": true, "–": true, "—": true}
	deadWords    = map[string]bool{"d": true, "dead": true, "†": true, "muerta": true, "muerto": true}
	heftWords    = map[string]stores.Heft{
		"l": stores.Light, "light": stores.Light, "ligera": stores.Light, "ligero": stores.Light, "liviana": stores.Light,
		"f": stores.Fair, "fair": stores.Fair, "m": stores.Fair, "media": stores.Fair, "medio": stores.Fair,
		"h": stores.Heavy, "heavy": stores.Heavy, "p": stores.Heavy, "pesada": stores.Heavy, "pesado": stores.Heavy,
	}
)

// bad notes a trouble with a cell.
func (d *Drafted) bad(cell string, err error) {
	var e *fault.Error
	if !errors.As(err, &e) {
		e = &fault.Error{Say: err.Error()}
	}
	d.Trouble = append(d.Trouble, CellTrouble{Cell: cell, Say: feeding.Reason{Code: e.Kind.String(), Say: e.Say}, Hint: e.Hint})
}

// read reads the cells of the reading itself.
func (d *Drafted) read(st *State, s Sheet, c Cells, way stores.Way) {
	first, about := units.ParseAbout(c.First)
	way, first, second := typedWay(way, first, c.Second)
	r := stores.Reading{Colony: c.Colony, Way: way, Note: c.Note, About: about}
	switch way {
	case stores.Full:
		d.weight(CellFirst, first, c.Unit, s.Locale, &r.Gross)
	case stores.LiftOne:
		d.weight(CellFirst, first, c.Unit, s.Locale, &r.Lift1)
	case stores.LiftBoth:
		d.weight(CellFirst, first, c.Unit, s.Locale, &r.Lift1)
		d.weight(CellSecond, second, c.Unit, s.Locale, &r.Lift2)
	case stores.Frames:
		l, err := ReadFrames(first, hiveOf(st, c.Colony), s.Locale)
		if err != nil {
			d.bad(CellFirst, err)
		}
		r.Frames = l
	case stores.Hand:
		h, ok := heftWords[strings.ToLower(first)]
		if !ok {
			d.bad(CellFirst, fault.Newf(fault.NotUnderstood, "", "%q is no heft", first).WithHint("light, fair or heavy; l, f or h will do"))
		}
		r.Heft = h
	default:
		d.bad(CellWay, fault.Newf(fault.NotUnderstood, "", "%q is no way of judging stores", string(way)))
	}
	if way != stores.LiftBoth && second != "" {
		d.bad(CellSecond, fault.New(fault.Conflict, "", "a second lift does not belong to this way of reading").WithHint("choose two lifts as the way, or take it out"))
	}
	if len(d.Trouble) > 0 {
		return
	}
	if c.Feeder != "" {
		if v, err := readFeeder(s, c.Feeder); err == nil {
			r.InFeeder = v
		}
	}
	d.Reading, d.HasReading = r, true
	d.Bodies = append(d.Bodies, r)
}

// typedWay lets what was typed decide the way where it can be nothing else.
func typedWay(way stores.Way, first, second string) (stores.Way, string, string) {
	low := strings.ToLower(first)
	if _, ok := heftWords[low]; ok {
		return stores.Hand, first, second
	}
	for _, w := range []string{"frames", "frame", "fr", "cuadros", "cuadro", "marcos"} {
		if n, ok := strings.CutSuffix(low, w); ok && n != "" && (n[len(n)-1] == ' ' || n[len(n)-1] >= '0' && n[len(n)-1] <= '9' || n[len(n)-1] >= 0x80) {
			return stores.Frames, strings.TrimSpace(first[:len(n)]), second
		}
	}
	if a, b, ok := strings.Cut(first, "+"); ok && way != stores.Frames && second == "" && strings.TrimSpace(a) != "" {
		return stores.LiftBoth, strings.TrimSpace(a), strings.TrimSpace(b)
	}
	return way, first, second
}

// The weights a reading can have, in kg: outside it is a slip of the pen.
const leastHiveKg = 1

// weight reads a weight into at.
func (d *Drafted) weight(cell, text, unit string, l units.Locale, at *units.Entered[units.Mass]) {
	if notReadWords[text] {
		d.bad(cell, fault.New(fault.Missing, "", "this lift is missing").WithHint("with one side only, choose one lift as the way"))
		return
	}
	e, err := units.EnterMassIn(text, unit, l)
	if err != nil {
		if cell == CellFirst && !strings.ContainsAny(text, "0123456789") { // a word, and not one of those for a heft
			err = fault.Newf(fault.NotUnderstood, "", "%q is no weight and no heft", text).WithHint("a weight such as 48 lb or 22 kg, or by hand light, fair or heavy")
		}
		d.bad(cell, err)
		return
	}
	if x := e.Q.Kg(); !(x >= leastHiveKg && x <= maxHiveKg) {
		d.Trouble = append(d.Trouble, CellTrouble{Cell: cell, Say: feeding.Reason{Code: "weight-range",
			Say:     "{0} must be between {1} and {2}",
			Amounts: []any{e.String(), units.Mass(leastHiveKg), units.Mass(maxHiveKg)}}})
		return
	}
	*at = e
}

func readFeeder(s Sheet, text string) (units.Entered[units.Volume], error) {
	if strings.EqualFold(text, "e") {
		text = "0"
	}
	e, err := units.EnterVolumeIn(text, s.FeedUnit, s.Locale)
	if err == nil && e.Q.L() > 200 {
		err = fault.Newf(fault.OutOfRange, "", "%s in one feeder cannot be", e)
	}
	return e, err
}

// feeder reads what was in the feeder: a look of its own, since what was taken
// follows from it.
func (d *Drafted) feeder(s Sheet, c Cells) {
	if notReadWords[c.Feeder] {
		return
	}
	v, err := readFeeder(s, c.Feeder)
	if err != nil {
		d.bad(CellFeeder, err)
		return
	}
	d.Bodies = append(d.Bodies, ledger.Left{Colony: c.Colony, Volume: v})
}

// note keeps a note that no reading carries.
func (d *Drafted) note(c Cells) {
	if c.Note == "" || d.HasReading || len(d.Trouble) > 0 {
		return
	}
	d.Bodies = append(d.Bodies, apiary.Look{Colony: c.Colony, Note: c.Note})
}
