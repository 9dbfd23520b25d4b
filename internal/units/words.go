package units

import (
	"strconv"
	"time"

	"github.com/bojanz/currency"
)

// words are the few words amounts need, by language.
type words struct {
	months   [12]string
	weekdays [7]string // from Sunday
	basis    [2]string // by weight, by volume
	days     string
	us, free string // CLDR names of the language in the US and elsewhere
	comma    bool   // elsewhere money has a decimal comma
}

// Abbreviations as in the Unicode CLDR, without full stops. A new language is
// one more entry.
var languages = map[string]words{
	"en": {
		months:   [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"},
		weekdays: [7]string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"},
		basis:    [2]string{"by weight", "by volume"},
		days:     "days", us: "en-US", free: "en-GB",
	},
	"es": {
		months:   [12]string{"ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sept", "oct", "nov", "dic"},
		weekdays: [7]string{"dom", "lun", "mar", "mié", "jue", "vie", "sáb"},
		basis:    [2]string{"en peso", "en volumen"},
		days:     "días", us: "es-US", free: "es", comma: true,
	},
}

func (s Style) words() words {
	if w, ok := languages[s.Lang]; ok {
		return w
	}
	return languages["en"]
}

// Month gives the short name of a month.
func (s Style) Month(m time.Month) string {
	if m < 1 || m > 12 {
		return notKnown
	}
	return s.words().months[m-1]
}

// Weekday gives the short name of a day of the week.
func (s Style) Weekday(d time.Weekday) string {
	if d < 0 || d > 6 {
		return notKnown
	}
	return s.words().weekdays[d]
}

// Date writes a day without its weekday, "14 Oct". No day gives "".
func (s Style) Date(d Day) string {
	if d == 0 {
		return ""
	}
	return strconv.Itoa(d.DayOfMonth()) + " " + s.Month(d.Month())
}

// Day writes a day, the month always as a word: "Tue 14 Oct". No day gives "".
func (s Style) Day(d Day) string {
	if d == 0 {
		return ""
	}
	return s.Weekday(d.Weekday()) + " " + s.Date(d)
}

// DayYear writes a day with its year: "Tue 14 Oct 2025".
func (s Style) DayYear(d Day) string {
	if d == 0 {
		return ""
	}
	return s.Day(d) + " " + strconv.Itoa(d.Year())
}

// Moment writes a day and, if it was noted, the local time: "Tue 14 Oct 18:02".
func (s Style) Moment(m Moment) string {
	if m.IsZero() {
		return ""
	}
	if m.DayOnly() {
		return s.Day(m.Day())
	}
	return s.Day(m.Day()) + " " + m.Time().Format("15:04")
}

// Money writes an amount to the cent as the person's country does: "$18.40",
// "12,50 €". No amount gives "".
func (s Style) Money(m Money) string {
	if m.IsZero() {
		return ""
	}
	w := s.words()
	id, comma := w.free, w.comma
	if s.System == US {
		id, comma = w.us, false
	}
	f := currency.NewFormatter(currency.NewLocale(id))
	f.MaxDigits = currency.DefaultDigits
	t := f.Format(m.a)
	if comma != (s.mark() == ',') {
		t = swapMarks(t)
	}
	return t
}

// swapMarks exchanges point and comma between digits, for a person whose
// decimal mark is not that of the language.
func swapMarks(t string) string {
	b := []byte(t)
	for i := 1; i+1 < len(b); i++ {
		if !digit(b[i-1]) || !digit(b[i+1]) {
			continue
		}
		switch b[i] {
		case '.':
			b[i] = ','
		case ',':
			b[i] = '.'
		}
	}
	return string(b)
}
