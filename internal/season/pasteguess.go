package season

import (
	"slices"
	"strings"

	"larder/internal/units"
)

// headWords are what people call their columns, in the languages the screens
// speak and a few that spreadsheets of the trade come in.
var headWords = []struct {
	f     Field
	words []string
}{
	{FieldNone, []string{"yard", "apiary", "apiario", "colmenar", "place"}},
	// Frames of bees or brood are no frames of stores.
	{FieldNone, []string{"bees", "bee", "brood", "frames of bees", "frames of brood", "strength", "abejas", "cria", "cría", "bienen", "brut", "abeilles", "couvain"}},
	{FieldLift2, []string{"lift2", "lift 2", "second lift", "side 2", "right", "right side", "lado 2", "segundo lado", "derecha"}},
	{FieldLift1, []string{"lift1", "lift 1", "first lift", "lift", "side 1", "left side", "one side", "lado 1", "primer lado", "izquierda"}},
	{FieldFrames, []string{"frames", "frames of stores", "stores frames", "cuadros", "marcos", "waben", "cadres"}},
	{FieldHeft, []string{"heft", "hand", "hand heft", "sopeso", "a mano"}},
	{FieldFeeder, []string{"feeder", "in feeder", "in_feeder", "feeder content", "left in feeder", "alimentador", "comedero"}},
	{FieldUnit, []string{"unit", "units", "unidad", "einheit"}},
	{FieldDate, []string{"date", "day", "seen", "when", "fecha", "dia", "día", "datum", "tag"}},
	{FieldNote, []string{"note", "notes", "remark", "remarks", "comment", "comments", "nota", "notas", "observaciones", "bemerkung"}},
	{FieldWeight, []string{"weight", "weights", "wt", "wgt", "hive wt", "gross", "gross weight", "gross wt", "full weight", "total", "total weight", "scale", "lb", "lbs", "kg", "pounds", "peso", "peso bruto", "gewicht", "poids"}},
	{FieldHive, []string{"hive", "colony", "hive no", "hive number", "hive id", "name", "nr", "no", "number", "id", "colmena", "nombre", "numero", "número", "volk", "stock", "ruche"}},
}

// headField tells what a column is from its head: the head is one of our words,
// or the first of them in the order above that stands in it. A unit in brackets
// or behind the word does not matter.
func headField(head string) Field {
	h := headKey(head)
	for _, w := range headWords {
		if slices.Contains(w.words, h) {
			return w.f
		}
	}
	for _, w := range headWords { // "Hive weight", "Date of weighing"
		for _, word := range w.words {
			if strings.Contains(" "+h+" ", " "+word+" ") {
				return w.f
			}
		}
	}
	return FieldNone
}

func headKey(head string) string {
	h := strings.ToLower(strings.TrimSpace(head))
	if i := strings.IndexAny(h, "(["); i > 0 {
		h = h[:i]
	}
	h = strings.Trim(strings.NewReplacer(".", " ", ":", " ", "#", " no ", "_", " ").Replace(h), " ")
	w := strings.Fields(h)
	if len(w) > 1 && headUnit(w[len(w)-1]) != "" {
		w = w[:len(w)-1]
	}
	if len(w) > 1 && w[len(w)-1] == "in" {
		w = w[:len(w)-1]
	}
	return strings.Join(w, " ")
}

// headUnit gives the unit of weight a head names: "Weight (lb)" is lb.
func headUnit(head string) string {
	for _, w := range strings.FieldsFunc(strings.ToLower(head), func(r rune) bool { return !(r >= 'a' && r <= 'z') }) {
		switch w {
		case "lb", "lbs", "pound", "pounds", "libras":
			return "lb"
		case "kg", "kgs", "kilo", "kilos", "kilograms":
			return "kg"
		}
	}
	return ""
}

// SplitHead parts the head of a table from its rows: the first row is a head
// when it names a column and holds no amount.
func SplitHead(rows [][]string) (head []string, body [][]string) {
	if len(rows) == 0 {
		return nil, nil
	}
	known, numbers := 0, 0
	for _, c := range rows[0] {
		if headField(c) != FieldNone {
			known++
		}
		if startsWithDigit(c) {
			numbers++
		}
	}
	if known == 0 || numbers > known {
		return nil, rows
	}
	return rows[0], rows[1:]
}

func startsWithDigit(c string) bool {
	c = strings.TrimSpace(c)
	return c != "" && c[0] >= '0' && c[0] <= '9'
}

