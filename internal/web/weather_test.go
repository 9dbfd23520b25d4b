package web

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// weatherDays lists the days of weather in the book, in force or not.
func weatherDays(s *site) (out []string) {
	s.t.Helper()
	all, err := s.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		s.t.Fatal(err)
	}
	for _, f := range all {
		if d, ok := f.Body.(weather.Day); ok && d.Station != "s" { // whose days are there from the beginning
			out = append(out, fmt.Sprintf("%s %s %.1f", d.Station, d.Day, d.TMax.C()))
		}
	}
	return out
}

// A weather file is taken in, told day by day what became of it, once however often
// it comes, and taken back by the undo of that page.
func TestWeatherFile(t *testing.T) {
	s := newSmallSite(t)
	if !strings.Contains(s.get("/stop").Body, `href="/weather"`) {
		t.Error("no way there from When to stop")
	}
	s.get("/weather").has("What is known", "hill", "Mill Lane", "weather of s, as you chose")
	table := "date,tmax_c,tmin_c,rain_mm\n2025-09-01,20,8,0\n2025-09-02,21.5,9,0\n2025-09-25,19,7,1\n"
	to := s.done("/weather", "text", table, "whose", "mill")
	s.get(to).has("3 days from", "3 new, 0 corrected, 0 there already", "22 days between have no high")
	want := []string{"mill 2025-09-01 20.0", "mill 2025-09-02 21.5", "mill 2025-09-25 19.0"}
	if got := weatherDays(s); strings.Join(got, ",") != strings.Join(want, ",") {
		t.Fatalf("%q", got)
	}
	s.get(s.done("/weather", "text", table, "whose", "mill")).has("nothing was written down", "0 new, 0 corrected, 3 there already", "No yard goes by it yet")
	if got := weatherDays(s); len(got) != 3 {
		t.Errorf("taken twice: %q", got)
	}
	// One value told otherwise is corrected; the rest is passed over. A yard's name is
	// as good as its id.
	s.get(s.done("/weather", "text", strings.Replace(table, "21.5", "22", 1), "whose", "mill lane")).has("0 new, 1 corrected, 2 there already")
	// The undo of that page takes it back, and the page no longer tells of it.
	act := strings.Split(to, "?of=")[1]
	act, _, _ = strings.Cut(act, "&")
	s.done("/undo", "act", act, "back", to)
	s.get(to).hasNot("3 new, 0 corrected")
	n := 0
	s.state(func(st *season.State) { n = len(st.Weather("mill")) })
	if n != 1 { // the value corrected later was not undone
		t.Errorf("%d days are left", n)
	}
}

// A file of several stations: the one that is named is taken.
func TestWeatherOfSeveralStations(t *testing.T) {
	s := newSmallSite(t)
	table := "station,date,tmax_c\nUSW1,2025-09-01,20\nUSW2,2025-09-01,21\n"
	a := s.post("/weather", "text", table, "whose", "mill")
	a.has("the file holds 2 stations, not one", "USW1, USW2")
	if a.Code != 422 || !strings.Contains(a.Body, `id="whose-bad"`) {
		t.Errorf("%d", a.Code)
	}
	s.done("/weather", "text", table, "whose", "USW2")
	if got := weatherDays(s); len(got) != 1 || got[0] != "USW2 2025-09-01 21.0" {
		t.Errorf("%q", got)
	}
	s.done("/weather", "text", table)
	if got := weatherDays(s); len(got) != 2 {
		t.Errorf("%q", got)
	}
}

// Rows are left out only where the rest was read to its end, and it is told how many.
func TestWeatherRowsLeftOut(t *testing.T) {
	s := newSmallSite(t)
	s.get(s.done("/weather", "text", "date,tmax_c\n2025-09-01,20\n2025-09-02,warm\n2025-09-03,90\n", "whose", "mill", "skip", "1")).has("left out: 2")
	endless := "date,tmax_c\n2025-10-01,20\n" + strings.Repeat("2025-10-02,warm\n", 1000) + "2025-10-03,20\n"
	a := s.post("/weather", "text", endless, "whose", "mill", "skip", "1")
	a.has("what follows was not looked at")
	a.hasNot("Leave out the rows")
	if a.Code != 422 || len(weatherDays(s)) != 1 {
		t.Errorf("%d %q", a.Code, weatherDays(s))
	}
}

