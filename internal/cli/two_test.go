//go:build unix

package cli

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"larder/internal/postgres/pgtest"
)

// pgServer starts a server for a test and gives the address of an empty place in it.
func pgServer(t *testing.T) (server *pgtest.Server, url string) {
	t.Helper()
	server, err := pgtest.Start()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := server.Remove(); err != nil {
			t.Error(err)
		}
	})
	u, err := server.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	return server, u
}

func pgURL(t *testing.T) string {
	t.Helper()
	_, u := pgServer(t)
	return u
}

// Two programs serve one book: what one wrote the next page of the other shows,
// in both directions; what is sent to both is stored once; one that dies in between
// takes nothing along.
func TestTwoProgramsOneBook(t *testing.T) {
	book := pgURL(t)
	season := t.TempDir() + "/season"
	larder(t, "", "demo", "--folder", season)
	larder(t, "", "--book", book, "import", season)
	one, two := start(t, "serve", "--book", book, "--addr", "127.0.0.1:0", "--no-open", "--no-backups"), start(t, "serve", "--book", book, "--addr", "127.0.0.1:0", "--no-open", "--no-backups")
	c := caller{t: t}
	for i, p := range []*program{one, two} {
		other := []*program{two, one}[i]
		yard := fmt.Sprintf("Far Corner %d", i)
		if a := c.post(p.url+"/yards", "new", yard+": q"+fmt.Sprint(i), "stack", "lang10-deep + lang10-deep", "feeder", "tray-2"); a.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", a.Code, plain(a.Body))
		}
		if !strings.Contains(c.get(other.url+"/yards").Body, yard) {
			t.Fatal("a yard the other added: not there")
		}
	}
	// The same entries to both at once, many times over.
	facts := func() (n int) {
		var rep struct {
			Facts int `json:"facts"`
		}
		if err := json.Unmarshal([]byte(larder(t, "", "--book", book, "check", "--json")), &rep); err != nil {
			t.Fatal(err)
		}
		return rep.Facts
	}
	before := facts()
	const rounds, each = 15, 6
	for range rounds {
		type entry struct {
			ID   string          `json:"id"`
			Seq  int             `json:"seq"`
			Made string          `json:"made"`
			Kind string          `json:"kind"`
			Body json.RawMessage `json:"body"`
		}
		batch := struct {
			Protocol int     `json:"protocol"`
			Device   string  `json:"device"`
			Now      string  `json:"now"`
			Entries  []entry `json:"entries"`
		}{Protocol: 1, Device: "d", Now: time.Now().UTC().Format(time.RFC3339)}
		for i := range each {
			batch.Entries = append(batch.Entries, entry{uuid.Must(uuid.NewV7()).String(), i, batch.Now, "left", json.RawMessage(`{"colony":"m1","volume":"1 L"}`)})
		}
		raw, err := json.Marshal(batch)
		if err != nil {
			t.Fatal(err)
		}
		var wg sync.WaitGroup
		for _, p := range []*program{one, two, one, two} {
			wg.Go(func() {
				a := c.do(http.MethodPost, p.url+"/phone/facts", "application/json", string(raw))
				if n := strings.Count(a.Body, `"stored"`) + strings.Count(a.Body, `"already"`); a.Code != 200 || n != each {
					t.Errorf("%d %s", a.Code, plain(a.Body))
				}
			})
		}
		wg.Wait()
	}
	if n := facts() - before; n != rounds*each {
		t.Errorf("%d facts are stored of %d sent", n, rounds*each)
	}
	// One dies at once; the other goes on with all that was acknowledged.
	if a := c.post(one.url+"/yards", "new", "Last Words: q9", "stack", "lang10-deep + lang10-deep", "feeder", "tray-2"); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	if err := one.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(c.get(two.url+"/yards").Body, "Last Words") {
		t.Fatal("the last words of one that died: not there")
	}
}

