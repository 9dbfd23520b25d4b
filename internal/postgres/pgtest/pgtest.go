//go:build unix

package pgtest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// Server is a running server.
type Server struct {
	bin, dir string
	cred     *syscall.Credential
	stop     chan os.Signal
	ended    chan error
	log      bytes.Buffer
	settings []string
}

// shared is the server of [Main].
var shared atomic.Pointer[Server]

// Main runs the tests of a package with a server for all of them, and ends the
// program. To be called from TestMain.
func Main(m *testing.M) {
	s, err := Start()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	shared.Store(s)
	code := m.Run()
	if err := s.Remove(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	os.Exit(code)
}

// URL gives the address of a place for one book, empty, in the server of [Main].
func URL(t testing.TB) string {
	t.Helper()
	s := shared.Load()
	if s == nil {
		t.Fatal("pgtest: TestMain has to call pgtest.Main")
	}
	u, err := s.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// Start makes and starts a server with these settings besides its own
// ("fsync=off").
func Start(settings ...string) (*Server, error) {
	bin, err := find()
	if err != nil {
		return nil, err
	}
	// A socket's path may have some hundred bytes only, so not in a test's folder.
	dir, err := os.MkdirTemp("", "larder-pg-")
	if err != nil {
		return nil, err
	}
	s := &Server{bin: bin, dir: dir, settings: settings}
	if s.cred, err = unprivileged(dir); err != nil {
		os.RemoveAll(dir)
		return nil, err
	}
	if err := s.init(); err != nil {
		os.RemoveAll(dir)
		return nil, err
	}
	if err := s.Run(); err != nil {
		os.RemoveAll(dir)
		return nil, err
	}
	return s, nil
}

// find looks for the folder with the server's programs.
func find() (string, error) {
	var places []string
	if p, err := exec.LookPath("postgres"); err == nil {
		if p, err := filepath.EvalSymlinks(p); err == nil {
			places = append(places, filepath.Dir(p))
		}
	}
	for _, pattern := range []string{
		"/usr/lib/postgresql/*/bin", "/usr/pgsql-*/bin", "/usr/local/pgsql/bin", "/usr/lib/postgresql*/bin", "/usr/libexec/postgresql*",
		"/opt/homebrew/opt/postgresql@*/bin", "/usr/local/opt/postgresql@*/bin", "/opt/homebrew/opt/postgresql/bin",
		"/Applications/Postgres.app/Contents/Versions/*/bin",
	} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			return "", err
		}
		slices.Reverse(found) // the newest first, as far as names tell
		places = append(places, found...)
	}
	for _, p := range places {
		if isProgram(filepath.Join(p, "initdb")) && isProgram(filepath.Join(p, "postgres")) {
			return p, nil
		}
	}
	return "", errors.New("pgtest: there is no PostgreSQL server on this machine; install it with: sh tools/need.sh")
}

func isProgram(path string) bool {
	st, err := os.Stat(path)
	return err == nil && st.Mode().IsRegular() && st.Mode().Perm()&0o111 != 0
}

// unprivileged gives a user the server can run as, since it refuses to run as
// root, and makes dir his.
func unprivileged(dir string) (*syscall.Credential, error) {
	if os.Geteuid() != 0 {
		return nil, nil
	}
	for _, name := range []string{"postgres", "_postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.Atoi(u.Uid)
		gid, err2 := strconv.Atoi(u.Gid)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, os.Chown(dir, uid, gid)
	}
	return nil, errors.New("pgtest: there is no user a server could run as (postgres or nobody)")
}

func (s *Server) command(program string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(s.bin, program), args...)
	cmd.Dir = s.dir
	cmd.Env = append(os.Environ(), "LC_ALL=C", "TZ=UTC", "HOME="+s.dir)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: s.cred}
	withParent(cmd.SysProcAttr)
	return cmd
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

