package web

import (
	"bufio"
	"bytes"
	"compress/gzip"
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"sync"

	"larder/internal/fault"
)

// The towns of the United States with where they lie. Places: GeoNames
// (geonames.org), CC BY 4.0, by way of vega-datasets 3.2.1; see NOTICE and
// town_make.go.
//
//go:embed data/towns.gz
var townsGZ []byte

// town is one town of the list.
type town struct {
	Name, State string
	Lat, Lon    float64
	key         string // plainName of Name
}

// String gives the town as people write it: "Ithaca, NY".
func (t town) String() string { return t.Name + ", " + t.State }

// townList is read at the first question: most starts ask none.
var townList = sync.OnceValue(func() []town {
	z, err := gzip.NewReader(bytes.NewReader(townsGZ))
	if err != nil {
		panic("web: towns.gz: " + err.Error())
	}
	var out []town
	state := ""
	for s := bufio.NewScanner(z); s.Scan(); {
		if st, ok := strings.CutPrefix(s.Text(), "="); ok {
			state = st
			continue
		}
		f := strings.Split(s.Text(), "\t")
		lat, err1 := strconv.Atoi(f[1])
		lon, err2 := strconv.Atoi(f[2])
		if err1 != nil || err2 != nil {
			panic("web: towns.gz: " + s.Text())
		}
		out = append(out, town{f[0], state, float64(lat) / 100, -float64(lon) / 100, plainName(f[0])})
	}
	return out
})

// readPlace reads a town ("Ithaca, NY", "ithaca ny", "Ithaca") or coordinates
// ("42.44, -76.50", "42.44 N 76.5 W"). When several towns are meant they come
// back as choices. Faults: fault.Missing, fault.NotFound, fault.OutOfRange.
func readPlace(text string) (p town, choices []town, err error) {
	t := strings.TrimSpace(text)
	if t == "" {
		return p, nil, fault.New(fault.Missing, "", "no place is told").WithHint("a town and its state, or latitude and longitude")
	}
	if lat, lon, ok := coordinates(t); ok {
		if !(lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180) {
			return p, nil, fault.Newf(fault.OutOfRange, "", "%s is not a place on earth", t).WithHint("latitude −90 to 90, longitude −180 to 180, in degrees")
		}
		return town{Lat: lat, Lon: lon}, nil, nil
	}
	name, state := splitState(t)
	for _, c := range townList() {
		if c.key == name && (state == "" || c.State == state) {
			choices = append(choices, c)
		}
	}
	switch len(choices) {
	case 1:
		return choices[0], nil, nil
	case 0:
		return p, nearTowns(name, state), fault.Newf(fault.NotFound, "", "%s is not in our list of towns", t).
			WithHint("it has the towns of the United States; else give latitude and longitude, for example 42.44, -76.50")
	}
	return p, choices, fault.Newf(fault.Conflict, "", "there are %d towns called %s", len(choices), choices[0].Name).WithHint("add the state")
}

// nearTowns gives up to six towns whose name begins like the one typed.
func nearTowns(name, state string) []town {
	var out []town
	for n := len(name); n >= 4 && len(out) == 0; n-- {
		for _, c := range townList() {
			if strings.HasPrefix(c.key, name[:n]) && (state == "" || c.State == state) && len(out) < 6 {
				out = append(out, c)
			}
		}
	}
	return out
}

// coordinates reads latitude and longitude in decimal degrees.
func coordinates(s string) (lat, lon float64, ok bool) {
	s = strings.NewReplacer("°", " ", "−", "-", "–", "-").Replace(s)
	f := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' })
	var x []float64
	for _, p := range f {
		sign, at := 1.0, strings.ToUpper(p)
		switch at {
		case "N", "E", "O": // a compass letter behind its number; O is east or west, so it is refused
			if at == "O" || len(x) == 0 {
				return 0, 0, false
			}
			continue
		case "S", "W":
			if len(x) == 0 {
				return 0, 0, false
			}
			x[len(x)-1] = -x[len(x)-1]
			continue
		}
		switch at[len(at)-1] {
		case 'S', 'W':
			sign, at = -1, at[:len(at)-1]
		case 'N', 'E':
			at = at[:len(at)-1]
		}
		v, err := strconv.ParseFloat(at, 64)
		if err != nil || v != v || v-v != 0 {
			return 0, 0, false
		}
		x = append(x, sign*v)
	}
	if len(x) != 2 {
		return 0, 0, false
	}
	return x[0], x[1], true
}

var nameMarks = strings.NewReplacer(".", "", "'", "", "’", "", "-", " ")

// plainName brings a town's name to the form by which it is found.
func plainName(s string) string {
	s = strings.ToLower(nameMarks.Replace(s))
	f := strings.Fields(s)
	for i, w := range f {
		switch w {
		case "st":
			f[i] = "saint"
		case "ste":
			f[i] = "sainte"
		case "mt":
			f[i] = "mount"
		case "ft":
			f[i] = "fort"
		}
	}
	return strings.Join(f, " ")
}

// splitState takes a state off the end: "Ithaca, NY", "Ithaca NY", "Ithaca, New
// York".
func splitState(s string) (name, state string) {
	if n, st, ok := strings.Cut(s, ","); ok {
		st = strings.ToLower(strings.TrimSpace(st))
		if i := slices.IndexFunc(states, func(p [2]string) bool { return strings.ToLower(p[0]) == st || strings.ToLower(p[1]) == st }); i >= 0 {
			return plainName(n), states[i][0]
		}
	}
	name = plainName(strings.ReplaceAll(s, ",", " "))
	if i := strings.LastIndexByte(name, ' '); i > 0 && len(name)-i == 3 {
		st := strings.ToUpper(name[i+1:])
		if slices.ContainsFunc(states, func(p [2]string) bool { return p[0] == st }) {
			return name[:i], st
		}
	}
	return name, ""
}

var states = [][2]string{
	{"AL", "Alabama"}, {"AK", "Alaska"}, {"AZ", "Arizona"}, {"AR", "Arkansas"}, {"CA", "California"}, {"CO", "Colorado"}, {"CT", "Connecticut"},
	{"DC", "District of Columbia"}, {"DE", "Delaware"}, {"FL", "Florida"}, {"GA", "Georgia"}, {"HI", "Hawaii"}, {"ID", "Idaho"}, {"IL", "Illinois"},
	{"IN", "Indiana"}, {"IA", "Iowa"}, {"KS", "Kansas"}, {"KY", "Kentucky"}, {"LA", "Louisiana"}, {"ME", "Maine"}, {"MD", "Maryland"},
	{"MA", "Massachusetts"}, {"MI", "Michigan"}, {"MN", "Minnesota"}, {"MS", "Mississippi"}, {"MO", "Missouri"}, {"MT", "Montana"},
	{"NE", "Nebraska"}, {"NV", "Nevada"}, {"NH", "New Hampshire"}, {"NJ", "New Jersey"}, {"NM", "New Mexico"}, {"NY", "New York"},
	{"NC", "North Carolina"}, {"ND", "North Dakota"}, {"OH", "Ohio"}, {"OK", "Oklahoma"}, {"OR", "Oregon"}, {"PA", "Pennsylvania"},
	{"RI", "Rhode Island"}, {"SC", "South Carolina"}, {"SD", "South Dakota"}, {"TN", "Tennessee"}, {"TX", "Texas"}, {"UT", "Utah"},
	{"VT", "Vermont"}, {"VA", "Virginia"}, {"WA", "Washington"}, {"WV", "West Virginia"}, {"WI", "Wisconsin"}, {"WY", "Wyoming"},
}
