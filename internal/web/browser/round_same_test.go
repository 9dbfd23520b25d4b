package browser

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/piglig/go-qr"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/tools/storybook/chromium"
)

// The phone's own rules say what home's do: what a visit writes down, and how an
// amount is written.
func TestPhoneSaysWhatHomeSays(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.goTo("/round")
	eval[bool](b, `(async () => { globalThis.fold = await import("/assets/fold.js"); globalThis.doc = await (await fetch("/phone/round?load=1")).json(); globalThis.hive = doc.stops[0].hives[0]; return true; })()`)
	colony, holds := eval[string](b, `hive.colony`), eval[float64](b, `hive.holds_l`)
	on := eval[string](b, `doc.on`)
	vol := func(text string) *units.Entered[units.Volume] {
		e, err := units.EnterVolume(text, units.Locale{})
		if err != nil {
			t.Fatal(err)
		}
		return &e
	}
	lb, err := units.EnterMass("41 lb", units.Locale{})
	if err != nil {
		t.Fatal(err)
	}
	base := season.Visit{Colony: colony, Plan: on, Holds: units.Volume(holds)}
	with := func(f func(*season.Visit)) season.Visit { v := base; f(&v); return v }
	cases := map[string]season.Visit{
		`{}`:                                     base,
		`{left: "0 L"}`:                          with(func(v *season.Visit) { v.Left = vol("0 L") }),
		`{left: "1 US qt", note: "calm"}`:        with(func(v *season.Visit) { v.Left, v.Note = vol("1 US qt"), "calm" }),
		`{given: "1.5 US gal"}`:                  with(func(v *season.Visit) { v.Given = vol("1.5 US gal") }),
		`{left: "0 L", given: "2 L", note: "x"}`: with(func(v *season.Visit) { v.Left, v.Given, v.Note = vol("0 L"), vol("2 L"), "x" }),
		`{weight: "41 lb", way: "lift1"}`:        with(func(v *season.Visit) { v.Weight, v.Way = &lb, stores.LiftOne }),
		`{heft: "light", note: "n"}`:             with(func(v *season.Visit) { v.Heft, v.Note = stores.Light, "n" }),
		`{note: "alone"}`:                        with(func(v *season.Visit) { v.Note = "alone" }),
	}
	for _, why := range season.NotFedWhys() {
		cases[fmt.Sprintf(`{notFed: %q, note: "n"}`, why)] = with(func(v *season.Visit) { v.NotFed, v.Note = why, "n" })
	}
	for js, v := range cases {
		bodies, err := v.Bodies()
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for _, body := range bodies {
			f := season.Fact{Body: body}
			raw, err := season.EncodeBody(&f)
			if err != nil {
				t.Fatal(err)
			}
			want = append(want, f.Kind()+" "+string(raw))
		}
		var got []string
		for _, line := range eval[[]string](b, fmt.Sprintf(`fold.visit(doc, hive, %s).map((f) => f.kind + " " + JSON.stringify(f.body))`, js)) {
			kind, raw, _ := strings.Cut(line, " ")
			body, err := season.DecodeBody(kind, []byte(raw))
			if err != nil {
				t.Fatalf("%s: home cannot read %s: %v", js, line, err)
			}
			f := season.Fact{Body: body}
			again, err := season.EncodeBody(&f)
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, kind+" "+string(again))
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s\nphone %v\nhome  %v", js, got, want)
		}
	}
	for _, s := range []units.Style{{System: units.US, Decimal: '.'}, {System: units.Metric, Decimal: ','}, {System: units.UK, Decimal: '.'}} {
		col := s.VolumeCol()
		for l := 0.0; l < 400; l = l*1.07 + 0.013 {
			got := eval[string](b, fmt.Sprintf(`fold.amount({volume: {unit: %q, si: %v, decimal: %q}}, %v)`, col.Unit, 1/col.Value(1), string(s.Locale().Decimal), l))
			if want := s.VolumeBig(units.Volume(l)); got != want {
				t.Errorf("%v L: phone %q, home %q", l, got, want)
			}
		}
	}
}

