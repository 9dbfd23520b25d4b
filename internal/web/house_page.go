package web

import (
	"sync"

	"larder/internal/units"
)

// backups remembers what became of the last back-up since the start.
type backups struct {
	mu   sync.Mutex
	last backedUp
}

// backedUp is one back-up.
type backedUp struct {
	At    units.Moment
	Where string
	Bad   *Trouble
}

func (b *backups) set(x backedUp) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.last = x
}

func (b *backups) get() backedUp {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.last
}
