package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// score counts how often what came lay where it was foretold.
type score struct {
	What, Place string
	Want        float64 // the share wanted: 0.8 for an 80 % range
	Inside      float64 // of N; a sum of chances where each season is simulated many times
	N           int
	Below       int
	Above       int
	AtLeast     bool // "at least the wanted share" is what is promised
	Out         []string
	Pit         []point // where in its range each season came, 0…1
}

type point struct {
	Season int
	At     float64
}

// add scores one season: what came, and the range foretold.
func (s *score) add(season int, came, low, high float64, say func(float64) string) {
	s.N++
	switch {
	case came < low:
		s.Below++
		s.Out = append(s.Out, fmt.Sprintf("%d: %s, foretold %s to %s", season, say(came), say(low), say(high)))
	case came > high:
		s.Above++
		s.Out = append(s.Out, fmt.Sprintf("%d: %s, foretold %s to %s", season, say(came), say(low), say(high)))
	default:
		s.Inside++
	}
}

// band gives the shares inside which a true share of Want lies in 95 of 100
// such counts (normal approximation, with the half for whole numbers).
func (s *score) band() (low, high float64) {
	n := float64(s.N)
	if n == 0 {
		return 0, 1
	}
	w := 1.96*math.Sqrt(s.Want*(1-s.Want)/n) + 0.5/n
	return math.Max(0, s.Want-w), math.Min(1, s.Want+w)
}

func (s *score) share() float64 {
	if s.N == 0 {
		return math.NaN()
	}
	return s.Inside / float64(s.N)
}

// verdict says whether the share keeps its promise within the band.
func (s *score) verdict() string {
	low, high := s.band()
	switch x := s.share(); {
	case s.N < 10:
		return "too few to say"
	case x < low:
		return "too few inside"
	case x > high && !s.AtLeast:
		return "too many inside: wider than need be"
	}
	return "as foretold"
}

func (s *score) row() string {
	low, high := s.band()
	want := fmt.Sprintf("%.0f %%", 100*s.Want)
	if s.AtLeast {
		want = "at least " + want
	}
	return fmt.Sprintf("| %s | %s | %d | %s | %.1f %% | %.0f–%.0f %% | %d | %d | %s |", s.What, s.Place, s.N, want, 100*s.share(), 100*low, 100*high, s.Below, s.Above, s.verdict())
}

// decades says where in their ranges the seasons came, twenty years at a time:
// 0.5 is no leaning.
func (s *score) decades() string {
	if len(s.Pit) == 0 {
		return ""
	}
	var out []string
	for at := s.Pit[0].Season / 20 * 20; at <= s.Pit[len(s.Pit)-1].Season; at += 20 {
		sum, n := 0.0, 0
		for _, p := range s.Pit {
			if p.Season >= at && p.Season < at+20 {
				sum += p.At
				n++
			}
		}
		if n > 0 {
			out = append(out, fmt.Sprintf("%d–%d %.2f (%d)", at, at+19, sum/float64(n), n))
		}
	}
	return strings.Join(out, ", ")
}

// sampleRange gives the range a further one of the same kind keeps to with
// chance p, from n alike: the order statistics at p/2·(n+1) from either end,
// straight between them. It is exact for any continuous distribution where the
// rank is whole.
func sampleRange(xs []float64, p float64) (low, high float64) {
	s := slices.Sorted(slices.Values(xs))
	n := len(s)
	at := func(q float64) float64 {
		x := math.Min(math.Max(q*float64(n+1)-1, 0), float64(n-1))
		i := min(int(x), n-2)
		if n == 1 {
			return s[0]
		}
		return s[i] + (x-float64(i))*(s[i+1]-s[i])
	}
	return at((1 - p) / 2), at((1 + p) / 2)
}

// pit gives the share of xs below x, ties half.
func pit(xs []float64, x float64) float64 {
	s := 0.0
	for _, v := range xs {
		switch {
		case v < x:
			s++
		case v == x:
			s += 0.5
		}
	}
	return s / float64(len(xs))
}