// What the phone draws as codes, a reader that is not ours reads.
func TestCodesAreRead(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.goTo("/round")
	eval[bool](b, `(async () => { globalThis.codes = await import("/assets/codes.js"); return true; })()`)
	text := "LARDER 1/9 "
	for n := 1; n < 400; n += 13 {
		for len(text) < n+11 {
			text += string("ABCxyz019-_"[(n*7+len(text)*5)%11])
		}
		rows := eval[[]string](b, fmt.Sprintf(`codes.matrix(%q).map((r) => r.map((x) => x ? "1" : "0").join(""))`, text))
		if got := readCode(t, rows); got != text {
			t.Errorf("%d signs: read %q", len(text), got)
		}
	}
}

// readCode puts modules on a picture, four dots to a module, and reads it.
func readCode(t *testing.T, rows []string) string {
	t.Helper()
	const dots, border = 4, 4
	n := (len(rows) + 2*border) * dots
	img := image.NewGray(image.Rect(0, 0, n, n))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for r, row := range rows {
		for c, x := range row {
			if x == '1' {
				for i := range dots * dots {
					img.SetGray((c+border)*dots+i%dots, (r+border)*dots+i/dots, color.Gray{})
				}
			}
		}
	}
	got, err := go_qr.Decode(img)
	if err != nil {
		t.Errorf("%d rows: %v", len(rows), err)
	}
	return got
}

// The one file of a trip opens from the phone's own storage, logs, and gives its
// entries back as a file and as codes.
func TestTripAsAFile(t *testing.T) {
	y := newYard(t)
	r, err := http.Get(y.srv.URL + "/round/1.html")
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(r.Body)
	r.Body.Close()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "larder-round-1.html")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	b := open(t, "file://")
	b.must(chromium.Look(390, 844, false), chromedp.Navigate("file://"+path))
	b.wait(`document.querySelector("#trip[data-ready]")`)
	b.hurry()
	b.shot("file-stop")
	b.tap("#start")
	want := []string{b.given(), b.given(), b.given()}
	if line := eval[string](b, `document.querySelector(".line strong").textContent`); line != "Entries on this phone, not yet at home: 3" {
		t.Errorf("the line says %q", line)
	}
	// The file, as the button saves it.
	saved := eval[string](b, `(async () => { let blob; const old = URL.createObjectURL; URL.createObjectURL = (x) => { blob = x; return old(x); }; HTMLAnchorElement.prototype.click = () => {};
		for (const text of ["More", "My entries", "Save entries"]) { later(500); [...document.querySelectorAll(".page button")].find((x) => x.textContent.startsWith(text)).click(); await new Promise((ok) => setTimeout(ok, 150)); }
		return blob.text(); })()`)
	// The codes, one by one.
	var codes []string
	b.tap("#codes")
	b.view("codes")
	b.shot("file-codes")
	for range 40 {
		rows := eval[[]string](b, `(() => { const svg = document.querySelector(".page svg"), n = Number(svg.getAttribute("viewBox").split(" ")[2]) - 8, m = Array.from({length: n}, () => Array(n).fill("0"));
			for (const [, c, r] of svg.querySelector("path").getAttribute("d").matchAll(/M(\d+) (\d+)h/g)) m[r - 4][c - 4] = "1"; return m.map((r) => r.join("")); })()`)
		text := readCode(t, rows)
		if slices.Contains(codes, text) {
			break
		}
		codes = append(codes, text)
		was := eval[string](b, `document.querySelector(".page .lead").textContent`)
		b.says("Next code")
		b.wait(`document.querySelector(".page .lead").textContent !== ` + quoted(was))
	}
	for name, form := range map[string]func(*multipart.Writer) error{
		"file": func(w *multipart.Writer) error {
			f, err := w.CreateFormFile("file", "larder-entries.json")
			if err != nil {
				return err
			}
			_, err = io.WriteString(f, saved)
			return err
		},
		"codes": func(w *multipart.Writer) error { return w.WriteField("codes", strings.Join(codes, "\n")) },
	} {
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		if err := form(w); err != nil {
			t.Fatal(err)
		}
		w.Close()
		r, err := http.Post(y.srv.URL+"/phone/file", w.FormDataContentType(), &body)
		if err != nil {
			t.Fatal(err)
		}
		page, _ := io.ReadAll(r.Body)
		r.Body.Close()
		if r.StatusCode != 200 {
			t.Errorf("%s: %d %s", name, r.StatusCode, page)
		}
		y.once(want)
	}
	if n := len(codes); n < 2 {
		t.Errorf("%d codes", n)
	}
	var file struct{ Entries []json.RawMessage }
	if err := json.Unmarshal([]byte(saved), &file); err != nil || len(file.Entries) != 3 {
		t.Errorf("%v, %d entries", err, len(file.Entries))
	}
}

