package weather

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// Format is a shape weather files come in.
type Format string

// The formats that are read.
const (
	AnyFormat  Format = ""          // find out from the file
	CSV        Format = "csv"       // a table of the keeper's own: date,tmax_c,tmin_c,rain_mm
	DLY        Format = "ghcn-dly"  // GHCN-Daily, fixed width, one line for a month of one element
	GHCNWide   Format = "ghcn-wide" // GHCN-Daily per station: STATION,DATE,…,TMAX,TMIN,PRCP
	GHCNByYear Format = "ghcn-long" // GHCN-Daily per year: ID,YYYYMMDD,ELEMENT,VALUE,flags
	DWD        Format = "dwd-kl"    // German weather service, produkt_klima_tag
	JSON       Format = "json"      // daily.time[], daily.temperature_2m_max[], daily_units
	Log        Format = "log"       // readings within days, as scales keep them: timestamp,outside_temp_c
	CityCSV    Format = "city-csv"  // location,date,precipitation,temp_max,temp_min,wind,weather
)

// Sizes beyond which a file is not even looked at.
const (
	MaxBytes     = 32 << 20 // a century of one station in any of the formats is under 20 MiB
	MaxJSONBytes = 4 << 20
)

// Scale says in what units a file's numbers are, for files that do not say so
// themselves.
type Scale uint8

// The scales.
const (
	NotTold    Scale = iota
	Celsius          // °C and mm
	Fahrenheit       // °F and inches
	Tenths           // tenths of °C and tenths of mm
)

// String gives "", "c", "f" or "tenths".
func (s Scale) String() string {
	switch s {
	case Celsius:
		return "c"
	case Fahrenheit:
		return "f"
	case Tenths:
		return "tenths"
	}
	return ""
}

// ParseScale reads what String writes.
func ParseScale(s string) (Scale, error) {
	for _, x := range []Scale{NotTold, Celsius, Fahrenheit, Tenths} {
		if strings.EqualFold(strings.TrimSpace(s), x.String()) {
			return x, nil
		}
	}
	return NotTold, fault.Newf(fault.NotUnderstood, "", "%q is not a way weather is written", s).
		WithHint("c for °C and mm, f for °F and inches, tenths for tenths of °C and mm")
}

// What a file does not say and the keeper has to tell: causes of the errors of [Read]
// that say so.
var (
	ErrStation = errors.New("whose weather it is was not told")
	ErrUnits   = errors.New("the units were not told")
	ErrSeveral = errors.New("which of several stations was not told")
)

// ErrGaveUp is the cause of one of the errors of [Read] when the file was not read to
// its end: what could be read before is no use.
var ErrGaveUp = errors.New("given up")

// lacks notes which of them it is.
func lacks(what error, e *fault.Error) error {
	e.Err = what
	return e
}

// UnitsTold says that units were the keeper's word.
func UnitsTold(s Scale) Reason {
	r := Reason{Code: "units-told"}
	switch s {
	case Celsius:
		r.Say = "where the file does not say its units they were taken as °C and mm, as you told"
	case Fahrenheit:
		r.Say = "where the file does not say its units they were taken as °F and inches, as you told"
	case Tenths:
		r.Say = "where the file does not say its units they were taken as tenths of °C and tenths of mm, as you told"
	}
	return r
}

// Options is what the keeper says about a file beside the file itself.
type Options struct {
	File   string // its name, for what is said about it
	Format Format // AnyFormat: find out
	// Scale is used only where neither the file nor its format says the unit.
	Scale Scale
	// Only takes the days of this station and passes over all others; "" = all.
	Only string
	// As is the station the days are to belong to: needed when the file names
	// none; a file of one station is renamed. "" = as the file says.
	As string
	// Issued is the day a forecast was made, for JSON: days from it on are
	// forecast, days before it measured. 0 = all are forecast.
	Issued units.Day
}

// File is what was read from a file.
type File struct {
	Format   Format
	Series   []Series  // one for each station, by id
	Stations []Station // those whose place the file tells, by id
	Notes    []Reason  // what was left out, and what was taken as said by the format
	Bad      int       // entries that could not be read
}

