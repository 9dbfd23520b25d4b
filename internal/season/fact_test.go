package season_test

import (
	"bytes"
	"encoding/json"
	"hash/crc32"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

func TestRoundTrip(t *testing.T) {
	for _, f := range append(booktest.Samples(), booktest.Awkward()...) {
		b, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		var g season.Fact
		if err := json.Unmarshal(b, &g); err != nil {
			t.Errorf("%s: %v", b, err)
			continue
		}
		if !reflect.DeepEqual(f, g) {
			t.Errorf("%s:\n got %#v\nwant %#v", b, g, f)
		}
	}
}

func TestRoundTripAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, f := range booktest.AnySet(10).Draw(t, "facts") {
			b, err := json.Marshal(f)
			if err != nil {
				t.Fatal(err)
			}
			var g season.Fact
			if err := json.Unmarshal(b, &g); err != nil {
				t.Fatalf("%s: %v", b, err)
			}
			if !season.Same(&f, &g) {
				t.Fatalf("%s reads as another fact", b)
			}
			r, err := f.Record()
			if err != nil {
				t.Fatal(err)
			}
			h, err := season.NewDecoder().Fact(&r)
			if err != nil {
				t.Fatal(err)
			}
			if h.Seen != f.Seen || h.Made != f.Made || !season.Same(&f, &h) {
				t.Fatalf("%s: its record reads as another fact", b)
			}
		}
	})
}

// TestStoredNames: what stands in books is lower case with underscores, in all
// kinds, to the last field. Names that are stored never change.
func TestStoredNames(t *testing.T) {
	good := regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	var look func(where string, v any)
	look = func(where string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				if !good.MatchString(k) {
					t.Errorf("%s: a field is stored as %q", where, k)
				}
				look(where+"."+k, x)
			}
		case []any:
			for _, x := range v {
				look(where, x)
			}
		}
	}
	for _, f := range booktest.Samples() {
		b, err := season.EncodeBody(&f)
		if err != nil {
			t.Fatal(err)
		}
		var v any
		if err := json.Unmarshal(b, &v); err != nil {
			t.Fatal(err)
		}
		look(f.Kind(), v)
	}
}

// TestSamplesAreFull: between them the samples of a kind set every field of it,
// so that a round trip that loses one is noticed.
func TestSamplesAreFull(t *testing.T) {
	set, all := map[string]bool{}, map[string]bool{}
	var look func(where string, v reflect.Value)
	look = func(where string, v reflect.Value) {
		all[where] = true
		if !v.IsZero() {
			set[where] = true
		}
		switch {
		case v.Kind() == reflect.Pointer && !v.IsNil():
			look(where, v.Elem())
		case v.Kind() == reflect.Slice && v.Type().Elem().Kind() == reflect.Struct:
			for i := range v.Len() {
				look(where, v.Index(i))
			}
		case v.Kind() == reflect.Struct && v.Type().PkgPath() != "larder/internal/units":
			for i := range v.NumField() {
				look(where+"."+v.Type().Field(i).Name, v.Field(i))
			}
		}
	}
	for _, f := range booktest.Samples() {
		look(f.Kind(), reflect.ValueOf(f.Body))
	}
	// What is never told as a fact: a colony that is placed or split off is not
	// joined to another by that.
	never := map[string]bool{"colony.Colony.Into": true, "weather.Filled": true}
	for where := range all {
		if !set[where] && !never[where] && !strings.HasPrefix(where, "split.New.") {
			t.Errorf("no sample sets %s", where)
		}
	}
}

func TestKinds(t *testing.T) {
	names := map[string]bool{}
	for _, k := range season.Kinds() {
		names[k] = true
	}
	for _, f := range booktest.Samples() {
		if !names[f.Kind()] {
			t.Errorf("%T is of kind %q, which is not listed", f.Body, f.Kind())
		}
		if len(f.About()) == 0 {
			t.Errorf("%s is about nothing", f.Kind())
		}
	}
	for _, body := range []any{nil, 1, "text", &apiary.Look{}, struct{}{}} {
		f := season.Fact{ID: booktest.ID(1), Seen: units.OnDay(1), Body: body}
		if f.Kind() != "" || f.About() != nil || f.Check() == nil {
			t.Errorf("%T passes for a fact", body)
		}
	}
}

// TestEveryKindIsDrawn: sets drawn at random leave no kind out.
func TestEveryKindIsDrawn(t *testing.T) {
	drawn := map[string]bool{}
	sets := booktest.AnySet(40)
	for i := range 60 {
		for _, f := range sets.Example(i) {
			drawn[f.Kind()] = true
		}
	}
	for _, k := range season.Kinds() {
		if !drawn[k] {
			t.Errorf("facts of kind %q are never drawn: see booktest.AnySet", k)
		}
	}
}

