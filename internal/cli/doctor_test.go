package cli

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A clock that is behind what was written down is found out.
func TestDoctorLooksAtTheClock(t *testing.T) {
	dir := t.TempDir()
	var out, bad bytes.Buffer
	larder := func(now time.Time, args ...string) int {
		out.Reset()
		bad.Reset()
		env := func(k string) string { return map[string]string{"HOME": dir, "XDG_DATA_HOME": dir}[k] }
		return Main(append([]string{"--book", filepath.Join(dir, "b.larder")}, args...), World{Out: &out, Err: &bad, In: strings.NewReader(""), Now: func() time.Time { return now }, Env: env})
	}
	now := time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)
	if larder(now, "demo", "--folder", filepath.Join(dir, "season")) != 0 || larder(now, "import", filepath.Join(dir, "season")) != 0 || larder(now, "backup", filepath.Join(dir, "b-backup.larder")) != 0 {
		t.Fatal(bad.String())
	}
	if code := larder(now, "doctor"); code != 0 || strings.Contains(out.String(), "wrong clock") {
		t.Errorf("%d: %s", code, out.String())
	}
	if code := larder(time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC), "doctor"); code != exitCould || !strings.Contains(out.String(), "wrong clock") {
		t.Errorf("%d: %s", code, out.String())
	}
}
