package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// Load is what the phones do. For = 0 sends without waiting, Rate facts each.
type Load struct {
	Phones, Rate int
	Batch        int // facts in one sending, 0 = 1
	For          time.Duration
	Seed         uint64
	Tokens       []string // of the phones, when they are paired; else they come from this computer
}

// Result is what came of it.
type Result struct {
	Sent, Again, Errors, Lost, Twice int
	Held                             int             // told to come again later, and did
	Took                             []time.Duration // of each sending, sorted
	All                              time.Duration
	First                            string // error
}

// Good tells whether nothing was lost, refused or kept twice.
func (r Result) Good() bool { return r.Errors == 0 && r.Lost == 0 && r.Twice == 0 && r.Sent > 0 }

func (r Result) at(share float64) time.Duration {
	if len(r.Took) == 0 {
		return 0
	}
	return r.Took[int(share*float64(len(r.Took)-1))].Round(100 * time.Microsecond)
}

func (r Result) String() string {
	s := fmt.Sprintf("%d facts in %v, %.0f a second in %.0f sendings; %d sendings again, %d held back; answers: half within %v, 95 %% within %v, 99 %% within %v, the last %v; %d errors, %d lost, %d kept twice",
		r.Sent, r.All.Round(time.Millisecond), float64(r.Sent)/r.All.Seconds(), float64(len(r.Took))/r.All.Seconds(), r.Again, r.Held, r.at(0.5), r.at(0.95), r.at(0.99), r.at(1), r.Errors, r.Lost, r.Twice)
	if r.First != "" {
		s += "; the first error: " + r.First
	}
	return s
}

const hivesEach = 12

// Hives makes one yard of hives for each phone.
func Hives(phones int) []season.Fact {
	var out []season.Fact
	day := units.OnDay(units.DayOf(2026, time.August, 1))
	add := func(body any) {
		out = append(out, season.Fact{ID: newID(0xfffe, len(out)), Seen: day, Body: body})
	}
	for p := range phones {
		add(apiary.Yard{ID: yardOf(p)})
		for h := range hivesEach {
			add(apiary.Placed{Colony: apiary.Colony{ID: hiveOf(p, h), Yard: yardOf(p), Stand: h + 1, Kind: apiary.Full}})
		}
	}
	return out
}

func yardOf(p int) string    { return fmt.Sprintf("y%d", p) }
func hiveOf(p, h int) string { return fmt.Sprintf("y%d-%d", p, h%hivesEach) }

// newID makes the n-th name of a phone: of version 7, as phones make them.
func newID(phone, n int) season.ID {
	return season.ID{0x01, 0x98, byte(n >> 16), byte(n >> 8), byte(n), 1, 6: 0x70, 8: 0x80, 9: byte(phone >> 8), 10: byte(phone), 15: 1}
}

// Drive lets the phones send to home and looks into its book afterwards.
func (l Load) Drive(ctx context.Context, home string, book season.Book) (Result, error) {
	r := l.Send(ctx, home)
	return r, r.look(ctx, book)
}

// Send lets the phones send to home.
func (l Load) Send(ctx context.Context, home string) (r Result) {
	var mu sync.Mutex
	var wg sync.WaitGroup
	began := time.Now()
	for p := range l.Phones {
		wg.Go(func() {
			x := l.phone(ctx, home, p)
			mu.Lock()
			defer mu.Unlock()
			r.Sent, r.Again, r.Errors, r.Held, r.Took = r.Sent+x.Sent, r.Again+x.Again, r.Errors+x.Errors, r.Held+x.Held, append(r.Took, x.Took...)
			if r.First == "" {
				r.First = x.First
			}
		})
	}
	wg.Wait()
	r.All = time.Since(began)
	slices.Sort(r.Took)
	return r
}

