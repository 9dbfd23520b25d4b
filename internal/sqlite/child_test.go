package sqlite

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// Some tests need another process, to be killed or to be in the way. It is this
// test program again, told by the environment what to do.
const childEnv = "LARDER_SQLITE_CHILD"

func TestMain(m *testing.M) {
	what := os.Getenv(childEnv)
	if what == "" {
		os.Exit(m.Run())
	}
	run := map[string]func(path string) error{
		"append": childAppend, "amble": childAmble, "hold": childHold, "open": childOpen, "small": childSmall, "migrate": childMigrate, "cramped": childCramped,
	}[what]
	if err := run(os.Args[len(os.Args)-1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// child is such a process.
type child struct {
	cmd  *exec.Cmd
	in   io.WriteCloser
	said *bufio.Scanner
}

func start(t testing.TB, what, path string) *child {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, "-test.run=^$", path)
	cmd.Env = append(os.Environ(), childEnv+"="+what)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	c := &child{cmd, in, bufio.NewScanner(out)}
	t.Cleanup(func() { // of no effect when it has ended
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	return c
}

// line waits for the next line the child says.
func (c *child) line(t testing.TB) string {
	t.Helper()
	if !c.said.Scan() {
		t.Fatalf("the other process ended: %v", c.cmd.Wait())
	}
	return c.said.Text()
}

// kill ends it as a power cut would end a program: at once.
func (c *child) kill() {
	_ = c.cmd.Process.Kill()
	_ = c.cmd.Wait()
}

// childHold opens the book, says so, and holds it until it is killed or its
// input ends.
func childHold(path string) error {
	b, err := Open(path, Options{})
	if err != nil {
		return err
	}
	fmt.Println("open")
	_, _ = io.Copy(io.Discard, os.Stdin)
	return b.Close()
}

// childOpen tries to open the book and says how that went and how long it took.
func childOpen(path string) error {
	begun := time.Now()
	b, err := Open(path, Options{})
	fmt.Println(time.Since(begun).Milliseconds())
	if err != nil {
		fmt.Println(err)
		return nil
	}
	fmt.Println("open")
	return b.Close()
}

// batch k of the crash tests: from 1 to 20 facts that name it.
func batch(k int) []season.Fact {
	facts := make([]season.Fact, k*7%20+1)
	for i := range facts {
		facts[i] = season.Fact{ID: booktest.ID(k*20 + i), Seen: units.OnDay(units.DayOf(2026, 9, 1+k%25)), Body: apiary.Look{Colony: "c", Note: fmt.Sprint(k)}}
	}
	return facts
}

// childAppend keeps batch after batch from the one after the last, and says of
// each that it is kept, after it is.
func childAppend(path string) error { return appendOn(path, 0) }

// childAmble leaves time for others: what it writes can be copied as it grows.
func childAmble(path string) error { return appendOn(path, 5*time.Millisecond) }

func appendOn(path string, pause time.Duration) error {
	b, err := Open(path, Options{})
	if err != nil {
		return err
	}
	facts, err := b.Facts(context.Background(), units.Moment{})
	if err != nil {
		return err
	}
	for k := lastBatch(facts) + 1; ; k++ {
		if err := b.Append(context.Background(), batch(k)...); err != nil {
			return err
		}
		fmt.Println(k)
		time.Sleep(pause)
	}
}

func lastBatch(facts []season.Fact) int {
	last := 0
	for _, f := range facts {
		var k int
		if _, err := fmt.Sscan(f.Body.(apiary.Look).Note, &k); err == nil {
			last = max(last, k)
		}
	}
	return last
}
