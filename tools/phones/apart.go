package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"

	"larder/internal/access"
	"larder/internal/sqlite"
	"larder/internal/web"
)

// apart is a home in a process of its own.
type apart struct {
	url    string
	tokens []string // of its phones
	dir    string
	memory string // what it had, told when it has ended

	cmd   *exec.Cmd
	in    io.WriteCloser
	out   *bufio.Reader
	ended error
}

// ready and done are the two lines a home says.
type (
	ready struct {
		URL    string
		Tokens []string
	}
	done struct{ Heap uint64 } // bytes in use in the end
)

// beHome serves a book in dir till its input ends.
func beHome(ctx context.Context, dir string, phones int) error {
	book, err := sqlite.Open(filepath.Join(dir, "larder.db"), sqlite.Options{})
	if err != nil {
		return err
	}
	defer book.Close()
	if err := book.Append(ctx, Hives(phones)...); err != nil {
		return err
	}
	s, err := serve(ctx, book, &access.File{Path: filepath.Join(dir, "larder.access")}, phones)
	if err != nil {
		return err
	}
	defer s.close()
	debug.SetGCPercent(web.GCPercent) // as larder serve does
	say := json.NewEncoder(os.Stdout)
	if err := say.Encode(ready{s.url, s.tokens}); err != nil {
		return err
	}
	if _, err := io.Copy(io.Discard, os.Stdin); err != nil {
		return err
	}
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return say.Encode(done{m.HeapAlloc})
}

// start starts this program as a home.
func start(ctx context.Context, dir string, phones int) (*apart, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	h := &apart{dir: dir, cmd: exec.CommandContext(ctx, self, "-home", dir, "-phones", strconv.Itoa(phones))}
	h.cmd.Stderr = os.Stderr
	if h.in, err = h.cmd.StdinPipe(); err != nil {
		return nil, err
	}
	out, err := h.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	h.out = bufio.NewReader(out)
	if err := h.cmd.Start(); err != nil {
		return nil, err
	}
	var r ready
	if err := h.hear(&r); err != nil {
		return nil, errors.Join(err, h.stop())
	}
	h.url, h.tokens = r.URL, r.Tokens
	return h, nil
}

// hear reads one line of what home says.
func (h *apart) hear(to any) error {
	line, err := h.out.ReadBytes('\n')
	if err != nil {
		return fmt.Errorf("home says nothing: %w", err)
	}
	return json.Unmarshal(line, to)
}

// stop ends the home and notes its memory. It may be called again.
func (h *apart) stop() error {
	if h.cmd == nil {
		return h.ended
	}
	most, now := h.resident("VmHWM:"), h.resident("VmRSS:")
	h.in.Close()
	var d done
	err := h.hear(&d)
	h.ended = errors.Join(err, h.cmd.Wait())
	h.cmd = nil
	h.memory = fmt.Sprintf("at most %s, %s in the end; %.1f MiB of it in use after a clearing up", most, now, float64(d.Heap)/(1<<20))
	return h.ended
}

// book opens the book of a home that has ended.
func (h *apart) book() (*sqlite.Book, error) {
	if err := h.stop(); err != nil {
		return nil, err
	}
	return sqlite.Open(filepath.Join(h.dir, "larder.db"), sqlite.Options{})
}

// resident tells of a figure of the process's memory, where the system does.
func (h *apart) resident(what string) string {
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", h.cmd.Process.Pid))
	if err == nil {
		for line := range strings.Lines(string(raw)) {
			if s, ok := strings.CutPrefix(line, what); ok {
				if kb, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(s), " kB"), 64); err == nil {
					return fmt.Sprintf("%.1f MiB", kb/1024)
				}
			}
		}
	}
	return "(not told)"
}
