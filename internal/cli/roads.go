package cli

import (
	"fmt"
	"os"
	"path/filepath"

	"larder/internal/fault"
	"larder/internal/route"
	"larder/internal/season"
)

type roadsCmds struct {
	Read roadsReadCmd `cmd:"" default:"withargs" help:"Take a table of distances or driving times into the book."`
	List roadsListCmd `cmd:"" help:"Every way between home and the yards, and where it comes from."`
}

type roadsReadCmd struct {
	File   string   `arg:"" help:"CSV with a row for each way, a square CSV, or a routing engine's matrix JSON."`
	Places []string `placeholder:"NAME,…" help:"The places in the order of the table, where it does not name them: home,ridge,orchard."`
	In     []string `placeholder:"UNIT,…" help:"Units the table does not say: one of km, mi, m and one of min, s, h."`
	Look   bool     `help:"Only show what the table is taken for; keep nothing."`
}

// roadPlaceJSON is a place of a table and what it is taken for.
type roadPlaceJSON struct {
	Called string   `json:"called"`
	Place  string   `json:"place"` // "home" or a yard; "" = none of ours
	Known  bool     `json:"known"`
	ByLie  bool     `json:"by_where_it_lies"`
	OffKm  *float64 `json:"off_km"`
}

type roadColumnJSON struct {
	Head string `json:"head"`
	As   string `json:"as"`
	Unit string `json:"unit"`
	Told bool   `json:"unit_told"`
}

// Run takes a table of ways into the book. What the book has is passed over.
func (c *roadsReadCmd) Run(r *run) error {
	text, err := readRoads(c.File)
	if err != nil {
		return err
	}
	w, err := r.weatherBook()
	if err != nil {
		return err
	}
	defer w.close()
	st := w.j.Now()
	t, err := route.ReadTable(text, route.TableOptions{File: filepath.Base(c.File), In: c.In, Places: c.Places, Locale: w.s.Locale()})
	if err != nil {
		return roadsHint(err)
	}
	got, err := st.TakeRoads(t)
	if err != nil {
		return roadsHint(err)
	}
	if !c.Look {
		facts, err := got.Facts(w.at)
		if err != nil {
			return err
		}
		if err := w.book.Append(r.ctx, facts...); err != nil {
			return err
		}
	}
	if r.JSON {
		return r.printJSON(c.doc(t, &got, w))
	}
	for _, col := range t.Columns {
		switch {
		case col.As == "":
			fmt.Fprintf(r.Out, "column %q: passed over\n", col.Head)
		case col.As == "from" || col.As == "to":
			fmt.Fprintf(r.Out, "column %q: %s\n", col.Head, col.As)
		case col.Unit == "":
			fmt.Fprintf(r.Out, "column %q: %s, each with its unit\n", col.Head, col.As)
		case col.Told:
			fmt.Fprintf(r.Out, "column %q: %s in %s, as you told\n", col.Head, col.As, col.Unit)
		default:
			fmt.Fprintf(r.Out, "column %q: %s in %s\n", col.Head, col.As, col.Unit)
		}
	}
	for _, p := range got.Places {
		if p.Known {
			fmt.Fprintf(r.Out, "place %s is %s\n", called(p), orHome(p.Place))
		}
	}
	kept := ""
	if c.Look {
		kept = " Nothing was kept."
	}
	fmt.Fprintf(r.Out, "%d ways read: %d new to the book, %d corrected, %d there already.%s\n", got.Ways, got.New, got.Changed, got.Same, kept)
	for _, n := range got.Notes {
		para(r.Out, "  ! ", w.s.Say(n.Say, n.Amounts))
	}
	return nil
}

func called(p season.RoadPlace) string {
	if p.Called == "" {
		return fmt.Sprint(p.No)
	}
	return fmt.Sprintf("%q", p.Called)
}

func orHome(place string) string {
	if place == "" {
		return season.HomeWord
	}
	return place
}

func (c *roadsReadCmd) doc(t route.Table, got *season.RoadsTaken, w *weatherBook) map[string]any {
	places, cols := []roadPlaceJSON{}, []roadColumnJSON{}
	for _, p := range got.Places {
		x := roadPlaceJSON{Called: p.Called, Place: p.Place, Known: p.Known, ByLie: p.ByLie}
		if p.Known {
			x.Place = orHome(p.Place)
		}
		if p.HasOff {
			km := p.Off.Km()
			x.OffKm = &km
		}
		places = append(places, x)
	}
	for _, col := range t.Columns {
		cols = append(cols, roadColumnJSON{col.Head, col.As, col.Unit, col.Told})
	}
	return map[string]any{"as_of": w.at, "file": filepath.Base(c.File), "form": t.Form, "columns": cols, "places": places,
		"ways": got.Ways, "new": got.New, "changed": got.Changed, "same": got.Same, "kept": !c.Look, "notes": season.Reasons(got.Notes, w.s)}
}

func readRoads(name string) (string, error) {
	info, err := os.Stat(name)
	if err != nil || info.IsDir() {
		return "", fault.New(fault.NotFound, name, "there is no such file")
	}
	if info.Size() > route.MaxTableBytes {
		return "", fault.Newf(fault.OutOfRange, name, "%d MB is too large for a table of distances", info.Size()>>20)
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return "", &fault.Error{Kind: fault.NotFound, Thing: name, Say: "this file cannot be read", Err: err}
	}
	return string(b), nil
}

// roadsHint says in the words of this command what has to be told.
func roadsHint(err error) error {
	e, ok := err.(*fault.Error)
	if !ok || e.Kind != fault.Missing {
		return err
	}
	switch e.Say {
	case route.SayNoNames:
		return e.WithHint("--places home,ridge,orchard in the order of the table")
	case route.SayNoKind:
		return e.WithHint("--in km or --in min, or write it into the table's first cell")
	}
	if e.Hint != "" {
		return e.WithHint("--in km,min; or %s", e.Hint)
	}
	return err
}

type roadsListCmd struct {
	source
}

type wayJSON struct {
	From       string  `json:"from"`
	To         string  `json:"to"`
	DistanceKm float64 `json:"distance_km"`
	TimeMin    float64 `json:"time_min"`
	How        string  `json:"how"`
}

// Run lists the ways there are.
func (c *roadsListCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	ways, err := st.Ways(at)
	if err != nil {
		return err
	}
	if r.JSON {
		out := []wayJSON{}
		for _, w := range ways {
			out = append(out, wayJSON{orHome(w.From), orHome(w.To), w.Dist.Km(), w.Time.Min(), string(w.How)})
		}
		return r.printJSON(map[string]any{"as_of": at, "ways": out})
	}
	t := newTable("from", "to", ">distance", ">time", "")
	for _, w := range ways {
		if w.How == season.WayUnknown {
			t.row(orHome(w.From), orHome(w.To), "?", "?", "not known: told nowhere, and a place has no coordinates")
			continue
		}
		t.row(orHome(w.From), orHome(w.To), s.Road(w.Dist), s.Duration(w.Time), wayWords[w.How])
	}
	t.print(r.Out)
	return nil
}

var wayWords = map[season.WayHow]string{season.WayTold: "told", season.WayPart: "told in part, the rest by the map or the mean speed", season.WayMap: "by the map",
	season.WayHome: "by way of home: say how far it really is"}
