package cli

import (
	"bytes"
	"io"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// In a container whoever comes may seem to sit at the computer itself (so it was
// with rootless Podman before 3.0: CVE-2021-20199). With --login nobody is let in
// for where he comes from: the first password is set by the code of the console.
func TestServeLogin(t *testing.T) {
	dir := t.TempDir()
	folder, book := filepath.Join(dir, "season"), filepath.Join(dir, "my.larder")
	larder(t, "", "demo", "--folder", folder)
	larder(t, "", "--book", book, "import", folder)
	p := start(t, "--book", book, "serve", "--login", "--no-open", "--no-backups", "--addr", freePort(t))
	c := caller{t: t}
	for _, page := range []string{"/", "/yards", "/house/export/zip", "/sheets/short", "/nowhere"} {
		if a := c.get(p.url + page); a.Code != http.StatusUnauthorized || strings.Contains(a.Body, "Mill Lane") {
			t.Errorf("%s: %d %s", page, a.Code, plain(a.Body))
		}
	}
	if a := c.post(p.url+"/yards", "new", "Far Corner"); a.Code != http.StatusUnauthorized {
		t.Errorf("a form was answered with %d", a.Code)
	}
	code := ""
	for code == "" {
		select {
		case line := <-p.later:
			if strings.Contains(line, "from there") {
				t.Errorf("this computer is shut out too: %s", line)
			}
			code = regexp.MustCompile(`[0-9A-Z]{4}-[0-9A-Z]{4}$`).FindString(line)
		case <-time.After(time.Minute):
			t.Fatalf("no code on the console; it said: %s", p.bad.String())
		}
	}
	const password = "seven hives in the orchard"
	if a := c.post(p.url+"/first", "code", code, "password", password); a.Code != http.StatusSeeOther {
		t.Fatalf("the first password: %d %s", a.Code, plain(a.Body))
	}
	if a := c.post(p.url+"/login", "password", "six hives in the orchard"); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("a wrong password: %d", a.Code)
	}
	a := c.post(p.url+"/login", "password", password)
	if a.Code != http.StatusSeeOther {
		t.Fatalf("the login: %d %s", a.Code, plain(a.Body))
	}
	c.cookie = a.cookie("larder-owner")
	if a := c.get(p.url + "/yards"); a.Code != http.StatusOK || !strings.Contains(a.Body, "Mill Lane") {
		t.Errorf("the owner: %d %s", a.Code, plain(a.Body))
	}
	// Without the flag this computer itself is asked nothing.
	open := start(t, "--book", filepath.Join(dir, "other.larder"), "serve", "--no-open", "--no-backups", "--addr", freePort(t))
	if a := (caller{t: t}).get(open.url + "/yards"); a.Code != http.StatusOK {
		t.Errorf("without --login: %d", a.Code)
	}
}

// The screens go by the clock: another moment is not taken and then ignored.
func TestServeTakesNoMoment(t *testing.T) {
	var bad bytes.Buffer
	home := t.TempDir()
	w := World{Out: io.Discard, Err: &bad, In: strings.NewReader(""), Now: time.Now, Env: func(k string) string { return map[string]string{"HOME": home}[k] }}
	if code := Main([]string{"--asof", "2015-09-01", "serve", "--no-open", "--addr", "127.0.0.1:0"}, w); code != exitUsage || !strings.Contains(bad.String(), "the screens go by the clock") {
		t.Errorf("exit %d: %s", code, bad.String())
	}
}
