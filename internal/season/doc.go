// Package season is the loop: the facts of a book folded into a state, and each
// step from there: judge the stores, work out who is short, plan the feeding,
// watch the winter.
//
// Only facts are kept ([Fact], [Book]). All else is recomputed from the facts
// as of a moment ([Journal.AsOf]), so a second look at a hive is one more fact
// and the same functions run again. Screens, commands and sheets call the steps
// here and print what they return; they hold no arithmetic of their own.
//
// The package has no clock and no I/O: as-of and ids come in as arguments.
package season
