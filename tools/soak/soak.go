package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"larder/internal/cli"
	"larder/internal/postgres"
	"larder/internal/postgres/pgtest"
	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/units"
)

// Soak is one run.
type Soak struct {
	For           time.Duration
	Engine        string
	Phones, Desks int
	Seed          uint64
	Tell          func(line string)

	dir, book, clock, url string
	server                *pgtest.Server
	colonies              []string
	calm                  atomic.Bool

	mu               sync.Mutex
	home             *home
	kept             []season.ID  // acknowledged
	heard, sat, read map[int]bool // phones with a fact acknowledged, desks with a page, pages read, by their place
	back             time.Time    // the database answers again, and no fact has been acknowledged since
	r                Result
}

// Result is what was done and found.
type Result struct {
	Kills, Full, Shot, Clocks         int
	Reopened                          int // times the book was opened again because the home took nothing more
	Kept, Again, Pages, Plans, Waited int // Waited: requests that met a home that was down or full
	Lost, Twice                       int
	Idle                              string   // what was not done at all, though there was time
	Wrong                             []string // answers nobody should get
	RSSFrom, RSSTo                    int64    // bytes, while nothing new came in
	FilesFrom, FilesTo                int
	Slowest                           time.Duration
	Restarts                          []time.Duration
	Back                              time.Duration // the longest from a database that answers again to the first acknowledged fact
	FactsInBook                       int
}

func (r Result) String() string {
	slow := time.Duration(0)
	for _, d := range r.Restarts {
		slow = max(slow, d)
	}
	return fmt.Sprintf("%d facts acknowledged (%d sent again), %d in the book; %d lost, %d kept twice; %d pages, %d plans, %d requests met a home in trouble\n"+
		"troubles: %d kills, %d full disks, %d times the database shot, %d clock steps, %d times the book opened again after a full disk; the slowest restart %v, the slowest answer %v, the longest from a database back to a fact kept %v\n"+
		"while nothing new came in: memory %.1f to %.1f MB, open files %d to %d",
		r.Kept, r.Again, r.FactsInBook, r.Lost, r.Twice, r.Pages, r.Plans, r.Waited,
		r.Kills, r.Full, r.Shot, r.Clocks, r.Reopened, slow.Round(time.Millisecond), r.Slowest.Round(time.Millisecond), r.Back.Round(time.Millisecond),
		float64(r.RSSFrom)/(1<<20), float64(r.RSSTo)/(1<<20), r.FilesFrom, r.FilesTo)
}

// Memory may grow by this much in the calm part before it counts: the garbage
// collector's play.
const play = 0.15

// Trouble says what must not be.
func (r Result) Trouble() error {
	var bad []error
	if r.Lost > 0 || r.Twice > 0 {
		bad = append(bad, fmt.Errorf("%d facts were lost, %d kept twice", r.Lost, r.Twice))
	}
	if r.Idle != "" {
		bad = append(bad, errors.New(r.Idle))
	}
	for _, w := range r.Wrong {
		bad = append(bad, errors.New(w))
	}
	if r.RSSFrom > 0 && float64(r.RSSTo) > (1+play)*float64(r.RSSFrom)+8<<20 {
		bad = append(bad, fmt.Errorf("memory grew from %d to %d MB while nothing new came in", r.RSSFrom>>20, r.RSSTo>>20))
	}
	if r.FilesTo > r.FilesFrom+16 {
		bad = append(bad, fmt.Errorf("open files grew from %d to %d", r.FilesFrom, r.FilesTo))
	}
	return errors.Join(bad...)
}

func (s *Soak) tell(format string, args ...any) {
	if s.Tell != nil {
		s.Tell(fmt.Sprintf(format, args...))
	}
}

func (s *Soak) note(f func(*Result)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f(&s.r)
}

