package access

import (
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Pace of guessing. Same order as what other servers of one household use; the
// doubling is ours.
const (
	freeTries   = 5                // of one address, before it must wait
	firstWait   = 10 * time.Second // doubling with each try
	longestWait = 15 * time.Minute
	forgetAfter = time.Hour // without a try
	mostKeys    = 1000      // addresses remembered at once
)

// throttle slows down those who try and fail. It is asked before each try.
type throttle struct {
	mu  sync.Mutex
	by  map[string]*tries
	all *rate.Limiter
}

type tries struct {
	n          int
	last, next time.Time
}

// newThrottle lets all addresses together try burst times at once and then once
// in every.
func newThrottle(burst int, every time.Duration) *throttle {
	return &throttle{by: map[string]*tries{}, all: rate.NewLimiter(rate.Every(every), burst)}
}

// take asks for one try from an address at a moment: 0 = go on, and it is
// counted; else how long to wait, and it is not.
func (t *throttle) take(address string, now time.Time) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	key := household(address)
	e := t.by[key]
	if e == nil || now.Sub(e.last) > forgetAfter {
		e = &tries{}
	}
	if e.next.Sub(now) > longestWait { // the clock was set back
		e.next = now.Add(longestWait)
	}
	if wait := e.next.Sub(now); wait > 0 {
		return wait
	}
	if wait := reserve(t.all, now); wait > 0 {
		return wait
	}
	e.n, e.last = e.n+1, now
	if over := e.n - freeTries; over >= 0 {
		e.next = now.Add(min(firstWait<<min(over, 10), longestWait))
	}
	t.by[key] = e
	t.shrink(now)
	return 0
}

// clear forgets the tries of an address that did it right.
func (t *throttle) clear(address string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.by, household(address))
}

// shrink keeps the memory small: those that need not wait go first, then the
// oldest.
func (t *throttle) shrink(now time.Time) {
	if len(t.by) <= mostKeys {
		return
	}
	for k, e := range t.by {
		if now.Sub(e.last) > forgetAfter {
			delete(t.by, k)
		}
	}
	for len(t.by) > mostKeys {
		oldest := ""
		for k, e := range t.by {
			if oldest == "" || e.last.Before(t.by[oldest].last) || e.last.Equal(t.by[oldest].last) && k < oldest {
				oldest = k
			}
		}
		delete(t.by, oldest)
	}
}

// reserve takes one from a bucket, or tells how long until there is one.
func reserve(l *rate.Limiter, now time.Time) time.Duration {
	r := l.ReserveN(now, 1)
	wait := r.DelayFrom(now)
	if wait > 0 {
		r.CancelAt(now)
	}
	return wait
}

// household makes one key of the addresses one device can take: of IPv6 the
// first 64 bits.
func household(address string) string {
	a, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	a = a.Unmap().WithZone("")
	if a.Is6() {
		if p, err := a.Prefix(64); err == nil {
			return p.String()
		}
	}
	return a.String()
}

// meter is a bucket for each key: for requests that are no guesses.
type meter struct {
	mu    sync.Mutex
	by    map[string]*rate.Limiter
	every rate.Limit
	burst int
}

func newMeter(every time.Duration, burst int) *meter {
	return &meter{by: map[string]*rate.Limiter{}, every: rate.Every(every), burst: burst}
}

func (m *meter) take(key string, now time.Time) time.Duration {
	m.mu.Lock()
	defer m.mu.Unlock()
	l := m.by[key]
	if l == nil {
		if len(m.by) >= mostKeys { // full buckets need not be remembered
			for k, x := range m.by {
				if x.TokensAt(now) >= float64(m.burst) {
					delete(m.by, k)
				}
			}
			if len(m.by) >= mostKeys {
				clear(m.by)
			}
		}
		l = rate.NewLimiter(m.every, m.burst)
		m.by[key] = l
	}
	return reserve(l, now)
}
