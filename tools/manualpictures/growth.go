package main

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// growthCSV is what was measured; the benchmark named in its head measures it anew.
//
//go:embed growth.csv
var growthCSV string

// growth draws the time for a plan over the number of hives, both by powers of ten.
func growth() (*drawing, error) {
	r := csv.NewReader(strings.NewReader(growthCSV))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	lg := math.Log10
	d := plot("How the time for a plan grows with the season", "", 300, lg(300), lg(180_000), -1.45, 2)
	d.axes("hives", "", nil, nil, nil)
	d.text(d.x0-54, d.y1-8, "start", "seconds")
	for _, v := range []float64{0.1, 1, 10, 100} {
		d.line("rule", ` stroke-dasharray="2 5"`, d.x0, d.y(lg(v)), d.x1, d.y(lg(v)))
		d.text(d.x0-8, d.y(lg(v))+5, "end", n(v))
	}
	d.table = [][]string{{"hives", "seconds", "goal, s"}}
	var points [][2]float64
	for _, row := range rows[1:] {
		hives, err := strconv.ParseFloat(row[0], 64)
		if err != nil {
			return nil, err
		}
		s, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			return nil, err
		}
		points = append(points, [2]float64{lg(hives), lg(s)})
		d.line("ink", "", d.x(lg(hives)), d.y0, d.x(lg(hives)), d.y0+5)
		d.text(d.x(lg(hives)), d.y0+20, "middle", row[0])
		fmt.Fprintf(&d.b, `<circle class="solid" cx="%s" cy="%s" r="5"/>`+"\n", n(d.x(lg(hives))), n(d.y(lg(s))))
		d.text(d.x(lg(hives))+4, d.y(lg(s))+22, "start", row[1]+" s")
		if row[2] != "" {
			goal, err := strconv.ParseFloat(row[2], 64)
			if err != nil {
				return nil, err
			}
			d.line("lack", "", d.x(lg(hives))-26, d.y(lg(goal)), d.x(lg(hives))+26, d.y(lg(goal)))
			d.text(d.x(lg(hives)), d.y(lg(goal))-8, "middle", "goal "+row[2]+" s")
		}
		d.table = append(d.table, []string{row[0], row[1], row[2]})
	}
	d.curve("ink", "", points)
	first, last := rows[1], rows[len(rows)-1]
	d.desc = fmt.Sprintf("Both axes by powers of ten. The time grows from %s s for %s hives to %s s for %s, a little less than the hives do, and lies below the goals set before.", first[1], first[0], last[1], last[0])
	return d, nil
}