// Run soaks.
func (s *Soak) Run(ctx context.Context) (Result, error) {
	if err := s.prepare(ctx); err != nil {
		return Result{}, err
	}
	defer s.cleanUp()
	s.heard, s.sat, s.read = map[int]bool{}, map[int]bool{}, map[int]bool{}
	if err := s.start(ctx); err != nil {
		return Result{}, err
	}
	work, stop := context.WithCancel(ctx)
	var wg sync.WaitGroup
	for p := range s.Phones {
		wg.Go(func() { s.phone(work, p) })
	}
	for d := range s.Desks {
		wg.Go(func() { s.desk(work, d) })
	}
	err := s.troubles(ctx)
	if err == nil {
		err = s.worked(ctx)
	}
	if err == nil {
		err = s.calmly(ctx)
	}
	stop()
	wg.Wait()
	if err := errors.Join(err, s.halt()); err != nil {
		return Result{}, err
	}
	return s.look(ctx)
}

// prepare makes a book with the example season in it.
func (s *Soak) prepare(ctx context.Context) (err error) {
	if s.dir, err = os.MkdirTemp("", "larder-soak-"); err != nil {
		return err
	}
	s.clock = filepath.Join(s.dir, "clock")
	if err := s.setClock(0); err != nil {
		return err
	}
	switch s.Engine {
	case "sqlite":
		s.book = filepath.Join(s.dir, "soak.larder")
	case "postgres":
		if s.server, err = pgtest.Start(); err != nil {
			return err
		}
		if s.book, err = s.server.Fresh(); err != nil {
			return err
		}
	default:
		return fmt.Errorf("there is no engine %q", s.Engine)
	}
	var out, bad bytes.Buffer
	w := cli.World{Out: &out, Err: &bad, In: strings.NewReader(""), Now: time.Now, Env: func(string) string { return "" }}
	season := filepath.Join(s.dir, "season")
	for _, args := range [][]string{{"demo", "--folder", season}, {"--book", s.book, "import", season}, {"--book", s.book, "short", "--json"}} {
		out.Reset()
		if cli.Main(args, w) != 0 {
			return fmt.Errorf("%v: %s", args, bad.String())
		}
	}
	var short struct{ Colonies []struct{ Colony string } }
	if err := json.Unmarshal(out.Bytes(), &short); err != nil {
		return err
	}
	for _, c := range short.Colonies {
		s.colonies = append(s.colonies, c.Colony)
	}
	if len(s.colonies) == 0 {
		return errors.New("the example season has no colonies")
	}
	return nil
}

func (s *Soak) cleanUp() {
	_ = s.halt() // said already where it matters
	if s.server != nil {
		_ = s.server.Remove()
	}
	os.RemoveAll(s.dir)
}

func (s *Soak) setClock(off time.Duration) error {
	tmp := s.clock + ".new"
	if err := os.WriteFile(tmp, []byte(fmt.Sprint(off.Seconds())), 0o600); err != nil {
		return err
	}
	return os.Rename(tmp, s.clock)
}

// home is one life of the program.
type home struct {
	cmd   *exec.Cmd
	ended chan error
	said  *bytes.Buffer
}

// start starts the home and waits for its first line.
func (s *Soak) start(ctx context.Context) error {
	self, err := os.Executable()
	if err != nil {
		return err
	}
	addr := "127.0.0.1:0"
	if s.url != "" { // phones know where it was
		addr = strings.TrimSuffix(strings.TrimPrefix(s.url, "http://"), "/")
	}
	began := time.Now()
	h := &home{cmd: exec.Command(self, "--book", s.book, "serve", "--no-open", "--addr", addr, "--backups", filepath.Join(s.dir, "backups")), ended: make(chan error, 1), said: &bytes.Buffer{}}
	h.cmd.Env = append(os.Environ(), childEnv+"="+s.clock)
	h.cmd.Stderr = h.said
	out, err := h.cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := h.cmd.Start(); err != nil {
		return err
	}
	first, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		_ = h.cmd.Process.Kill()
		_ = h.cmd.Wait()
		return fmt.Errorf("the home did not start: %s", h.said.String())
	}
	go func() {
		_, _ = io.Copy(io.Discard, out)
		h.ended <- h.cmd.Wait()
	}()
	_, rest, _ := strings.Cut(first, "http://")
	host, _, _ := strings.Cut(rest, "/")
	s.mu.Lock()
	s.url, s.home = "http://"+host, h
	s.r.Restarts = append(s.r.Restarts, time.Since(began))
	s.mu.Unlock()
	return ctx.Err()
}

