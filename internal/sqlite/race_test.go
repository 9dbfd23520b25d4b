//go:build race

package sqlite

// raced: the race detector makes the engine many times slower. Under it the tests
// that go through hundreds of damaged or killed books take every fifth; make test
// runs them all once more without it.
const raced = true