// look counts what is lost or twice in the book.
func (r *Result) look(ctx context.Context, book season.Book) error {
	all, err := book.Facts(ctx, units.Moment{})
	if err != nil {
		return err
	}
	kept := map[season.ID]int{}
	for _, f := range all {
		if _, ok := f.Body.(ledger.Given); ok {
			kept[f.ID]++
		}
	}
	for _, n := range kept {
		r.Twice += n - 1
	}
	r.Lost = max(r.Sent-len(kept), 0)
	return nil
}

// phone is one phone's evening.
func (l Load) phone(ctx context.Context, home string, p int) (r Result) {
	client := &http.Client{Transport: &http.Transport{}, Timeout: 20 * time.Second}
	defer client.CloseIdleConnections()
	random := rand.New(rand.NewPCG(l.Seed, uint64(p)))
	batch := max(l.Batch, 1)
	every := time.Second * time.Duration(batch) / time.Duration(max(l.Rate, 1))
	facts := l.Rate
	if l.For > 0 {
		facts = int(l.For/every) * batch
		time.Sleep(time.Duration(random.Int64N(int64(every)))) // phones are not in step
	}
	began := time.Now()
	for n := 0; n < facts; n += batch {
		if l.For > 0 {
			time.Sleep(time.Until(began.Add(time.Duration(n/batch) * every)))
		}
		many := min(batch, facts-n)
		r.Sent += many
		for {
			from := time.Now()
			wait, err := l.send(ctx, client, home, p, n, many)
			if wait > 0 {
				r.Held++
				time.Sleep(wait)
				continue
			}
			r.Took = append(r.Took, time.Since(from))
			if err != nil {
				r.Errors++
				r.First = err.Error()
				break
			}
			if random.IntN(20) > 0 {
				break
			}
			r.Again++ // the answer was lost on its way
		}
	}
	return r
}

// send sends the facts of a phone from the n-th on. A wait is how long home says
// to keep them.
func (l Load) send(ctx context.Context, client *http.Client, home string, p, n, many int) (time.Duration, error) {
	now := time.Now().UTC().Format("2006-01-02T15:04:05.000Z")
	var entries []any
	for i := n; i < n+many; i++ {
		entries = append(entries, map[string]any{"id": newID(p, i).String(), "seq": i, "made": now, "kind": "given",
			"body": map[string]any{"colony": hiveOf(p, i), "feed": "syrup", "volume": "2 L"}})
	}
	raw, err := json.Marshal(map[string]any{"protocol": 1, "device": fmt.Sprint("d", p), "name": fmt.Sprint("Phone ", p), "now": now, "entries": entries})
	if err != nil {
		return 0, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, home+"/phone/facts", bytes.NewReader(raw))
	if err != nil {
		return 0, err
	}
	req.Header.Set("Content-Type", "application/json")
	if p < len(l.Tokens) {
		req.AddCookie(&http.Cookie{Name: "larder-phone", Value: l.Tokens[p]})
		req.Header.Set(fromHead, fmt.Sprintf("192.168.%d.%d", 1+p/200, 20+p%200))
	}
	resp, err := client.Do(req)
	if err != nil {
		return 0, err
	}
	defer resp.Body.Close()
	if resp.StatusCode == http.StatusTooManyRequests {
		s, err := strconv.Atoi(resp.Header.Get("Retry-After"))
		return max(time.Duration(s)*time.Second, 100*time.Millisecond), err
	}
	var a struct {
		Answers []struct{ Is, Say string }
		Say     string
	}
	if err := json.NewDecoder(resp.Body).Decode(&a); err != nil {
		return 0, err
	}
	if resp.StatusCode != http.StatusOK || len(a.Answers) != many {
		return 0, fmt.Errorf("%s %s", resp.Status, a.Say)
	}
	for _, x := range a.Answers {
		if x.Is != "stored" && x.Is != "already" {
			return 0, fmt.Errorf("answered %q: %s", x.Is, x.Say)
		}
	}
	return 0, nil
}
