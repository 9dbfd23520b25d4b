package folder

import (
	"strings"
	"testing"
	"testing/fstest"

	"larder/internal/season"
)

func roadsOf(t *testing.T, files fstest.MapFS) (map[[2]string]season.Road, Report, error) {
	t.Helper()
	base := fstest.MapFS{
		"season.toml": {Data: []byte("format = 1\nsince = 2026-01-01\n[home]\nlat = 42.4\nlon = -76.5\n")},
		"yards.csv":   {Data: []byte("yard,name,lat,lon\nridge,Ridge Road,42.5,-76.5\nmill,Mill Lane,42.4,-76.3\n")},
	}
	for k, v := range files {
		base[k] = v
	}
	facts, rep, err := ReadReport(base)
	out := map[[2]string]season.Road{}
	for _, f := range facts {
		if r, ok := f.Body.(season.Road); ok {
			if _, twice := out[[2]string{r.From, r.To}]; twice {
				t.Errorf("%s to %s is there twice", r.From, r.To)
			}
			out[[2]string{r.From, r.To}] = r
		}
	}
	return out, rep, err
}

func TestRoadsFolder(t *testing.T) {
	got, rep, err := roadsOf(t, fstest.MapFS{
		"roads.csv":       {Data: []byte("from,to,mi\nhome,ridge,9\n")},
		"roads/km.csv":    {Data: []byte("km,home,Ridge Road,mill\nhome,,14,20\nRidge Road,15,,31\nmill,20,31,\n")},
		"roads/time.json": {Data: []byte(`{"durations":[[0,900,1500],[960,0,2400],[1500,2500,0]],"places":["home","ridge","mill"]}`)},
	})
	if err != nil {
		t.Fatal(err)
	}
	if r := got[[2]string{"", "ridge"}]; r.Dist.Km() < 14.4 || r.Time != 0 { // the keeper's own word
		t.Error(r)
	}
	if r := got[[2]string{"", "mill"}]; r.Dist != 20000 || r.Time != 1500 {
		t.Error(r)
	}
	if a, b := got[[2]string{"ridge", "mill"}], got[[2]string{"mill", "ridge"}]; a.Time == b.Time || a.Dist != 31000 || b.Dist != 31000 {
		t.Error(a, b)
	}
	if len(got) != 4 {
		t.Error(got)
	}
	said := false
	for _, w := range rep.Warnings {
		said = said || strings.Contains(w.String(), "stay as they stand there")
	}
	if !said {
		t.Error(rep.Warnings)
	}
}

func TestRoadsFolderRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		files fstest.MapFS
		says  string
	}{
		"no unit":   {fstest.MapFS{"roads/a.csv": {Data: []byte(",home,ridge\nhome,0,9\n")}}, "distances or driving times"},
		"two words": {fstest.MapFS{"roads/a.csv": {Data: []byte("from,to,km\nhome,ridge,9\n")}, "roads/b.csv": {Data: []byte("from,to,km\nhome,ridge,10\n")}}, "differently"},
		"no names":  {fstest.MapFS{"roads/a.json": {Data: []byte(`{"durations":[[0,9],[9,0]]}`)}}, "does not name its places"},
		"strangers": {fstest.MapFS{"roads/a.csv": {Data: []byte("from,to,km\nA,B,9\n")}}, "no two places"},
	} {
		if _, _, err := roadsOf(t, c.files); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
