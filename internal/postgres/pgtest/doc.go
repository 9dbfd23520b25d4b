// Package pgtest runs a PostgreSQL server of its own for tests: made anew in a
// folder of its own, reached through a socket there and by nobody else, with
// all its safety on, and gone with the test program.
//
// It finds the server's programs or fails; it never skips. tools/need.sh
// installs them. There is none of it on Windows.
package pgtest
