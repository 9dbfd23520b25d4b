package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// TestMain makes the test binary the program itself when it is asked to be: so
// tests start processes of it.
func TestMain(m *testing.M) {
	if os.Getenv("LARDER_TEST_AS_PROGRAM") == "1" {
		os.Exit(Main(os.Args[1:], System()))
	}
	os.Exit(m.Run())
}

// program is a running larder of its own.
type program struct {
	cmd *exec.Cmd
	url string // without the last stroke
	bad bytes.Buffer

	later chan string // the lines after, the first few of them
}

// start starts the program and waits until it says where it is.
func start(t *testing.T, args ...string) *program {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &program{cmd: exec.Command(self, args...), later: make(chan string, 10)}
	p.cmd.Env = append(os.Environ(), "LARDER_TEST_AS_PROGRAM=1", "HOME="+t.TempDir(), "XDG_DATA_HOME=", "LARDER_BOOK=", "LARDER_KEEPER=")
	p.cmd.Stderr = &p.bad
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = p.cmd.Process.Kill()
		_ = p.cmd.Wait()
	})
	lines := bufio.NewScanner(out)
	if !lines.Scan() {
		_ = p.cmd.Wait()
		t.Fatalf("%v said nothing: %s", args, p.bad.String())
	}
	_, rest, ok := strings.Cut(lines.Text(), "Larder is at ")
	if !ok {
		t.Fatalf("%v said %q", args, lines.Text())
	}
	p.url, _, _ = strings.Cut(strings.Fields(rest)[0], "/ ")
	p.url = strings.TrimSuffix(p.url, "/")
	go func() { // what it says later is not to hold it up
		for lines.Scan() {
			select {
			case p.later <- lines.Text():
			default:
			}
		}
	}()
	return p
}

// caller asks a program; it follows nothing and keeps no cookies but its own.
type caller struct {
	t      *testing.T
	cookie string
}

// said is what came back.
type said struct {
	Code int
	Head http.Header
	Body string
}

func (c caller) do(method, address, kind, body string) said {
	c.t.Helper()
	r, err := http.NewRequest(method, address, strings.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	if c.cookie != "" {
		r.Header.Set("Cookie", c.cookie)
	}
	client := http.Client{Timeout: time.Minute, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	a, err := client.Do(r)
	if err != nil {
		c.t.Fatal(err)
	}
	defer a.Body.Close()
	var buf bytes.Buffer
	if _, err := buf.ReadFrom(a.Body); err != nil {
		c.t.Fatal(fmt.Errorf("%s %s: %w", method, address, err))
	}
	return said{a.StatusCode, a.Header, buf.String()}
}

func (c caller) get(address string) said { return c.do(http.MethodGet, address, "", "") }

func (c caller) post(address string, pairs ...string) said {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return c.do(http.MethodPost, address, "application/x-www-form-urlencoded", v.Encode())
}

// cookie gives "name=value" of a cookie that was set, "" if none was.
func (a said) cookie(name string) string {
	for _, c := range (&http.Response{Header: a.Head}).Cookies() {
		if c.Name == name && c.Value != "" {
			return name + "=" + c.Value
		}
	}
	return ""
}

// plain gives the words of a page without its tags, for messages.
func plain(body string) string {
	var out strings.Builder
	in := false
	for _, r := range body {
		switch {
		case r == '<':
			in = true
		case r == '>':
			in = false
			out.WriteByte(' ')
		case !in:
			out.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

// larder runs one command within the test.
func larder(t *testing.T, in string, args ...string) string {
	t.Helper()
	var out, bad bytes.Buffer
	home := t.TempDir()
	w := World{Out: &out, Err: &bad, In: strings.NewReader(in), Now: time.Now, Env: func(k string) string { return map[string]string{"HOME": home}[k] }}
	if code := Main(args, w); code != 0 {
		t.Fatalf("%v: exit %d: %s", args, code, bad.String())
	}
	return out.String()
}