// kill ends the home as a power cut does, and starts it again.
func (s *Soak) kill(ctx context.Context) error {
	if err := s.home.cmd.Process.Kill(); err != nil {
		return fmt.Errorf("the home had ended by itself: %w: %s", err, s.home.said.String())
	}
	<-s.home.ended
	s.note(func(r *Result) { r.Kills++ })
	return s.start(ctx)
}

// halt lets the home end in its own time.
func (s *Soak) halt() error {
	if s.home == nil {
		return nil
	}
	h := s.home
	s.home = nil
	if err := h.cmd.Process.Signal(os.Interrupt); err != nil {
		return fmt.Errorf("the home had ended by itself: %s", h.said.String())
	}
	select {
	case <-h.ended:
	case <-time.After(30 * time.Second):
		_ = h.cmd.Process.Kill()
		return errors.New("the home did not end within half a minute")
	}
	return nil
}

// troubles lets one trouble follow the other for two thirds of the time.
func (s *Soak) troubles(ctx context.Context) error {
	random := rand.New(rand.NewPCG(s.Seed, 0))
	end := time.Now().Add(s.For * 2 / 3)
	kinds := []func(context.Context, *rand.Rand) error{
		func(ctx context.Context, _ *rand.Rand) error { s.tell("kill"); return s.kill(ctx) },
		s.step,
	}
	if s.server != nil {
		kinds = append(kinds, s.shoot)
	} else {
		kinds = append(kinds, s.fill)
	}
	// Every kind comes once before chance decides, however short the time.
	for n := 0; time.Now().Before(end); n++ {
		// Between two troubles there is time to work.
		pause := s.For / 40 * time.Duration(1+random.IntN(3)) / 2
		if err := sleep(ctx, min(pause, 45*time.Second)); err != nil {
			return err
		}
		k := n
		if n >= len(kinds) {
			k = random.IntN(len(kinds))
		}
		if err := kinds[k](ctx, random); err != nil {
			return err
		}
	}
	// The last one is what the home has to get out of by itself.
	if err := kinds[2](ctx, random); err != nil {
		return err
	}
	return s.setClock(0)
}

// Longer than this nobody has to wait for a first fact or a first look at a page
// once the troubles are over, on however slow a machine.
const patience = 2 * time.Minute

// worked waits until, with the troubles over and the home not started anew, every
// phone has had a fact acknowledged and every desk a page, and every page has been
// read at some time. How much is done in a given time is no question here: a short
// soak on a slow machine is nearly all troubles.
func (s *Soak) worked(ctx context.Context) error {
	s.mu.Lock()
	clear(s.heard)
	clear(s.sat)
	s.mu.Unlock()
	// A write that fails while room comes back in the same moment cannot be told from
	// a disk that failed: then the book in a file takes nothing more until it is opened
	// again, and says so. It is, once, and told in the result.
	anew := time.Now().Add(patience / 6)
	for end := time.Now().Add(patience); time.Now().Before(end); {
		if s.server == nil && s.r.Full > 0 && s.r.Reopened == 0 && time.Now().After(anew) {
			s.note(func(r *Result) { r.Reopened, r.Kills = 1, r.Kills-1 })
			if err := s.kill(ctx); err != nil {
				return err
			}
		}
		s.mu.Lock()
		done := len(s.heard) == s.Phones && len(s.sat) == s.Desks && len(s.read) == len(pages)
		s.mu.Unlock()
		if done {
			return nil
		}
		if err := sleep(ctx, 50*time.Millisecond); err != nil {
			return err
		}
	}
	s.note(func(r *Result) {
		r.Idle = fmt.Sprintf("%v after the troubles %d of %d phones had had a fact acknowledged and %d of %d desks a page, and %d of %d pages had been read at all", patience, len(s.heard), s.Phones, len(s.sat), s.Desks, len(s.read), len(pages))
	})
	return nil
}

