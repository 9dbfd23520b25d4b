package sheet

// Doc is one sheet as a value; it may run over several pages.
type Doc struct {
	Kind     string  // what it is: "Yard sheet"
	Name     string  // of what, in large type: "Mill Lane"
	When     string  // "Tue 14 Oct 2026"
	House    string  // name of the apiary
	Lang     string  // of its words
	Code     string  // ties the paper to the plan it was printed from; "" = none
	Head     []Field // what to know before setting out; printed on every page
	Cautions []Caution
	Parts    []Part
	Foot     []string // what to do with the paper afterwards
	Printed  string   // "Printed from facts of …"
	File     string   // stem of a file name: letters, digits, hyphens
	PageOf   func(n, of int) string
}

// Field is a word and what stands behind it.
type Field struct{ Label, Say string }

// Caution is one warning. English is set under a translation that no speaker
// has read yet.
type Caution struct {
	Word    string // "CAUTION"
	Say     string
	English string
}

// Part is a piece of a sheet: [Table], [Write], [Para], [Picture] or [Grid].
type Part interface{ part() }

// Kind is what a column holds.
type Kind uint8

// The kinds of column. All but Words and Number are for the pencil.
const (
	Words     Kind = iota
	Number         // to the right
	Check          // a box to tick
	CheckLine      // a box to tick and a line to write on when it is not as planned
	Digits         // a box for each digit; see Col.Pattern
	Choices        // boxes to tick with a word each; see Col.Words
	Blank          // room to write
)

// Col is one column of a table.
type Col struct {
	Head    string
	Sub     string // second line of the head, the unit
	Kind    Kind
	Wide    float64  // millimetres; 0 = a share of what is left
	Share   float64  // of what is left, when Wide is 0; 0 counts as 1
	Fit     bool     // as wide as its widest cell, between Wide and Most
	Most    float64  // for Fit
	Big     bool     // large bold type
	Small   bool     // small type
	Pattern string   // Digits: '#' is a box, anything else stands between boxes
	Words   []string // Choices
}

// Cell is one cell. A pencil column draws its boxes unless the cell is Off.
type Cell struct {
	Say   string
	Unit  string // behind Say, in body type
	Small string // a second line in small type
	Off   bool
}

// Row is a row of a table; with Cautions or Wide it runs over all columns
// instead.
type Row struct {
	Cells    []Cell
	Wide     string
	Cautions []Caution
}

// Table is rows under a head that stands again on every page.
type Table struct {
	Caption string
	Cols    []Col
	Rows    []Row
	Least   float64 // height of a row in millimetres
	Most    float64 // up to which rows are made higher where the page has room
	PerPage int     // most rows on a page; 0 = as fit
}

// Write is lines to write on: rows of words, each with room behind.
type Write struct{ Rows [][]Field }

// Para is running text.
type Para struct {
	Say  string
	Bold bool
	Big  bool
}

// Picture is a drawing Wide millimetres wide.
type Picture struct {
	Drawing Drawing
	Wide    float64
}

// Grid is drawings of one size side by side, to be cut apart.
type Grid struct {
	Cells      []Drawing // in millimetres
	Wide, High float64   // of one
}

func (Table) part()   {}
func (Write) part()   {}
func (Para) part()    {}
func (Picture) part() {}
func (Grid) part()    {}