// What a file leaves open is asked for beside its box; what was pasted stays.
func TestWeatherFileLeavesOpen(t *testing.T) {
	s := newSmallSite(t)
	refused := func(field, say string, form ...string) {
		t.Helper()
		a := s.post("/weather", form...)
		a.has(say)
		if a.Code != http.StatusUnprocessableEntity || !strings.Contains(a.Body, `id="`+field+`-bad"`) {
			t.Errorf("%v: %d, or the trouble is not at %s", form, a.Code, field)
		}
		for i := 0; i < len(form); i += 2 {
			if form[i] == "text" && a.field("text") != form[i+1] {
				t.Errorf("what was pasted is gone: %q", a.field("text"))
			}
		}
	}
	refused("text", "there is no weather to read")
	refused("whose", "whose weather it is", "text", "date,tmax_c\n2025-09-01,20\n")
	refused("unit", "in what unit", "text", "date,tmax\n2025-09-01,20\n", "whose", "mill")
	refused("issued", "is not a day", "text", "date,tmax_c\n2025-09-01,20\n", "whose", "mill", "issued", "soonish")
	refused("unit", "is not a way weather is written", "text", "date,tmax_c\n2025-09-01,20\n", "whose", "mill", "unit", "kelvin")
	rows := "date,tmax_c\n2025-09-01,20\n2025-09-02,warm\n2025-09-03,90\n"
	refused("text", "warm", "text", rows, "whose", "mill")
	if got := weatherDays(s); len(got) != 0 {
		t.Fatalf("kept all the same: %q", got)
	}
	// Only told to does it leave those rows out.
	s.post("/weather", "text", rows, "whose", "mill").has("Leave out the rows that cannot be read", "row 3", "row 4")
	s.get(s.done("/weather", "text", rows, "whose", "mill", "skip", "1")).has("1 day,")
	if got := weatherDays(s); len(got) != 1 {
		t.Errorf("%q", got)
	}
	s.get(s.done("/weather", "text", "date,tmax\n2025-09-02,68\n", "whose", "mill", "unit", "f")).has("taken as °F and inches, as you told")
	if got := weatherDays(s); len(got) != 2 || got[1] != "mill 2025-09-02 20.0" {
		t.Errorf("%q", got)
	}
	// Whole countries are not for a form.
	var many strings.Builder
	many.WriteString("station,date,tmax_c\n")
	for i := range formStations + 1 {
		fmt.Fprintf(&many, "s%d,2025-09-01,20\n", i)
	}
	refused("whose", fmt.Sprintf("the weather of %d stations", formStations+1), "text", many.String())
}

// A file by itself, with a name no sentence should hold, and one too long.
func TestWeatherUpload(t *testing.T) {
	s := newSmallSite(t)
	send := func(name, content string) *answer {
		t.Helper()
		return s.upload("/weather", name, []byte(content), "whose", "mill")
	}
	a := send(`C:\sky\`+strings.Repeat("long", 40)+".csv", "date,tmax_c\n2025-09-01,warm\n2025-09-02,20\n")
	a.has(strings.Repeat("long", 15)+" row 2", "choose the file again, or put the rows right below")
	a.hasNot(`C:\sky`)
	if a.Code != http.StatusUnprocessableEntity || a.field("text") != "date,tmax_c\n2025-09-01,warm\n2025-09-02,20\n" {
		t.Errorf("%d %q", a.Code, a.field("text"))
	}
	if a := send("ab\u202ec.csv", "date,tmax_c\n2025-09-01,warm\n"); !strings.Contains(a.text(), "abc.csv row 2") {
		t.Errorf("%s", a.text())
	}
	if a := send("big.csv", "date,tmax_c\n2025-09-01,warm\n"+strings.Repeat("\n", shownBytes)); a.Code != 422 || a.field("text") != "" {
		t.Errorf("%d: a large file stands in the box", a.Code)
	}
	if a := send("w.csv", "date,tmax_c\n2025-09-02,20\n"); a.Code != http.StatusSeeOther {
		t.Errorf("%d", a.Code)
	}
	row := "2025-09-02,20\n"
	a = send("w.csv", "date,tmax_c\n"+strings.Repeat(row, weatherBytes/len(row)))
	a.has("more than 8 MB", "choose the file again.")
	if a.Code != http.StatusUnprocessableEntity || a.field("text") != "" {
		t.Errorf("%d", a.Code)
	}
	if a := send("w.csv", strings.Repeat("x", weatherBytes+maxForm)); a.Code != http.StatusUnprocessableEntity {
		t.Errorf("%d", a.Code)
	}
}