// sixtyHives is one yard of sixty hives, all short.
func sixtyHives(t testing.TB) []season.Fact {
	t.Helper()
	stack, err := hive.ParseStack("lang10-deep + lang10-medium")
	if err != nil {
		t.Fatal(err)
	}
	day := func(d int) units.Day { return units.DayOf(2026, 9, d) }
	var out []season.Fact
	add := func(d int, body any) {
		f := season.Fact{Seen: units.OnDay(day(d)), Body: body}
		if f.ID, err = f.Derive(len(out)); err != nil {
			t.Fatal(err)
		}
		out = append(out, f)
	}
	for _, kv := range [][2]string{{"rig.tank", "1000 L"}, {"kitchen.mixer", "1000 L"}, {"home.lat", "42.0"}, {"home.lon", "-75.0"}} {
		add(-20, season.Setting{Key: kv[0], Value: kv[1]})
	}
	add(-20, apiary.Yard{ID: "mill", Name: "Mill Lane", HasPlace: true, Lat: 42.05, Lon: -75.02, Climate: apiary.Temperate, Station: "s", Stop: day(30)})
	for i := range 60 {
		c := fmt.Sprint(i + 1)
		add(-20, apiary.Placed{Colony: apiary.Colony{ID: c, Yard: "mill", Stand: i + 1, Kind: apiary.Full, Stack: stack, Feeder: "tray-2"}})
		add(1, apiary.Look{Colony: c, Bees: 10, BeesKnown: true, Brood: 4, BroodKnown: true, Queen: apiary.Yes, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No})
		add(3, stores.Reading{Colony: c, Way: stores.Full, Gross: units.In(units.Mass(36))})
	}
	for d := -15; d <= 60; d++ {
		add(min(d, 4), weather.Day{Station: "s", Day: day(d), TMax: 20, TMin: 8, HasMax: true, HasMin: true, Forecast: d > 4})
	}
	return out
}

// A sheet of sixty hives is typed back in by keyboard alone: so many as planned,
// ten with what was left, four other amounts, three not fed. Counted in keys;
// under four minutes at one key a second, which is slow.
func TestSixtyHivesAreTypedBack(t *testing.T) {
	y := newYardOf(t, sixtyHives(t), units.DayOf(2026, 9, 4))
	b := open(t, y.srv.URL)
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/round/1/type")
	eval[chromedp.Void](b, axeSource)
	b.axe("type", nil)
	b.shot("type-sheet")
	hives := len(y.trip(1).Stops[0].Hives)
	if hives < 55 {
		t.Fatalf("only %d of sixty are on the load", hives)
	}
	keys := 0
	press := func(key string) {
		t.Helper()
		keys++
		b.must(chromedp.KeyEvent(key))
	}
	enter := func() { press(kb.Enter) }
	sign := func(s string) {
		for _, r := range s {
			press(string(r))
		}
	}
	right := func() { press(kb.ArrowRight) }
	var given, left, not int
	for i := range 60 {
		switch {
		case i%20 == 7: // not fed: robbing
			sign("r")
			not++
		case i%15 == 4: // another amount
			sign("1.5")
			enter()
			given++
		case i%6 == 2: // as planned, and half was left
			sign("x")
			right()
			sign("h")
			enter()
			given++
			left++
		default:
			enter()
			given++
		}
	}
	keys++ // the focus is on Save
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if _, err := chromedp.RunResponse(ctx, chromedp.KeyEvent(kb.Enter)); err != nil {
		t.Fatal(err)
	}
	b.wait(`document.readyState === "complete"`)
	if !b.has("entries from the sheet") {
		t.Errorf("it does not say that it was saved: %s", b.text("main"))
	}
	t.Logf("%d keys for 60 hives", keys)
	if keys > 240 {
		t.Errorf("%d keys: more than four minutes at one a second", keys)
	}
	kinds, gave := y.logged()
	if len(gave) != given || kinds["not-fed"] != not {
		t.Errorf("given %d of %d, not fed %d of %d", len(gave), given, kinds["not-fed"], not)
	}
	lefts := 0
	for _, f := range y.facts() {
		if f.Kind() == "left" {
			lefts++
		}
	}
	if lefts != left {
		t.Errorf("left %d of %d", lefts, left)
	}
}