// guessFields tells what the columns hold: by their heads, else by what is in
// them.
func (st *State) guessFields(p Paste) []Field {
	wide := len(p.Head)
	for _, r := range p.Rows {
		wide = max(wide, len(r))
	}
	out := make([]Field, wide)
	used := map[Field]bool{}
	for i, h := range p.Head {
		if f := headField(h); f != FieldNone && !used[f] {
			out[i], used[f] = f, true
		}
	}
	if used[FieldHive] && (used[FieldWeight] || used[FieldLift1] || used[FieldFrames] || used[FieldHeft]) {
		return out
	}
	byKey := st.namesByKey()
	for i := range out {
		if out[i] == FieldNone {
			if f := guessByCells(columnCells(p.Rows, i), byKey, used); f != FieldNone && !used[f] {
				out[i], used[f] = f, true
			}
		}
	}
	if !used[FieldHive] {
		guessNames(out)
	}
	return out
}

// guessNames takes the first column left over for the names of hives; failing
// one, the first column, if it had been taken for weights and others may be
// them.
func guessNames(out []Field) {
	if i := slices.Index(out, FieldNone); i >= 0 && (i == 0 || out[0] != FieldWeight) {
		out[i] = FieldHive
		return
	} else if i > 0 {
		out[0], out[i] = FieldHive, FieldWeight
	}
}

// guessByCells tells a column from most of its cells.
func guessByCells(cells []string, byKey map[string][]string, used map[Field]bool) Field {
	var n, names, days, hefts, weights, short int
	for _, c := range cells {
		c = strings.TrimSpace(c)
		if c == "" {
			continue
		}
		n++
		if len(byKey[NameKey(c)]) > 0 {
			names++
		}
		if _, err := ReadDay(c, DayFirst, units.DayOf(2199, 1, 1)); err == nil {
			days++
		}
		if _, ok := heftWords[strings.ToLower(c)]; ok {
			hefts++
		}
		if _, err := units.ParseMassIn(strings.TrimPrefix(c, "~"), "kg", units.Locale{Decimal: '.'}); err == nil {
			weights++
		}
		if len(c) <= 12 {
			short++
		}
	}
	most := func(x int) bool { return n > 0 && 2*x > n }
	switch {
	case most(names) && !used[FieldHive]:
		return FieldHive
	case most(days) && !used[FieldDate]:
		return FieldDate
	case most(hefts) && !used[FieldHeft]:
		return FieldHeft
	case len(byKey) == 0 && most(short) && !used[FieldHive]:
		return FieldHive // no hives yet: the first column names them
	case most(weights) && !used[FieldWeight] && !used[FieldLift1]:
		return FieldWeight
	case n > 0 && !most(short) && !used[FieldNote]:
		return FieldNote
	}
	return FieldNone
}

// columnsOf describes the columns: the decimal mark is decided for each column
// as a whole.
func columnsOf(p Paste) []PasteColumn {
	out := make([]PasteColumn, len(p.Fields))
	for i, f := range p.Fields {
		c := PasteColumn{Field: f}
		if i < len(p.Head) {
			c.Head = strings.TrimSpace(p.Head[i])
		}
		c.Unit = headUnit(c.Head)
		if f == FieldWeight || f == FieldLift1 || f == FieldLift2 || f == FieldFrames || f == FieldFeeder {
			c.Decimal, c.Sure = decimalOf(columnCells(p.Rows, i), p.Locale.Decimal)
		}
		out[i] = c
	}
	return out
}

// decimalOf finds the decimal mark of a column: that of the numbers that can be
// read one way only, by majority; else the keeper's. 0 when no number has one.
func decimalOf(cells []string, usual rune) (mark rune, sure bool) {
	point, comma, open := 0, 0, 0
	for _, c := range cells {
		i := strings.IndexAny(c, ".,")
		j := strings.LastIndexAny(c, ".,")
		if i < 0 {
			continue
		}
		after := digits(c[j+1:])
		switch {
		case i != j && c[i] == c[j], i == j && after == 3 && digits(strings.TrimLeft(c, " ~")) == i && i <= 3:
			open++
		case c[j] == '.':
			point++
		default:
			comma++
		}
	}
	switch {
	case point == 0 && comma == 0 && open == 0:
		return 0, false
	case point > comma:
		return '.', true
	case comma > point:
		return ',', true
	}
	return usual, false
}

// unitOf gives the unit of weights that do not say theirs.
func unitOf(p Paste, cols []PasteColumn) string {
	if p.Unit != "" {
		return p.Unit
	}
	for _, c := range cols {
		if c.Unit != "" && slices.Contains([]Field{FieldWeight, FieldLift1, FieldLift2}, c.Field) {
			return c.Unit
		}
	}
	return p.Usual
}
