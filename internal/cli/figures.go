package cli

import (
	"fmt"
	"strconv"

	"larder/internal/figure"
	"larder/internal/season"
)

type figuresCmd struct {
	source
}

type figureJSON struct {
	Key    string  `json:"key"`
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	SD     float64 `json:"sd,omitempty"`
	Grade  string  `json:"grade"`
	Source string  `json:"source"`
	Note   string  `json:"note,omitempty"`
	Own    bool    `json:"own"`
	// Published is the default an own value stands over.
	Published *float64 `json:"published,omitempty"`
	Outside   bool     `json:"outside_range,omitempty"`
}

// Run lists the figures in use.
func (c *figuresCmd) Run(r *run) error {
	set := season.DefaultFigures()
	if c.given(r) {
		st, _, err := c.state(r)
		if err != nil {
			return err
		}
		set, _ = st.Settings.FigureSet()
	}
	all := set.All()
	if r.JSON {
		out := make([]figureJSON, len(all))
		for i, f := range all {
			out[i] = figureJSON{Key: f.Key, Name: f.Name, Value: f.Value, Unit: f.Unit, Low: f.Low, High: f.High, SD: f.SD,
				Grade: string(f.Grade), Source: f.Source, Note: f.Note, Own: set.IsOwn(f.Key), Outside: !f.InRange(f.Value)}
			if d, ok := set.Default(f.Key); ok && out[i].Own {
				out[i].Published = &d.Value
			}
		}
		return r.printJSON(map[string]any{"figures": out})
	}
	for _, f := range all {
		fmt.Fprintf(r.Out, "%s\n", f.Key)
		para(r.Out, "    ", f.Name+": "+number(f.Value)+" "+f.Unit+spread(f)+", believable "+number(f.Low)+" to "+number(f.High))
		para(r.Out, "    ", "source ("+string(f.Grade)+"): "+f.Source)
		if f.Note != "" {
			para(r.Out, "    ", f.Note)
		}
		if !f.InRange(f.Value) {
			para(r.Out, "    ! ", "your value lies outside the believable range")
		}
	}
	fmt.Fprintf(r.Out, "\n%d figures. Set your own in the season's [figures].\n", len(all))
	return nil
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

func spread(f figure.Figure) string {
	if f.SD == 0 {
		return ""
	}
	return " ± " + number(f.SD)
}
