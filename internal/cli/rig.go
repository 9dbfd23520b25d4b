package cli

import (
	"fmt"
	"strings"

	"larder/internal/feeding"
	"larder/internal/rig"
	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

type rigCmds struct {
	Tank  rigTankCmd  `cmd:"" help:"Litres in a tank from a dip, the dip for litres, the dip chart."`
	Hose  rigHoseCmd  `cmd:"" help:"Flow at the nozzle, seconds for each feeder, what another hose or warmer syrup would do."`
	Wire  rigWireCmd  `cmd:"" help:"Wire and fuse for the 12 V pump, and what a tank takes from the battery."`
	Heat  rigHeatCmd  `cmd:"" help:"Time, energy and gas to warm a batch."`
	Load  rigLoadCmd  `cmd:"" help:"What the syrup weighs, against the truck's payload and axles."`
	Lift  rigLiftCmd  `cmd:"" help:"The weight that may be lifted so, by the revised lifting equation."`
	Pails rigPailsCmd `cmd:"" help:"A season with pails against one with tank and hose."`
}

// rigFrom is where a rig command takes the keeper's rig from: the season, with
// what was said on the command line over it.
type rigFrom struct{ source }

// flag is one flag that stands for a setting.
type flag struct{ name, key, value string }

// state gives the season with the flags over its settings, and how to write.
// Without a season only the flags are told. fresh are groups of settings that the
// flags describe anew: what the season says of them does not count beside them.
func (c *rigFrom) state(r *run, flags []flag, fresh ...string) (*season.State, units.Style, error) {
	st := season.NewJournal().Now()
	if c.given(r) {
		var err error
		if st, _, err = c.source.state(r); err != nil {
			return nil, units.Style{}, err
		}
	}
	s := r.style(st.Settings.Style())
	read := s
	read.Decimal = '.' // flags are written with a point, as everywhere on the command line
	var set []season.Setting
	for _, g := range fresh {
		for _, k := range season.SettingKeys() {
			if strings.HasPrefix(k.Key, g+".") {
				set = append(set, season.Setting{Key: k.Key})
			}
		}
	}
	for _, f := range flags {
		if f.value == "" {
			continue
		}
		v, err := season.ReadSetting(f.key, f.value, read, 0)
		if err != nil {
			return nil, s, usage(err, "--"+f.name)
		}
		set = append(set, season.Setting{Key: f.key, Value: v})
	}
	st, err := st.SupposeSettings(set...)
	return st, s, err
}

// strengthFlag reads a strength or a ratio by weight.
func strengthFlag(r *run, s string) (units.Strength, error) {
	if s == "" {
		return 0, nil
	}
	x, err := units.ParseStrength(s, r.locale())
	return x, usage(err, "--strength")
}

func angle(p *reading, name, s string) rig.Angle {
	if s == "" || p.err != nil {
		return 0
	}
	x, err := season.ReadNumber(strings.TrimSuffix(strings.TrimSpace(s), "°"), p.l)
	if err != nil {
		p.err = usage(err, name)
	}
	return rig.Angle(x)
}

// lengthTold reads a length that may be zero.
func lengthTold(p *reading, name, s string) (m syrup.Maybe[units.Length]) {
	if s == "" {
		return m
	}
	return syrup.Told(get(p, name, s, units.ParseLength))
}

// rigWords prints reasons and cautions under an answer.
func rigWords(r *run, s units.Style, reasons, cautions []feeding.Reason) {
	if len(reasons)+len(cautions) > 0 {
		fmt.Fprintln(r.Out)
	}
	for _, x := range reasons {
		para(r.Out, "  because ", s.Say(x.Say, x.Amounts))
	}
	for _, x := range cautions {
		para(r.Out, "  ! ", s.Say(x.Say, x.Amounts))
	}
}

func rowOf(r *run, what, much string) { fmt.Fprintf(r.Out, "  %-24s %s\n", what, much) }
