package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"time"

	"github.com/google/uuid"

	"larder/internal/season"
)

// phone logs facts, each until it is acknowledged; when it is calm it sends again
// what was acknowledged.
func (s *Soak) phone(ctx context.Context, p int) {
	random := rand.New(rand.NewPCG(s.Seed, uint64(p)+1))
	client := &http.Client{Transport: &http.Transport{}, Timeout: 20 * time.Second}
	defer client.CloseIdleConnections()
	var mine []entry
	for n := 0; ctx.Err() == nil; n++ {
		if sleep(ctx, time.Duration(20+random.IntN(200))*time.Millisecond) != nil {
			return
		}
		var e entry
		if s.calm.Load() && len(mine) > 0 || len(mine) > 0 && random.IntN(10) == 0 {
			e = mine[random.IntN(len(mine))]
			s.note(func(r *Result) { r.Again++ })
		} else if s.calm.Load() {
			continue
		} else {
			e = entry{season.ID(uuid.Must(uuid.NewV7())), n, s.colonies[random.IntN(len(s.colonies))], time.Now().UTC().Format("2006-01-02T15:04:05.000Z"), random.IntN(2) == 0}
		}
		fresh := !slices.Contains(mine, e)
		for ctx.Err() == nil {
			ok, err := s.send(ctx, client, p, e)
			if ok {
				if fresh {
					mine = append(mine, e)
					s.mu.Lock()
					s.kept = append(s.kept, e.id)
					s.r.Kept++
					s.heard[p] = true
					if !s.back.IsZero() {
						s.r.Back, s.back = max(s.r.Back, time.Since(s.back)), time.Time{}
					}
					s.mu.Unlock()
				}
				break
			}
			if err != nil {
				s.note(func(r *Result) { r.Wrong = append(r.Wrong, err.Error()) })
				break
			}
			s.note(func(r *Result) { r.Waited++ })
			if sleep(ctx, 150*time.Millisecond) != nil {
				return
			}
		}
	}
}

type entry struct {
	id     season.ID
	seq    int
	colony string
	made   string
	left   bool
}

// send sends one fact. ok: it was acknowledged. No error and not ok: try again.
func (s *Soak) send(ctx context.Context, client *http.Client, p int, e entry) (ok bool, err error) {
	kind, body := "given", map[string]any{"colony": e.colony, "feed": "syrup", "volume": "2 L"}
	if e.left {
		kind, body = "left", map[string]any{"colony": e.colony, "volume": "0.5 L"}
	}
	raw, err := json.Marshal(map[string]any{"protocol": 1, "device": fmt.Sprint("d", p), "name": fmt.Sprint("Phone ", p), "now": e.made,
		"entries": []any{map[string]any{"id": e.id.String(), "seq": e.seq, "made": e.made, "kind": kind, "body": body}}})
	if err != nil {
		return false, err
	}
	s.mu.Lock()
	url := s.url
	s.mu.Unlock()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, url+"/phone/facts", bytes.NewReader(raw))
	if err != nil {
		return false, err
	}
	req.Header.Set("Content-Type", "application/json")
	resp, err := client.Do(req)
	if err != nil {
		return false, nil // down
	}
	defer resp.Body.Close()
	var a struct {
		Answers []struct{ Is, Say string }
		Say     string
	}
	if err := json.NewDecoder(resp.Body).Decode(&a); err != nil {
		return false, nil // died while it answered
	}
	switch {
	case resp.StatusCode >= 500 || resp.StatusCode == http.StatusTooManyRequests:
		return false, nil
	case resp.StatusCode != http.StatusOK || len(a.Answers) != 1:
		return false, fmt.Errorf("a phone was answered %s %s", resp.Status, a.Say)
	}
	switch is := a.Answers[0].Is; is {
	case "stored", "already":
		return true, nil
	case "later", "trouble", "waiting":
		return false, nil
	default:
		return false, fmt.Errorf("a phone's fact was %q: %s", is, a.Answers[0].Say)
	}
}

// pages is what desks read.
var pages = []string{"/", "/short", "/plan", "/readings", "/given", "/stop", "/winter", "/yards", "/figures", "/house", "/shed", "/sheets"}

// desk reads pages one after the other.
func (s *Soak) desk(ctx context.Context, d int) {
	random := rand.New(rand.NewPCG(s.Seed, uint64(d)+1000))
	client := &http.Client{Transport: &http.Transport{}, Timeout: 60 * time.Second}
	defer client.CloseIdleConnections()
	// Each page is read before chance decides, the first desk beginning at the first
	// page, the others further on.
	next := d * len(pages) / max(s.Desks, 1)
	for seen := 0; ctx.Err() == nil; {
		if sleep(ctx, time.Duration(50+random.IntN(400))*time.Millisecond) != nil {
			return
		}
		n := (next + seen) % len(pages)
		if seen >= len(pages) {
			n = random.IntN(len(pages))
		}
		page := pages[n]
		s.mu.Lock()
		url := s.url
		s.mu.Unlock()
		req, err := http.NewRequestWithContext(ctx, http.MethodGet, url+page, nil)
		if err != nil {
			return
		}
		began := time.Now()
		resp, err := client.Do(req)
		if err != nil {
			s.note(func(r *Result) { r.Waited++ })
			continue
		}
		_, err = io.Copy(io.Discard, resp.Body)
		resp.Body.Close()
		took := time.Since(began)
		s.note(func(r *Result) {
			switch {
			case err != nil || resp.StatusCode == http.StatusServiceUnavailable:
				r.Waited++
			case resp.StatusCode != http.StatusOK:
				r.Wrong = append(r.Wrong, fmt.Sprintf("%s was answered %s", page, resp.Status))
			default:
				r.Pages++
				seen++
				s.sat[d], s.read[n] = true, true
				if page == "/plan" {
					r.Plans++
				}
				r.Slowest = max(r.Slowest, took)
			}
		})
	}
}
