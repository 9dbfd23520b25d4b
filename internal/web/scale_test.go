package web

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/stores"
	"larder/internal/units"
)

// A scale's log is shown as it will be read, kept when asked, and not kept twice;
// what it leaves open is asked for beside what was pasted.
func TestScaleLog(t *testing.T) {
	s := newSmallSite(t)
	from := time.Date(2026, time.August, 31, 0, 0, 0, 0, time.UTC)
	var b strings.Builder
	for h := range 62 {
		fmt.Fprintf(&b, "%s,%.2f\n", from.Add(time.Duration(h)*time.Hour).Format("2006-01-02 15:04"), 44.0)
	}
	log := "timestamp,weight_kg\n" + b.String()
	s.get("/readings").has("From an automatic scale")
	s.get("/readings/scale").has("between midnight and six")
	a := s.post("/readings/scale", "text", log, "colony", "")
	if a.Code != 422 || a.field("text") != log {
		t.Errorf("%d", a.Code)
	}
	a.has("which hive stands on the scale")
	s.post("/readings/scale", "text", log, "colony", "m1").has("2 readings of hive m1 would be kept", "weight_kg")
	if got := scaleReadings(s); len(got) != 0 {
		t.Errorf("looking kept %q", got)
	}
	s.get(s.done("/readings/scale/save", "text", log, "colony", "m1")).has("2 readings of the scale kept")
	if got := scaleReadings(s); !slices.Equal(got, []string{"2026-09-01T06:00Z m1 44.00 kg", "2026-09-02T06:00Z m1 44.00 kg"}) {
		t.Errorf("%q", got)
	}
	a = s.post("/readings/scale", "text", log, "colony", "m1")
	a.has("0 new, 0 corrected, 2 there already")
	a.hasNot("Keep 0")

	bare := "time,weight\n" + b.String()
	a = s.post("/readings/scale", "text", bare, "colony", "m2")
	a.has("in what unit the weight is", "Unit of the weights")
	if a.Code != 422 || a.field("text") != bare {
		t.Errorf("%d", a.Code)
	}
	s.post("/readings/scale", "text", bare, "colony", "m2", "unit", "lb").has("2 readings of hive m2", "in lb", "your word")
}

// scaleReadings lists what the book holds of scales. Their ids follow from what they
// say, so marked does not know them.
func scaleReadings(s *site) (out []string) {
	all, err := s.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		s.t.Fatal(err)
	}
	for _, f := range all {
		if r, ok := f.Body.(stores.Reading); ok && r.Way == stores.Scale {
			out = append(out, f.Seen.String()+" "+r.Colony+" "+r.Gross.As)
		}
	}
	return out
}
