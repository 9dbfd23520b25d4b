// Package sqlite keeps a book in one SQLite file.
//
// # What it knows
//
// One table of facts, and how not to lose any: a fact is on the disk before
// Append returns (write-ahead log, full sync), one program at a time has the
// book open (lock file), each row carries a check sum, rows are counted when
// they are read, and a file that is not as it should be is refused before a
// byte of it is changed.
//
// # Rules
//
//   - Rows are only ever added; their number in order of arrival has no gaps.
//   - One connection writes, others read. Calls of Append that come in at the
//     same time share one sync, and each is kept or refused as a whole.
//   - After the disk failed to take or give something, nothing more is written
//     until the book is opened anew. A full disk is no such failure: what did
//     not fit is refused and the book goes on.
//   - Any other file is hostile: it is opened for reading only, must have our
//     tables and nothing else, and its facts are copied into a fresh file one
//     by one ([Restore]). It is never taken over.
//   - Never copy the file of an open book; make a [Book.Backup].
//
// # What it refuses to know
//
// What facts mean, and the clock.
package sqlite
