// Package sheet is paper, and the drawings that screens and paper share.
//
// # What it knows
//
// A [Drawing] is lines, boxes, hatching and words in a frame. It goes to a
// screen as accessible SVG and to paper through a PDF library, from the same
// value. The charts stand on it: [StoresBar], [Dots], [Fan], [DayStrip].
//
// A [Doc] is one sheet of paper as a value: head, cautions, tables with boxes to
// pencil in, drawings, foot. It is laid on pages once ([Doc.Pages]) and printed
// two ways, as HTML that a browser prints ([Doc.HTML]) and as PDF ([Doc.PDF]).
// The sheets themselves ([YardSheet], [LoadCard], [BatchCard], [HeftSheet],
// [Shopping], [HiveLabels], [YardLabels]) are made from the values of a season.
//
// # Rules
//
// Black on white; nothing is told by colour or by grey alone. Row numbers and
// "Sheet 2 of 3" are ours, not the browser's. No row is cut by the end of a page
// and the head of a table stands on every page. The same facts, moment and paper
// give the same bytes. Amounts are written by units.Style; totals are summed
// first and rounded then, and the sheet says so.
//
// # What it refuses to know
//
// How amounts come about: that is the season's. Which words are used: they come
// in through a function, so that sheets are printed in the keeper's language.
package sheet