func TestUnmarshalRefuses(t *testing.T) {
	const (
		id   = `"id":"0199f2a4-5b6c-7d8e-9f00-112233445566"`
		good = `{` + id + `,"kind":"look","seen":"2026-10-03","body":{"colony":"c"}}`
	)
	var f season.Fact
	if err := json.Unmarshal([]byte(good), &f); err != nil {
		t.Fatal(err)
	}
	for name, bad := range map[string]string{
		"unknown field":         strings.Replace(good, `"seen"`, `"extra":1,"seen"`, 1),
		"unknown field in body": strings.Replace(good, `"colony"`, `"hive":"h","colony"`, 1),
		"unknown kind":          strings.Replace(good, `"look"`, `"stare"`, 1),
		"no kind":               strings.Replace(good, `"kind":"look",`, ``, 1),
		"no id":                 strings.Replace(good, id+`,`, ``, 1),
		"empty id":              strings.Replace(good, id, `"id":""`, 1),
		"no time":               strings.Replace(good, `"seen":"2026-10-03",`, ``, 1),
		"no colony":             strings.Replace(good, `{"colony":"c"}`, `{}`, 1),
		"no body":               strings.Replace(good, `,"body":{"colony":"c"}`, ``, 1),
		"body null":             strings.Replace(good, `{"colony":"c"}`, `null`, 1),
		"body a list":           strings.Replace(good, `{"colony":"c"}`, `[]`, 1),
		"31 February":           strings.Replace(good, `2026-10-03`, `2026-02-31`, 1),
		"year 3000":             strings.Replace(good, `2026-10-03`, `3000-10-03`, 1),
		"by with a line break":  strings.Replace(good, `"seen"`, `"by":"a\nb","seen"`, 1),
		"corrects itself":       strings.Replace(good, `"seen"`, `"replaces":"0199f2a4-5b6c-7d8e-9f00-112233445566","seen"`, 1),
	} {
		g := f
		if err := json.Unmarshal([]byte(bad), &g); err == nil {
			t.Errorf("%s: taken", name)
		} else if fault.Is(err, fault.Internal) {
			t.Errorf("%s: %v is not for a keeper", name, err)
		}
		if !reflect.DeepEqual(f, g) {
			t.Errorf("%s: the fact was changed", name)
		}
	}
	for name, body := range map[string]string{"something follows": `{"colony":"c"} 1`, "a bracket follows": `{"colony":"c"}}`, "cut off": `{"colony":"c"`, "nothing": ``} {
		if _, err := season.DecodeBody("look", []byte(body)); err == nil {
			t.Errorf("%s: taken", name)
		}
		if _, err := season.NewDecoder().Body("look", []byte(body)); err == nil {
			t.Errorf("%s: taken by the Decoder", name)
		}
	}
}

func TestCheckMoments(t *testing.T) {
	for name, m := range map[string]units.Moment{
		"day 0":             units.OnDay(0),
		"first instant":     units.At(time.UnixMilli(0).In(time.FixedZone("", 3600))),
		"year 1800":         units.OnDay(units.DayOf(1800, 1, 1)),
		"year 2400":         units.OnDay(units.DayOf(2400, 1, 1)),
		"offset of 30 h":    units.At(time.Date(2026, 1, 1, 0, 0, 0, 0, time.FixedZone("", 30*3600))),
		"offset of −24 h":   units.At(time.Date(2026, 1, 1, 12, 0, 0, 0, time.FixedZone("", -24*3600))),
		"offset of 500 h":   units.At(time.Date(2026, 1, 1, 0, 0, 0, 0, time.FixedZone("", 500*3600))),
		"just below 1900-…": units.OnDay(units.DayOf(1899, 12, 31)),
	} {
		for _, f := range []season.Fact{
			{ID: booktest.ID(1), Seen: m, Body: apiary.Look{Colony: "c"}},
			{ID: booktest.ID(1), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Made: m, Body: apiary.Look{Colony: "c"}},
		} {
			if f.Check() == nil && !(m.IsZero() && f.Made.IsZero() && !f.Seen.IsZero()) { // no moment at all is "not noted"
				t.Errorf("%s: taken", name)
			}
		}
	}
	for _, off := range []int{-23*60 - 59, -570, 0, 345, 14 * 60, 23*60 + 59} {
		m := units.At(time.Date(2026, 1, 1, 3, 0, 0, 0, time.FixedZone("", off*60)))
		f := season.Fact{ID: booktest.ID(1), Seen: m, Body: apiary.Look{Colony: "c"}}
		if err := f.Check(); err != nil {
			t.Errorf("offset %d min: %v", off, err)
		}
		if back, err := units.ParseMoment(m.String(), time.UTC); err != nil || back != m {
			t.Errorf("offset %d min: %s reads as %s, %v", off, m, back, err)
		}
	}
}

