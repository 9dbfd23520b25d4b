package route

import (
	"encoding/json"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// engineDoc is a routing engine's answer about a matrix, in the open shape that
// several of them share: seconds and metres, rows by source, columns by
// destination, null where there is no way, locations as [lon, lat]. places is
// ours: the names, in the order in which the engine was asked.
type engineDoc struct {
	Code         *string         `json:"code"`
	Message      string          `json:"message"`
	Durations    [][]*float64    `json:"durations"`
	Distances    [][]*float64    `json:"distances"`
	Sources      []engineSpot    `json:"sources"`
	Destinations []engineSpot    `json:"destinations"`
	Places       []string        `json:"places"`
	PlacesTo     []string        `json:"places_to"`
	Metadata     *engineMetadata `json:"metadata"`
}

type engineSpot struct {
	Location []float64 `json:"location"`
	Name     string    `json:"name"`
}

type engineMetadata struct {
	Query struct {
		Units string `json:"units"`
	} `json:"query"`
}

// engine reads a routing engine's matrix.
func (t *tableReader) engine(text string) error {
	t.out.Form = Engine
	var in engineDoc
	if err := json.Unmarshal([]byte(text), &in); err != nil {
		return &fault.Error{Kind: fault.NotUnderstood, Say: "this is not the matrix of a routing engine", Hint: "JSON with durations and distances, one list for each place", Err: err}
	}
	if in.Code != nil && !strings.EqualFold(*in.Code, "ok") {
		return fault.Newf(fault.Damaged, "", "the routing engine could not answer: %.60q", *in.Code+" "+in.Message)
	}
	if len(in.Durations) == 0 && len(in.Distances) == 0 {
		return fault.New(fault.Missing, "", "there are neither durations nor distances in it").WithHint("ask the engine for both")
	}
	scale := units.Metre
	unit := "m"
	if in.Metadata != nil && in.Metadata.Query.Units != "" {
		unit = strings.ToLower(in.Metadata.Query.Units)
		switch unit {
		case "m":
		case "km":
			scale = units.Kilometre
		case "mi":
			scale = units.Mile
		default:
			return fault.Newf(fault.NotUnderstood, "", "%q is not a unit of a way, or a second one", in.Metadata.Query.Units).WithHint("one of km, mi, m and one of min, s, h")
		}
	}
	rows, cols, err := matrixSize(in.Durations, in.Distances)
	if err != nil {
		return err
	}
	if rows > MaxPlaces || cols > MaxPlaces {
		return tooManyPlaces()
	}
	if t.out.From, err = t.engineSpots(in.Sources, firstList(t.o.Places, in.Places), rows); err != nil {
		return err
	}
	to := in.Places
	if in.PlacesTo != nil {
		to = in.PlacesTo
	}
	if t.out.To, err = t.engineSpots(in.Destinations, firstList(t.o.Places, to), cols); err != nil {
		return err
	}
	if in.Durations != nil {
		t.out.Columns = append(t.out.Columns, TableColumn{Head: "durations", As: "time", Unit: "s"})
	}
	if in.Distances != nil {
		t.out.Columns = append(t.out.Columns, TableColumn{Head: "distances", As: "distance", Unit: unit})
	}
	for i := range rows {
		for j := range cols {
			l := TableLeg{From: i, To: j}
			if in.Durations != nil && in.Durations[i][j] != nil {
				l.Time, l.HasTime = units.Duration(*in.Durations[i][j]), true
			}
			if in.Distances != nil && in.Distances[i][j] != nil {
				l.Dist, l.HasDist = units.Length(*in.Distances[i][j])*scale, true
			}
			if err := t.add(l, spotName(t.out.From, i)+" to "+spotName(t.out.To, j)); err != nil {
				return err
			}
		}
	}
	t.sayBlank()
	return nil
}

func firstList(a, b []string) []string {
	if len(a) > 0 {
		return a
	}
	return b
}

// matrixSize gives rows and columns of the matrices, which must agree.
func matrixSize(all ...[][]*float64) (rows, cols int, err error) {
	for _, m := range all {
		if m == nil {
			continue
		}
		if rows != 0 && len(m) != rows {
			return 0, 0, fault.New(fault.Damaged, "", "durations and distances are of different sizes")
		}
		rows = len(m)
		for _, r := range m {
			if cols == 0 {
				cols = len(r)
			}
			if len(r) != cols || cols == 0 {
				return 0, 0, fault.New(fault.Damaged, "", "the rows of the matrix are not of one length")
			}
		}
	}
	return rows, cols, nil
}

// engineSpots gives the places of a side of the matrix.
func (t *tableReader) engineSpots(told []engineSpot, names []string, n int) ([]Spot, error) {
	if len(names) > 0 && len(names) != n {
		return nil, fault.Newf(fault.Conflict, "", "the table has %d rows, and %d places were told", n, len(names))
	}
	if len(told) > 0 && len(told) != n {
		return nil, fault.New(fault.Damaged, "", "sources or destinations do not go with the size of the matrix")
	}
	out := make([]Spot, n)
	used := map[string]bool{}
	for i := range out {
		if len(names) > 0 {
			out[i].Name = strings.TrimSpace(names[i])
			if used[out[i].Name] {
				return nil, fault.New(fault.Conflict, out[i].Name, "this place is in the list twice")
			}
			used[out[i].Name] = true
		}
		if len(told) > 0 {
			out[i].Near = told[i].Name
			if l := told[i].Location; len(l) == 2 {
				if _, err := GreatCircle(l[1], l[0], 0, 0); err != nil {
					return nil, err
				}
				out[i].HasPlace, out[i].Lon, out[i].Lat = true, l[0], l[1]
			}
		}
	}
	return out, nil
}
