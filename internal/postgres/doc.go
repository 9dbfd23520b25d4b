// Package postgres keeps a book in a PostgreSQL database, for keepers who have a
// server anyway.
//
// # What it knows
//
// The same table of facts as package sqlite, under names that begin with
// "larder_", so that it may share a database. Several programs may have the
// book open at once.
//
// # Rules
//
//   - A fact is on the server's disk before Append returns: a server that is set
//     not to wait for its disk is refused.
//   - Rows are only ever added. Each carries a check sum, which is looked at
//     whenever it is read.
//   - Programs that start together bring the tables to a new form once.
//   - When the connection breaks while facts are being sent, it may not be known
//     whether they were kept. Sending them again does no harm.
//   - Facts of one book come in one program at a time, so that a program that asks
//     for what is new passes none over.
//   - Beside the facts small texts are kept by name (who may come in is one), and a
//     trail that lines are only added to.
//   - Keepers who share a database have a schema each; the connections of one look
//     into no other.
//
// # What it refuses to know
//
// What facts mean, the clock, and backups: those are the server's (pg_dump), or
// `larder export`.
package postgres
