package cli

import (
	"bytes"
	"html"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// freePort gives a port of this computer nobody listens at.
func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// A damaged book is told on a page, and in words at the console; the page names the
// backup. Nothing of ours writes to the file. When the backup was brought back, the
// same program shows the book.
func TestDamagedBookIsToldOnAPage(t *testing.T) {
	dir := t.TempDir()
	folder, book := filepath.Join(dir, "season"), filepath.Join(dir, "my.larder")
	larder(t, "", "demo", "--folder", folder)
	larder(t, "", "--book", book, "import", folder)
	backup := filepath.Join(dir, "my-backup.larder")
	larder(t, "", "--book", book, "backup", backup)
	bad, err := os.ReadFile(book)
	if err != nil {
		t.Fatal(err)
	}
	for at := len(bad) / 2; at < len(bad)/2+4096; at++ {
		bad[at] ^= 0x5a
	}
	if err := os.WriteFile(book, bad, 0o600); err != nil {
		t.Fatal(err)
	}
	p := start(t, "--book", book, "serve", "--lan", "--no-open", "--no-backups", "--addr", freePort(t))
	c := caller{t: t}
	for _, page := range []string{"/", "/plan", "/house", "/nowhere"} {
		a := c.get(p.url + page)
		if says := html.UnescapeString(plain(a.Body)); a.Code != http.StatusServiceUnavailable || !strings.Contains(says, "damaged") || !strings.Contains(says, `larder --book "`+book+`" restore --replace`) || !strings.Contains(says, "my-backup.larder") {
			t.Errorf("%s: %d %s", page, a.Code, says)
		}
	}
	if a := c.post(p.url+"/yards", "new", "Far Corner"); a.Code != http.StatusServiceUnavailable {
		t.Errorf("a form was answered with %d", a.Code)
	}
	if a := c.get(p.url + "/manual/errors"); a.Code != http.StatusOK {
		t.Errorf("the manual: %d", a.Code)
	}
	if now, err := os.ReadFile(book); err != nil || !bytes.Equal(now, bad) {
		t.Errorf("the file was changed (%v)", err)
	}
	larder(t, "", "--book", book, "restore", "--replace", backup)
	for began := time.Now(); ; time.Sleep(50 * time.Millisecond) {
		if r, err := http.Get(p.url + "/yards"); err == nil { // it may be between the two
			r.Body.Close()
			if r.StatusCode == http.StatusOK {
				break
			}
		}
		if time.Since(began) > time.Minute {
			t.Fatalf("the book is back, and the page does not show it; the console said: %s", p.bad.String())
		}
	}
	if says := plain(c.get(p.url + "/yards").Body); !strings.Contains(says, "Mill Lane") {
		t.Errorf("the yards: %s", says)
	}
}

// Stopped while it waits, it has failed; a file that is no book is waited for, and
// one that was moved away is not made anew.
func TestWaitingForABookMakesNone(t *testing.T) {
	book := filepath.Join(t.TempDir(), "my.larder")
	if err := os.WriteFile(book, bytes.Repeat([]byte("no book "), 400), 0o600); err != nil {
		t.Fatal(err)
	}
	p := start(t, "--book", book, "serve", "--no-open", "--no-backups", "--addr", freePort(t))
	if err := os.Rename(book, book+".old"); err != nil {
		t.Fatal(err)
	}
	time.Sleep(2*lookAgain + lookAgain/2)
	if a := (caller{t: t}).get(p.url + "/"); a.Code != http.StatusServiceUnavailable {
		t.Errorf("it answers %d", a.Code)
	}
	if _, err := os.Stat(book); err == nil {
		t.Error("a book was made where the damaged one was")
	}
	if runtime.GOOS == "windows" {
		return // a program cannot interrupt another one there
	}
	if err := p.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	_ = p.cmd.Wait()
	if code := p.cmd.ProcessState.ExitCode(); code != exitCould {
		t.Errorf("it ended with %d: %s", code, p.bad.String())
	}
}
