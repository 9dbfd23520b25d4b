package hive

import (
	_ "embed"
	"fmt"
	"strconv"
	"strings"

	"larder/internal/figure"
	"larder/internal/units"
)

//go:embed data/frames.tsv
var framesTSV string

//go:embed data/boxes.tsv
var boxesTSV string

//go:embed data/bases.tsv
var basesTSV string

//go:embed data/feeders.tsv
var feedersTSV string

// row is one line of a table, by column name. A missing column or a number
// that is none is a mistake in our own table and panics: the tables are part
// of the program and a test reads them all.
type row struct {
	table string
	cells map[string]string
}

// rows reads a table: lines of comment begin with #, the first other line
// names the columns.
func rows(table, text string) []row {
	var names []string
	var out []row
	for _, line := range strings.Split(text, "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(line, "\t")
		if names == nil {
			names = f
			continue
		}
		if len(f) != len(names) {
			panic(fmt.Sprintf("hive: table %s: %d cells where %d belong: %s", table, len(f), len(names), line))
		}
		cells := make(map[string]string, len(f))
		for i, n := range names {
			cells[n] = f[i]
		}
		out = append(out, row{table, cells})
	}
	return out
}

func (r row) text(col string) string {
	s, ok := r.cells[col]
	if !ok {
		panic("hive: table " + r.table + " has no column " + col)
	}
	return s
}

// num gives a number; a dash is 0 and false.
func (r row) num(col string) (float64, bool) {
	s := r.text(col)
	if s == "-" {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("hive: table " + r.table + ", " + col + ": " + err.Error())
	}
	return x, true
}

func (r row) mass(col string) units.Mass     { x, _ := r.num(col); return units.Mass(x) }
func (r row) area(col string) units.Area     { x, _ := r.num(col); return units.Area(x) }
func (r row) volume(col string) units.Volume { x, _ := r.num(col); return units.Volume(x) }
func (r row) grade() figure.Grade            { return figure.Grade(r.text("grade")) }

func (r row) shell(stuff string) Shell {
	m, made := r.num(stuff + "_kg")
	return Shell{Mass: units.Mass(m), SD: r.mass(stuff + "_sd_kg"), Made: made}
}

func (r row) parts(prefix string) Parts {
	_, made := r.num(prefix + "floor_kg")
	if !made {
		return Parts{}
	}
	return Parts{Floor: r.mass(prefix + "floor_kg"), Board: r.mass(prefix + "board_kg"), Roof: r.mass(prefix + "roof_kg"),
		SD: r.mass("sd_kg"), Made: true}
}

// fits splits "lang10 lang8" or "* -swiss".
func (r row) fits() (yes, no []string) {
	for _, f := range strings.Fields(r.text("fits")) {
		switch {
		case f == "*":
		case strings.HasPrefix(f, "-"):
			no = append(no, f[1:])
		default:
			yes = append(yes, f)
		}
	}
	return yes, no
}

// standard is the catalogue of the tables; it is made once and never changed.
var standard = load()

// Default gives the catalogue of published and judged kinds.
func Default() Catalogue { return standard }

func load() Catalogue {
	c := Catalogue{frames: map[string]FrameKind{}, boxes: map[string]BoxKind{}, bases: map[string]Base{}, feeders: map[string]FeederKind{}}
	for _, r := range rows("frames", framesTSV) {
		c.frames[r.text("key")] = FrameKind{Key: r.text("key"), Name: r.text("name"), Area: r.area("area_dm2"),
			Comb: r.mass("comb_kg"), CombSD: r.mass("comb_sd_kg"), Source: r.text("source"), Grade: r.grade()}
	}
	for _, r := range rows("bases", basesTSV) {
		c.bases[r.text("key")] = Base{Key: r.text("key"), Name: r.text("name"), Plan: r.area("plan_dm2"),
			Wood: r.parts(""), Poly: r.parts("poly_"), Source: r.text("source"), Grade: r.grade()}
	}
	for _, r := range rows("boxes", boxesTSV) {
		n, _ := r.num("frames")
		c.boxes[r.text("key")] = BoxKind{Key: r.text("key"), Name: r.text("name"), Frame: r.text("frame"), Frames: int(n),
			Base: r.text("base"), Wood: r.shell("wood"), Poly: r.shell("poly"), Source: r.text("source"), Grade: r.grade()}
	}
	for _, r := range rows("feeders", feedersTSV) {
		yes, no := r.fits()
		with := r.text("goes_with")
		if with == "-" {
			with = ""
		}
		c.feeders[r.text("key")] = FeederKind{Key: r.text("key"), Name: r.text("name"),
			Volume: r.volume("volume_l"), Low: r.volume("low_l"), High: r.volume("high_l"),
			Access: Access(r.text("access")), Caution: r.text("caution"), Source: r.text("source"),
			PerSpace: r.volume("frame_l"), Tare: r.mass("tare_kg"), TareSD: r.mass("tare_sd_kg"), Fits: yes, Not: no,
			factor: r.text("uptake"), goesWith: with, ref: r.area("ref_dm2")}
	}
	return c
}