func sleep(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}

// step sets the home's clock: an hour, a day or a year, forth or back.
func (s *Soak) step(_ context.Context, random *rand.Rand) error {
	off := []time.Duration{time.Hour, -time.Hour, 24 * time.Hour, -24 * time.Hour, 365 * 24 * time.Hour, -365 * 24 * time.Hour, 0}[random.IntN(7)]
	s.tell("clock %v", off)
	s.note(func(r *Result) { r.Clocks++ })
	return s.setClock(off)
}

// fill lets no file of the home grow for some seconds: a disk that is full.
func (s *Soak) fill(ctx context.Context, random *rand.Rand) error {
	s.tell("disk full")
	s.note(func(r *Result) { r.Full++ })
	lift, err := noRoom(s.home.cmd.Process.Pid)
	if err != nil {
		return err
	}
	err = sleep(ctx, time.Duration(500+random.IntN(2500))*time.Millisecond)
	return errors.Join(err, lift())
}

// shoot kills the database server and starts it again.
func (s *Soak) shoot(ctx context.Context, random *rand.Rand) error {
	s.tell("database shot")
	s.mu.Lock()
	s.r.Shot++
	s.back = time.Time{}
	s.mu.Unlock()
	if err := s.server.Kill(); err != nil {
		return err
	}
	if err := sleep(ctx, time.Duration(random.IntN(2000))*time.Millisecond); err != nil {
		return err
	}
	if err := s.server.Run(); err != nil {
		return err
	}
	s.mu.Lock()
	s.back = time.Now()
	s.mu.Unlock()
	return nil
}

// calmly leaves the home alone for the last third; nothing new comes in, and
// memory and files are measured.
func (s *Soak) calmly(ctx context.Context) error {
	s.tell("calm")
	s.calm.Store(true)
	// A home that is not shot any more starts anew once: what it measures is one
	// life.
	if err := s.kill(ctx); err != nil {
		return err
	}
	s.note(func(r *Result) { r.Kills-- })
	part := s.For / 3
	if err := sleep(ctx, part/3); err != nil {
		return err
	}
	from, files := s.measure(ctx, part/6)
	if err := sleep(ctx, part/3); err != nil {
		return err
	}
	to, filesTo := s.measure(ctx, part/6)
	s.note(func(r *Result) { r.RSSFrom, r.RSSTo, r.FilesFrom, r.FilesTo = from, to, files, filesTo })
	return ctx.Err()
}

// measure takes the least memory and the fewest files over a while: what stays.
func (s *Soak) measure(ctx context.Context, d time.Duration) (rss int64, files int) {
	end := time.Now().Add(d)
	for first := true; first || time.Now().Before(end); first = false {
		m, n := sizeOf(s.home.cmd.Process.Pid)
		if first || m < rss {
			rss = m
		}
		if first || n < files {
			files = n
		}
		if sleep(ctx, 200*time.Millisecond) != nil {
			break
		}
	}
	return rss, files
}

// look opens the book and compares it with what was acknowledged.
func (s *Soak) look(ctx context.Context) (Result, error) {
	var b interface {
		season.Book
		Verify(context.Context) (season.Report, error)
	}
	var err error
	if s.server != nil {
		b, err = postgres.Open(s.book)
	} else {
		b, err = sqlite.Open(s.book, sqlite.Options{})
	}
	if err != nil {
		return s.r, err
	}
	defer b.Close()
	if _, err := b.Verify(ctx); err != nil {
		return s.r, fmt.Errorf("the book is not sound: %w", err)
	}
	facts, err := b.Facts(ctx, units.Moment{})
	if err != nil {
		return s.r, err
	}
	there := map[season.ID]int{}
	for i := range facts {
		there[facts[i].ID]++
	}
	s.r.FactsInBook = len(facts)
	for _, id := range s.kept {
		if there[id] == 0 {
			s.r.Lost++
		}
	}
	for _, n := range there {
		s.r.Twice += n - 1
	}
	return s.r, nil
}