func (s *Server) init() error {
	// Only the making is not synced; the server syncs all it writes.
	out, err := s.command("initdb", "-D", s.data(), "-U", "larder", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync").CombinedOutput()
	if err != nil {
		return fmt.Errorf("pgtest: initdb: %w\n%s", err, out)
	}
	return nil
}

// Run starts the server, anew after [Server.Kill], and waits until it answers.
func (s *Server) Run() error {
	args := []string{"-D", s.data(), "-k", s.dir, "-c", "listen_addresses=", "-c", "max_connections=120", "-c", "shared_buffers=32MB"}
	for _, set := range s.settings {
		args = append(args, "-c", set)
	}
	cmd := s.command("postgres", args...)
	s.log.Reset()
	cmd.Stdout, cmd.Stderr = &s.log, &s.log
	s.stop, s.ended = make(chan os.Signal, 1), make(chan error, 1)
	begun := make(chan error, 1)
	go func() {
		// The system kills the server with the thread that started it, so the
		// thread stays until the server has ended.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := cmd.Start()
		begun <- err
		if err != nil {
			return
		}
		over := make(chan struct{})
		go func() {
			select {
			case sig := <-s.stop:
				_ = cmd.Process.Signal(sig)
			case <-over:
			}
		}()
		s.ended <- cmd.Wait()
		close(over)
	}()
	if err := <-begun; err != nil {
		return err
	}
	return s.answers()
}

func (s *Server) answers() error {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	for {
		c, err := pgx.Connect(ctx, s.url("postgres"))
		if err == nil {
			return c.Close(ctx)
		}
		select {
		case why := <-s.ended:
			return fmt.Errorf("pgtest: the server ended: %v\n%s", why, s.log.String())
		case <-ctx.Done():
			_ = s.end(syscall.SIGQUIT)
			return fmt.Errorf("pgtest: the server does not answer: %w\n%s", err, s.log.String())
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// url writes the address of a database of the server.
func (s *Server) url(database string) string {
	return "postgres:///" + database + "?" + url.Values{"host": {s.dir}, "user": {"larder"}, "sslmode": {"disable"}}.Encode()
}

var places atomic.Int64

// Fresh gives the address of an empty place of its own for one book: a schema.
func (s *Server) Fresh() (string, error) {
	ctx := context.Background()
	c, err := pgx.Connect(ctx, s.url("postgres"))
	if err != nil {
		return "", err
	}
	defer c.Close(ctx)
	name := fmt.Sprintf("book%d", places.Add(1))
	if _, err := c.Exec(ctx, "CREATE SCHEMA "+name); err != nil {
		return "", err
	}
	return s.url("postgres") + "&search_path=" + name, nil
}

// Do runs statements as the owner of the server.
func (s *Server) Do(address string, statements ...string) error {
	ctx := context.Background()
	c, err := pgx.Connect(ctx, address)
	if err != nil {
		return err
	}
	defer c.Close(ctx)
	for _, q := range statements {
		if _, err := c.Exec(ctx, q); err != nil {
			return fmt.Errorf("%s: %w", q, err)
		}
	}
	return nil
}

// Shared gives the server of [Main].
func Shared() *Server { return shared.Load() }

// Database makes a database with these options ("ENCODING 'LATIN1' …") and
// gives its address.
func (s *Server) Database(name, options string) (string, error) {
	return s.url(name), s.Do(s.url("postgres"), "CREATE DATABASE "+name+" "+options)
}

// Kill ends the server at once, as a power cut would end its programs.
func (s *Server) Kill() error { return s.end(syscall.SIGQUIT) }

func (s *Server) end(sig syscall.Signal) error {
	s.stop <- sig
	select {
	case <-s.ended:
		return nil
	case <-time.After(30 * time.Second):
		return errors.New("pgtest: the server does not end")
	}
}

// Remove ends the server and removes all of it.
func (s *Server) Remove() error {
	err := s.end(syscall.SIGQUIT)
	return errors.Join(err, os.RemoveAll(s.dir))
}

// Dir gives the folder of the server, for addresses that tests make up.
func (s *Server) Dir() string { return s.dir }

// Log gives what the server said since it was started.
func (s *Server) Log() string { return strings.TrimSpace(s.log.String()) }
