// Package folder reads and writes a season as plain files: one season.toml and
// a CSV table for every kind of fact, or one workbook (XLSX) with a sheet for
// each. The manual page "The season folder" documents every column, and a test
// holds the page to the tables of this package.
//
// # Rules
//
// Nothing is lost either way: what [Write] writes, [Read] reads as the same
// facts, ids and entered units included, and writing those again gives the same
// bytes. A fact that does not fit the plain columns goes into other.csv as the
// book keeps it. Write proves each row by reading it back before a byte leaves.
//
// Nothing is half read: with one trouble anywhere, Read gives no facts, and all
// troubles at once, each with its file, row, column, what was found and what
// would be right. What is passed over without harm (a column of the keeper's
// own, say) is told in the [Report].
//
// Nothing is guessed. An amount has its unit in the cell or in the head of its
// column; failing both, the unit usual with house.units is taken and told. The
// decimal sign and the order of day and month are decided for a whole file, by
// season.toml or by what is certain in the file, never cell by cell; what stays
// open is asked about.
//
// A row without an id gets [season.DerivedID] of its content, so that reading a
// folder twice makes the same facts. The content is the JSON of the body, then
// seen, made, by and replaces, each on a line of its own.
//
// # What it refuses to know
//
// What the facts mean. It checks cells and, through [season.Fact.Check], single
// facts; whether a colony exists or a reading can be is judged elsewhere.
package folder
