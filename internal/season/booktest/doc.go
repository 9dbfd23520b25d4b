// Package booktest is what every engine that keeps a book has to pass, and the
// facts to pass it with.
//
// [Run] is the whole of it: an engine's test calls it with a way to open a
// fresh book. [Samples] has a fact of every kind, [AnySet] draws facts at
// random, [Many] makes large seasons for benchmarks, and [Dump] writes a state
// out so that two can be compared.
//
// It refuses to know any engine.
package booktest
