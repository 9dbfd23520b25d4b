package cli

import (
	"fmt"
	"strings"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

type traceCmd struct {
	source
	Lot    string `xor:"what" placeholder:"S-114" help:"Which colonies got this lot, or this batch."`
	Colony string `xor:"what" placeholder:"14" help:"What this colony got, itself and through those it came from."`
}

type traceGiftJSON struct {
	Seen    units.Moment `json:"seen"`
	Colony  string       `json:"colony"`
	Yard    string       `json:"yard"`
	Feed    string       `json:"feed"`
	VolumeL float64      `json:"volume_l"`
	MassKg  float64      `json:"mass_kg"`
	Batch   string       `json:"batch"`
	Lots    []lotRefJSON `json:"lots"`
}

type lotRefJSON struct {
	Item  string `json:"item"`
	Lot   string `json:"lot"`
	Named bool   `json:"named"` // false: worked out by what expires first
}

// Run follows a lot to colonies, or a colony to lots.
func (c *traceCmd) Run(r *run) error {
	if c.Lot == "" && c.Colony == "" {
		return fault.New(fault.Usage, "", "say what to follow: a lot or a colony").WithHint("larder trace --lot S-114, or --colony 14")
	}
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	var t season.Trace
	var found bool
	what := c.Lot
	if c.Lot != "" {
		t, found = st.TraceLot(c.Lot, at)
	} else {
		what = c.Colony
		t, found = st.TraceColony(c.Colony, at)
	}
	if !found {
		return fault.New(fault.NotFound, what, "nothing is known of it").WithHint("`larder stock` lists the lots; `larder judge` lists the colonies")
	}
	if r.JSON {
		return r.printJSON(traceDoc(&t, at))
	}
	printTrace(r, r.style(st.Settings.Style()), &t, c.Lot != "")
	return nil
}

func refs(lots []season.LotRef) string {
	out := make([]string, len(lots))
	for i, l := range lots {
		out[i] = strings.TrimSpace(l.Item + " " + l.Lot)
		if !l.Named {
			out[i] += " (worked out)"
		}
	}
	return strings.Join(out, ", ")
}

func printTrace(r *run, s units.Style, t *season.Trace, lot bool) {
	if len(t.Batches) > 0 {
		fmt.Fprintf(r.Out, "Batches: %s\n", strings.Join(t.Batches, ", "))
	}
	if len(t.Lots) > 0 {
		para(r.Out, "", "Lots: "+refs(t.Lots))
	}
	if len(t.Gifts) == 0 {
		fmt.Fprintln(r.Out, "No colony got any of it.")
		return
	}
	fmt.Fprintln(r.Out)
	g := newTable("when", "colony", "yard", ">given", "batch", "lots")
	for _, x := range t.Gifts {
		g.row(x.Seen.Day().String(), x.Colony, x.Yard, much(s, giftQty(x), x.Volume > 0), x.Batch, refs(x.Lots))
	}
	g.print(r.Out)
	fmt.Fprintln(r.Out)
	names := make([]string, len(t.Colonies))
	for i, k := range t.Colonies {
		names[i] = k.Colony
		if k.How != "" {
			names[i] += " (" + kinHow[k.How] + " " + k.Via + ")"
		}
	}
	head := "Its feed came through: "
	if lot {
		head = "These colonies got it or may hold it: "
	}
	para(r.Out, "", head+strings.Join(names, ", "))
}

var kinHow = map[string]string{"unite": "united with", "split": "split from or into", "frames": "by frames, with"}

func traceDoc(t *season.Trace, at units.Moment) map[string]any {
	lots := func(in []season.LotRef) []lotRefJSON {
		out := []lotRefJSON{}
		for _, l := range in {
			out = append(out, lotRefJSON(l))
		}
		return out
	}
	gifts := []traceGiftJSON{}
	for _, g := range t.Gifts {
		gifts = append(gifts, traceGiftJSON{g.Seen, g.Colony, g.Yard, string(g.Feed), g.Volume.L(), g.Mass.Kg(), g.Batch, lots(g.Lots)})
	}
	colonies := []map[string]any{}
	for _, k := range t.Colonies {
		colonies = append(colonies, map[string]any{"colony": k.Colony, "yard": k.Yard, "state": k.State, "how": k.How, "via": k.Via, "fed": k.Fed})
	}
	batches := t.Batches
	if batches == nil {
		batches = []string{}
	}
	return map[string]any{"as_of": at, "batches": batches, "lots": lots(t.Lots), "gifts": gifts, "colonies": colonies}
}

func giftQty(g season.TraceGift) ledger.Qty {
	if g.Volume > 0 {
		return ledger.LitresQty(g.Volume)
	}
	return ledger.WeightQty(g.Mass)
}