// Logins, phones and codes are the same in two programs; who is taken off in one is
// out in the other with the next request.
func TestTwoProgramsOneDoor(t *testing.T) {
	book := pgURL(t)
	larder(t, "four hives behind the barn\n", "--book", book, "keepers", "add", "Ann")
	larder(t, "lift the lids gently\n", "--book", book, "--keeper", "ann", "helpers", "add", "Eva")
	serve := []string{"serve", "--keepers", "--book", book, "--addr", "127.0.0.1:0", "--no-open"}
	one, two := start(t, serve...), start(t, serve...)
	nobody := caller{t: t}
	if a := nobody.get(one.url + "/house"); a.Code != http.StatusUnauthorized {
		t.Errorf("this computer is let in without saying who it is: %d", a.Code)
	}
	in := func(p *program, keeper, name, password string) caller {
		t.Helper()
		a := nobody.post(p.url+"/login", "keeper", keeper, "name", name, "password", password)
		if a.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", a.Code, plain(a.Body))
		}
		return caller{t, a.cookie("larder-owner")}
	}
	ann, eva := in(one, "ANN", "", "four hives behind the barn"), in(two, "ann", "eva", "lift the lids gently")
	for _, p := range []*program{one, two} {
		if a := ann.get(p.url + "/house"); a.Code != 200 {
			t.Errorf("%d", a.Code)
		}
		if a := eva.get(p.url + "/short"); a.Code != 200 {
			t.Errorf("%d", a.Code)
		}
		if a := eva.get(p.url + "/house"); a.Code != http.StatusForbidden {
			t.Errorf("a helper sees the house: %d", a.Code)
		}
	}
	// What Ann writes at one bears to the other, and so does the trail.
	if a := ann.post(one.url+"/yards", "new", "Far Corner: q1", "stack", "lang10-deep + lang10-deep", "feeder", "tray-2"); a.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", a.Code, plain(a.Body))
	}
	if !strings.Contains(eva.get(two.url+"/yards").Body, "Far Corner") {
		t.Fatal("her yard: not there")
	}
	if a := ann.get(two.url + "/house/trail"); !strings.Contains(a.Body, "added a helper") || !strings.Contains(a.Body, "logged in") {
		t.Errorf("the trail: %s", a.Body)
	}
	// The way in at the first, the way out at the second.
	list := larder(t, "", "--book", book, "--keeper", "Ann", "audit")
	if !strings.Contains(list, "helper-added") || !strings.Contains(list, "signed-in") {
		t.Errorf("%s", list)
	}
	larder(t, "", "--book", book, "--keeper", "Ann", "helpers", "remove", "Eva")
	for _, p := range []*program{two, one} {
		if a := eva.get(p.url + "/short"); a.Code != http.StatusUnauthorized {
			t.Errorf("taken off, she is let in: %d", a.Code)
		}
	}
	if a := ann.post(two.url + "/logout"); a.Code != http.StatusSeeOther {
		t.Errorf("%d", a.Code)
	}
	if a := ann.get(one.url + "/house"); a.Code != http.StatusUnauthorized {
		t.Errorf("logged out at the other, she is let in: %d", a.Code)
	}
	// Shut out, not even a new login helps; let in again, it does.
	ann = in(one, "Ann", "", "four hives behind the barn")
	larder(t, "", "--book", book, "keepers", "shut", "Ann")
	for _, p := range []*program{one, two} {
		if a := ann.get(p.url + "/house"); a.Code != http.StatusUnauthorized {
			t.Errorf("shut out, she is let in: %d", a.Code)
		}
	}
	if a := nobody.post(one.url+"/login", "keeper", "Ann", "password", "four hives behind the barn"); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("%d", a.Code)
	}
	larder(t, "", "--book", book, "keepers", "admit", "Ann")
	if a := ann.get(two.url + "/house"); a.Code != 200 {
		t.Errorf("let in again: %d", a.Code)
	}
	// A new password, set at the console, ends the login in both.
	larder(t, "another one of mine\n", "--book", book, "keepers", "password", "Ann")
	for _, p := range []*program{one, two} {
		if a := ann.get(p.url + "/house"); a.Code != http.StatusUnauthorized {
			t.Errorf("%d", a.Code)
		}
	}
}

// The database is shot and started anew, as at an update of the server: while it is
// away each page says so and nobody is told that he is not known; then all go on as
// they were, without a new start of the program.
func TestDatabaseComesBack(t *testing.T) {
	server, own := pgServer(t)
	many, err := server.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	larder(t, "four hives behind the barn\n", "--book", many, "keepers", "add", "Ann")
	keepers := start(t, "serve", "--keepers", "--book", many, "--addr", "127.0.0.1:0", "--no-open")
	in := caller{t: t}.post(keepers.url+"/login", "keeper", "Ann", "password", "four hives behind the barn")
	if in.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", in.Code, plain(in.Body))
	}
	for _, c := range []struct {
		who  caller
		page string
	}{
		{caller{t, in.cookie("larder-owner")}, keepers.url + "/house"},
		{caller{t: t}, start(t, "serve", "--book", own, "--addr", "127.0.0.1:0", "--no-open", "--no-backups").url + "/house"},
	} {
		for range 3 {
			if a := c.who.get(c.page); a.Code != http.StatusOK {
				t.Fatalf("%d %s", a.Code, plain(a.Body))
			}
			if err := server.Kill(); err != nil {
				t.Fatal(err)
			}
			for range 10 {
				if a := c.who.get(c.page); a.Code != http.StatusServiceUnavailable {
					t.Errorf("without its database: %d %s", a.Code, plain(a.Body))
				}
			}
			if err := server.Run(); err != nil {
				t.Fatal(err)
			}
			for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
				a := c.who.get(c.page)
				if a.Code == http.StatusOK {
					break
				}
				if a.Code != http.StatusServiceUnavailable || time.Since(began) > time.Minute {
					t.Fatalf("with its database again: %d %s", a.Code, plain(a.Body))
				}
			}
		}
	}
}
