// Package manual is the handbook: pages of Markdown, built into the program so
// that they can be read where there is no network. It knows nothing of the
// program; the parts of it that list tables and settings are held to the code
// by the tests of the packages they describe.
package manual

import "embed"

// Pages are the pages, each a file NAME.md.
//
//go:embed *.md
var Pages embed.FS