func TestSame(t *testing.T) {
	a := booktest.Samples()[0]
	for name, change := range map[string]func(*season.Fact){
		"id": func(f *season.Fact) { f.ID = booktest.ID(99) }, "seen": func(f *season.Fact) { f.Seen = units.OnDay(1) },
		"made": func(f *season.Fact) { f.Made = units.OnDay(1) }, "by": func(f *season.Fact) { f.By = "x" },
		"replaces": func(f *season.Fact) { f.Replaces = booktest.ID(98) }, "body": func(f *season.Fact) { f.Body = apiary.Yard{ID: "z"} },
		"kind": func(f *season.Fact) { f.Body = apiary.Look{Colony: "north"} },
	} {
		b := a
		change(&b)
		if season.Same(&a, &b) {
			t.Errorf("another %s is taken for the same", name)
		}
	}
	b := a
	b.Made = a.Seen // written down when it was seen, said in so many words
	if !season.Same(&a, &b) {
		t.Error("the same fact is taken for another")
	}
}

// TestRecordSum: the sum is that of all bytes of the record, and changes with every
// field and every bit of the body.
func TestRecordSum(t *testing.T) {
	r, err := booktest.Samples()[3].Record()
	if err != nil {
		t.Fatal(err)
	}
	sum := r.Sum(7, nil)
	if want := crc32.Update(7, crc32.MakeTable(crc32.Castagnoli), r.Append(nil)); sum != want || r.Sum(7, make([]byte, 9)) != want {
		t.Errorf("the sum is %08x, that of the bytes %08x", sum, want)
	}
	if r.Sum(8, nil) == sum {
		t.Error("the salt is not in the sum")
	}
	for i := range r.Body {
		for bit := range 8 {
			x := r
			x.Body = bytes.Clone(r.Body)
			x.Body[i] ^= 1 << bit
			if x.Sum(7, nil) == sum {
				t.Fatalf("bit %d of byte %d is not in the sum", bit, i)
			}
		}
	}
	for name, change := range map[string]func(*season.Record){
		"id": func(r *season.Record) { r.ID[15]++ }, "kind": func(r *season.Record) { r.Kind = "yard" }, "by": func(r *season.Record) { r.By += "x" },
		"seen": func(r *season.Record) { r.Seen.MS++ }, "offset": func(r *season.Record) { r.Seen.Off++ }, "bare day": func(r *season.Record) { r.Made.DayOnly = !r.Made.DayOnly },
		"made": func(r *season.Record) { r.Made.MS++ }, "replaces": func(r *season.Record) { r.Replaces[0]++ },
		"kind to by": func(r *season.Record) { r.By, r.Kind = r.Kind[3:]+r.By, r.Kind[:3] },
	} {
		x := r
		change(&x)
		if x.Sum(7, nil) == sum {
			t.Errorf("%s is not in the sum", name)
		}
	}
}

// agree fails when the quick way of reading a body and encoding/json differ.
func agree(t testing.TB, d *season.Decoder, kind string, body []byte) {
	t.Helper()
	want, err1 := season.DecodeBody(kind, body)
	for range 2 { // the second time with all remembered
		got, err2 := d.Body(kind, body)
		if (err1 == nil) != (err2 == nil) {
			t.Fatalf("%s %q: encoding/json says %v, the quick way %v", kind, body, err1, err2)
		}
		if err1 == nil && !reflect.DeepEqual(got, want) {
			t.Fatalf("%s %q:\n quick %#v\n json %#v", kind, body, got, want)
		}
	}
}

