package web

import "sync"

// shelf keeps what a page after a redirect shows and no fact holds: the rows a
// paste could not take, what stays typed in a sheet. It forgets the oldest, and
// all of it when the program ends; nothing is lost by that but a list.
type shelf struct {
	mu    sync.Mutex
	m     map[string]any
	order []string
}

// shelfRoom is how many things lie on it.
const shelfRoom = 32

func (s *shelf) put(key string, v any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.m == nil {
		s.m = map[string]any{}
	}
	if _, ok := s.m[key]; !ok {
		s.order = append(s.order, key)
	}
	s.m[key] = v
	if len(s.order) > shelfRoom {
		delete(s.m, s.order[0])
		s.order = s.order[1:]
	}
}

// fromShelf gives what was put under key, if it is still there.
func fromShelf[V any](s *shelf, key string) (V, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v, ok := s.m[key].(V)
	return v, ok
}
