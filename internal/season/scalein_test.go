package season

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"

	"pgregory.net/rapid"
)

// scaleLog writes a log of the days from, from+1, … of October 2026, a weight
// each step hours: at night kg and what at adds, by day two kilograms less, since
// foragers are out.
func scaleLog(from, days, step int, kg float64, at func(day, hour int) float64) string {
	var b strings.Builder
	b.WriteString("timestamp,weight_kg\n")
	for h := 0; h < 24*days; h += step {
		d, hour := from+h/24, h%24
		x := kg + at(d, hour)
		if hour >= 9 && hour < 18 {
			x -= 2
		}
		fmt.Fprintf(&b, "2026-10-%02d %02d:00,%.2f\n", d, hour, x)
	}
	return b.String()
}

func readLog(t interface{ Fatal(...any) }, text string) weather.ScaleLog {
	log, err := weather.ReadScale([]byte(text), weather.ScaleOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return log
}

func scaleJournal(t interface{ Fatal(...any) }) *Journal {
	j := NewJournal()
	stack, err := hive.ParseStack("lang10-deep")
	if err != nil {
		t.Fatal(err)
	}
	f := Fact{ID: ID{1}, Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Placed{Colony: apiary.Colony{ID: "14", Yard: "y", Stack: stack, Kind: apiary.Full}}}
	if _, err := j.Add(f); err != nil {
		t.Fatal(err)
	}
	return j
}

// The bees are home at night: what stands as a reading is the night's weight, not
// the day's, which is lighter by the foragers; a feeder filled at ten in the
// morning counts from the next night on.
func TestScaleReadsTheNight(t *testing.T) {
	zone := time.FixedZone("", -4*3600)
	in := ScaleIn{Colony: "14", Zone: zone, At: units.At(time.Date(2026, 11, 1, 0, 0, 0, 0, zone)), Log: readLog(t, scaleLog(1, 5, 1, 50, func(d, h int) float64 {
		if d > 3 || d == 3 && h >= 10 {
			return 8
		}
		return 0
	}))}
	got, err := scaleJournal(t).TakeScale(in)
	if err != nil {
		t.Fatal(err)
	}
	want := map[int]string{2: "50.00 kg", 3: "50.00 kg", 4: "58.00 kg", 5: "58.00 kg"} // the 1st may have begun within its night
	if len(got.Facts) != len(want) || got.New != 4 || got.Changed != 0 {
		t.Fatalf("%+v", got)
	}
	for _, f := range got.Facts {
		r := f.Body.(stores.Reading)
		if r.Gross.As != want[f.Seen.Day().DayOfMonth()] || r.Way != stores.Scale || r.Colony != "14" || f.Seen.Time().Hour() != 6 || f.Seen.String()[16:] != "-04:00" {
			t.Errorf("%s: %+v", f.Seen, r)
		}
	}
}

// However a log is cut, and however often its parts are taken in, the book has one
// reading a day, that of the whole log.
func TestScaleNeverDoubles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		noise := rapid.SliceOfN(rapid.Float64Range(-0.3, 0.3), 24*12, 24*12).Draw(t, "noise")
		fed := rapid.IntRange(2, 12).Draw(t, "fed on")
		hour := rapid.IntRange(0, 23).Draw(t, "at")
		text := scaleLog(1, 12, rapid.SampledFrom([]int{1, 2}).Draw(t, "step"), 50, func(d, h int) float64 {
			x := noise[(d-1)*24+h]
			if d > fed || d == fed && h >= hour {
				x += 6
			}
			return x
		})
		lines := strings.Split(strings.TrimSpace(text), "\n")
		take := func(j *Journal, lines []string) ScaleTaken {
			got, err := j.TakeScale(ScaleIn{Colony: "14", Zone: time.UTC, At: units.OnDay(units.DayOf(2026, 11, 1)), Log: readLog(t, "timestamp,weight_kg\n"+strings.Join(lines, "\n"))})
			if err != nil && !fault.Is(err, fault.Missing) {
				t.Fatal(err)
			}
			if _, err := j.Add(got.Facts...); err != nil {
				t.Fatal(err)
			}
			return got
		}
		whole := scaleJournal(t)
		take(whole, lines[1:])
		cut := scaleJournal(t)
		for range rapid.IntRange(0, 4).Draw(t, "parts") {
			a := rapid.IntRange(1, len(lines)-2).Draw(t, "first")
			take(cut, lines[a:rapid.IntRange(a+1, len(lines)).Draw(t, "last")])
		}
		shuffled := rapid.Permutation(lines[1:]).Draw(t, "order")
		take(cut, shuffled)
		if again := take(cut, lines[1:]); again.New != 0 || again.Changed != 0 {
			t.Fatalf("taken again: %+v", again)
		}
		if a, b := readingsOf(whole), readingsOf(cut); !slices.Equal(a, b) {
			t.Fatalf("whole\n%q\nin parts\n%q", a, b)
		}
	})
}

func readingsOf(j *Journal) (out []string) {
	c, _ := j.Now().Colony("14")
	for _, f := range c.Events {
		if r, ok := f.Body.(stores.Reading); ok {
			out = append(out, f.Seen.String()+" "+r.Gross.As)
		}
	}
	return out
}

// What was struck comes back when the log is taken in again.
func TestStruckScaleReadingComesBack(t *testing.T) {
	j := scaleJournal(t)
	in := ScaleIn{Colony: "14", Zone: time.UTC, At: units.OnDay(units.DayOf(2026, 11, 1)), Log: readLog(t, scaleLog(1, 2, 1, 50, func(int, int) float64 { return 0 }))}
	got, err := j.TakeScale(in)
	if err != nil || len(got.Facts) != 1 {
		t.Fatal(got, err)
	}
	strike := Fact{ID: ID{9}, Seen: in.At, Body: Strike{Fact: got.Facts[0].ID}}
	if _, err := j.Add(got.Facts[0], strike); err != nil {
		t.Fatal(err)
	}
	if r := readingsOf(j); len(r) != 0 {
		t.Fatal(r)
	}
	if got, err = j.TakeScale(in); err != nil || got.New != 1 {
		t.Fatal(got, err)
	}
	if _, err := j.Add(got.Facts...); err != nil || len(readingsOf(j)) != 1 {
		t.Fatal(readingsOf(j), err)
	}
}

func TestScaleOfNobody(t *testing.T) {
	log := readLog(t, scaleLog(1, 3, 1, 50, func(int, int) float64 { return 0 }))
	if _, err := scaleJournal(t).TakeScale(ScaleIn{Colony: "nobody", Log: log}); !fault.Is(err, fault.NotFound) {
		t.Error(err)
	}
	short := readLog(t, scaleLog(1, 1, 1, 50, func(int, int) float64 { return 0 }))
	if _, err := scaleJournal(t).TakeScale(ScaleIn{Colony: "14", Log: short}); !fault.Is(err, fault.Missing) {
		t.Error(err)
	}
}