// nearBodies are what the quick way may meet: its own kinds as written, and all
// manner of things near to them.
func nearBodies() (out []struct{ kind, body string }) {
	add := func(kind, body string) { out = append(out, struct{ kind, body string }{kind, body}) }
	for _, f := range append(append(booktest.Samples(), booktest.Awkward()...), booktest.Many(3, 1)...) {
		b, err := season.EncodeBody(&f)
		if err != nil {
			panic(err)
		}
		add(f.Kind(), string(b))
	}
	for _, s := range []string{
		``, `{}`, `{ }`, `null`, `[]`, `{"colony":"c"}`, ` {"colony":"c"}`, `{"colony":"c"} `, `{"colony":"c",}`, `{,"colony":"c"}`, `{"colony":"a","colony":"b"}`,
		`{"Colony":"c"}`, `{"COLONY":"c"}`, `{"colony":null}`, `{"colony":1}`, `{"colony":"\u0041"}`, `{"colony":"é"}`, "{\"colony\":\"\xff\"}", `{"colony":"c"`, `{"colony":"c"}}`,
		`{"note":"n","colony":"c"}`, `{"colony":"c","bees":1.5,"brood":2}`, `{"colony":"c","bees":01}`, `{"colony":"c","bees":-0}`, `{"colony":"c","bees":-0.0}`, `{"colony":"c","bees":1e3}`,
		`{"colony":"c","bees":.5}`, `{"colony":"c","bees":5.}`, `{"colony":"c","bees":+5}`, `{"colony":"c","bees":-}`, `{"colony":"c","bees":1e999}`, `{"colony":"c","bees":"1"}`,
		`{"colony":"c","bees_known":true}`, `{"colony":"c","bees_known":false}`, `{"colony":"c","bees_known":tru}`, `{"colony":"c","bees_known":1}`, `{"colony":"c","queen":1}`,
		`{"colony":"c","queen":9}`, `{"colony":"c","queen":12}`, `{"colony":"c","queen":300}`, `{"colony":"c","queen":-1}`, `{"colony":"c","queen":1.0}`, `{"colony":"c","queen":"1"}`,
		`{"colony":"c","gross":"48 lb"}`, `{"colony":"c","gross":"48 L"}`, `{"colony":"c","gross":""}`, `{"colony":"c","gross":48}`, `{"colony":"c","gross":"48"}`, `{"colony":"c","gross":null}`,
		`{"colony":"c","frames":[]}`, `{"colony":"c","frames":[{}]}`, `{"colony":"c","frames":[{"box":"b"},{"sealed":1}]}`, `{"colony":"c","frames":[{"box":"b"},]}`, `{"colony":"c","frames":null}`,
		`{"colony":"c","frames":[{"box":"b"}{"box":"c"}]}`, `{"colony":"c","frames":[{"box":"b"}`, `{"colony":"c","frames":[[]]}`, `{"colony":"c","levers":{"arm1":"0.5 m"}}`, `{"colony":"c","wet":true}`,
		`{"colony":"c","volume":"1 L"}`, `{"colony":"c","volume":"0 L"}`, `{"colony":"c","strength":"66.7 %"}`, `{"colony":"c","strength":"2:1"}`, `{"colony":"c","strength":""}`, `{"colony":"c","feed":"syrup"}`,
		`{"station":"s","day":"2026-08-02","tmax":"20 C"}`, `{"station":"s","day":""}`, `{"station":"s","day":"1970-01-01"}`, `{"station":"s","tmax":"20 F"}`, `{"station":"s","rain":1.25,"has_rain":true}`,
		`{"colony":"c","note":"a` + "\n" + `b"}`, `{"colony":"c","note":"tab\tescaped"}`, `{"colony":"c","unknown":1}`, `{"":""}`, `{"colony"}`, `{"colony":}`, `{:1}`, `{"colony" :"c"}`, `{"colony": "c"}`,
	} {
		for _, k := range []string{"reading", "given", "left", "look", "weather"} {
			add(k, s)
		}
	}
	return out
}

func TestQuickAgrees(t *testing.T) {
	d := season.NewDecoder()
	for _, c := range nearBodies() {
		agree(t, d, c.kind, []byte(c.body))
	}
}

// TestQuickIsUsed: the common facts do go the quick way, or it would be for
// nothing. Read by reflection they take some dozen pieces of memory each.
func TestQuickIsUsed(t *testing.T) {
	d := season.NewDecoder()
	for _, f := range booktest.Many(50, 1) {
		switch f.Kind() {
		case "reading", "given", "left", "look", "weather":
		default:
			continue
		}
		b, err := season.EncodeBody(&f)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := d.Body(f.Kind(), b); err != nil {
			t.Fatal(err)
		}
		if n := testing.AllocsPerRun(1, func() { _, _ = d.Body(f.Kind(), b) }); n > 3 {
			t.Fatalf("%s %s takes %.0f pieces of memory", f.Kind(), b, n)
		}
	}
}

func FuzzDecodeBody(f *testing.F) {
	for _, c := range nearBodies() {
		f.Add(c.kind, []byte(c.body))
	}
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		agree(t, season.NewDecoder(), kind, body)
	})
}

// FuzzFact: whatever is read as a fact can be written, read again, and kept.
func FuzzFact(f *testing.F) {
	for _, fact := range booktest.Samples() {
		b, err := json.Marshal(fact)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var fact, back season.Fact
		if json.Unmarshal(b, &fact) != nil {
			return
		}
		out, err := json.Marshal(fact)
		if err != nil {
			t.Fatalf("%q cannot be written again: %v", b, err)
		}
		if err := json.Unmarshal(out, &back); err != nil {
			t.Fatalf("%q cannot be read again: %v", out, err)
		}
		if !season.Same(&fact, &back) {
			t.Fatalf("%q reads as another fact than %q", out, b)
		}
		r, err := fact.Record()
		if err != nil {
			t.Fatalf("%q cannot be kept: %v", b, err)
		}
		kept, err := season.NewDecoder().Fact(&r)
		if err != nil || !season.Same(&fact, &kept) {
			t.Fatalf("%q is kept as another fact: %v", b, err)
		}
	})
}