// LeftOut says how many entries could not be read and were passed over.
func LeftOut(n int) Reason {
	return Reason{Code: "left-out", Say: fmt.Sprintf("entries that could not be read and were left out: %d", n)}
}

// Read reads a weather file. Nothing is guessed: when neither the file nor its
// format says in what units the numbers are, or whose weather it is, the error
// is fault.Missing and its hint says what to tell.
//
// Every row that cannot be used is told with its row, its column, what was
// found and what would be right; they come together as a fault.List (the first
// 20, and how many more; after 1000 the rest is not looked at). File then still
// holds the rows that could be read, so that a caller may offer to go on with
// those.
//
// Values that the source itself has marked as doubtful are left out and
// counted in Notes, as are days before 1900.
func Read(b []byte, o Options) (File, error) {
	if o.File == "" {
		o.File = "weather file"
	}
	if len(b) > MaxBytes {
		return File{}, fault.Newf(fault.OutOfRange, o.File, "%d MB is too large for a weather file", len(b)>>20).
			WithHint("up to %d MB: cut out the station you need", MaxBytes>>20)
	}
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	f := o.Format
	if f == AnyFormat {
		var err error
		if f, err = sniff(b, o.File); err != nil {
			return File{}, err
		}
	}
	c := newCollector(o)
	var err error
	switch f {
	case CSV:
		err = readCSV(c, b)
	case DLY:
		err = readDLY(c, b)
	case GHCNWide:
		err = readWide(c, b)
	case GHCNByYear:
		err = readByYear(c, b)
	case DWD:
		err = readDWD(c, b)
	case JSON:
		err = readJSON(c, b)
	case CityCSV:
		err = readCity(c, b)
	case Log:
		err = readLog(c, b)
	default:
		err = fault.Newf(fault.Usage, o.File, "%q is not a format of weather files", string(f)).
			WithHint("leave the format out to have it found")
	}
	if err != nil {
		return File{Format: f}, err
	}
	return c.finish(f)
}

// sniff finds out the format from the first bytes. What cannot be a weather
// file is refused with what it looks like.
func sniff(b []byte, file string) (Format, error) {
	refuse := func(say, hint string) (Format, error) {
		return AnyFormat, fault.New(fault.NotUnderstood, file, say).WithHint("%s", hint)
	}
	switch {
	case len(bytes.TrimSpace(b)) == 0:
		return AnyFormat, fault.New(fault.Missing, file, "the file is empty").
			WithHint("it should hold a line of headings and a line for each day")
	case bytes.HasPrefix(b, []byte("PK")) || bytes.HasPrefix(b, []byte("\x1f\x8b")):
		return refuse("this is a packed file or a workbook", "unpack it, or save the sheet as CSV")
	case bytes.HasPrefix(b, []byte("\xff\xfe")) || bytes.HasPrefix(b, []byte("\xfe\xff")):
		return refuse("this text is in UTF-16", "save it as CSV in UTF-8")
	case bytes.TrimSpace(b)[0] == '{':
		return JSON, nil
	}
	first := string(firstLine(b))
	switch {
	case isDLY(first):
		return DLY, nil
	case strings.HasPrefix(first, "LOCATION,"):
		return refuse("this looks like a typical-year file, put together from months of several years",
			"it cannot say how one year differs from another: use daily weather of whole years")
	case isByYear(first):
		return GHCNByYear, nil
	}
	h := normalHeads(strings.FieldsFunc(first, func(r rune) bool { return r == ',' || r == ';' || r == '\t' }))
	switch {
	case h.all("stations_id", "mess_datum"):
		return DWD, nil
	case h.all("date", "precipitation", "temp_max", "temp_min", "wind", "weather"):
		return CityCSV, nil
	case h.all("date", "tmax", "prcp") && (h.all("station") || h.all("snow") || h.all("tmax_attributes")):
		return GHCNWide, nil
	case isLog(h):
		return Log, nil
	}
	return CSV, nil
}

func firstLine(b []byte) []byte {
	if i := bytes.IndexByte(b, '\n'); i >= 0 {
		b = b[:i]
	}
	return bytes.TrimRight(b, "\r")
}
