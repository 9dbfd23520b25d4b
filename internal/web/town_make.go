//go:build ignore

// town_make writes data/towns.gz from the zip codes and airports of the npm
// package vega-datasets 3.2.1:
//
//	npm pack vega-datasets@3.2.1 && tar xzf vega-datasets-3.2.1.tgz
//	go run internal/web/town_make.go package/data internal/web/data/towns.gz
//
// A town is the middle of its zip codes (GeoNames, CC BY 4.0). Where an airport
// of that town (a federal table, free of copyright) lies well away from it, the
// airport is right and the zip codes are not.
package main

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"encoding/csv"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

type key struct{ state, town string }

type point struct{ lat, lon float64 }

func main() {
	towns := read(filepath.Join(os.Args[1], "zipcodes.csv"), "state", "city")
	airports := read(filepath.Join(os.Args[1], "airports.csv"), "state", "city")
	fields := map[key]point{}
	for k, p := range airports {
		fields[key{k.state, strings.ToLower(k.town)}] = middle(p)
	}
	type row struct {
		key
		point
	}
	var rows []row
	for k, p := range towns {
		if slices.Contains([]string{"AE", "AP", "AA", "GU", "PR", "VI", "AS", "MP", "PW", "FM", "MH"}, k.state) {
			continue
		}
		m := middle(p)
		if a, ok := fields[key{k.state, strings.ToLower(k.town)}]; ok && (math.Abs(a.lat-m.lat) > 0.3 || math.Abs(a.lon-m.lon) > 0.4) {
			m = a
		}
		if m.lon < 0 {
			rows = append(rows, row{k, m})
		}
	}
	slices.SortFunc(rows, func(a, b row) int { return cmp.Or(cmp.Compare(a.state, b.state), cmp.Compare(a.town, b.town)) })
	var out bytes.Buffer
	state := ""
	for _, r := range rows {
		if r.state != state {
			state = r.state
			fmt.Fprintf(&out, "=%s\n", state)
		}
		// Hundredths of a degree, north and west.
		fmt.Fprintf(&out, "%s\t%.0f\t%.0f\n", r.town, r.lat*100, -r.lon*100)
	}
	var z bytes.Buffer
	w, err := gzip.NewWriterLevel(&z, gzip.BestCompression)
	check(err)
	_, err = w.Write(out.Bytes())
	check(err)
	check(w.Close())
	check(os.WriteFile(os.Args[2], z.Bytes(), 0o644))
}

func read(name, state, town string) map[key][]point {
	f, err := os.Open(name)
	check(err)
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	check(err)
	col := map[string]int{}
	for i, h := range all[0] {
		col[h] = i
	}
	out := map[key][]point{}
	for _, r := range all[1:] {
		lat, err := strconv.ParseFloat(r[col["latitude"]], 64)
		check(err)
		lon, err := strconv.ParseFloat(r[col["longitude"]], 64)
		check(err)
		k := key{r[col[state]], r[col[town]]}
		out[k] = append(out[k], point{lat, lon})
	}
	return out
}

func middle(p []point) point {
	med := func(f func(point) float64) float64 {
		x := make([]float64, len(p))
		for i := range p {
			x[i] = f(p[i])
		}
		slices.Sort(x)
		return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
	}
	return point{med(func(q point) float64 { return q.lat }), med(func(q point) float64 { return q.lon })}
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}
