package main

import (
	"fmt"
	"strconv"

	"larder/internal/apiary"
	"larder/internal/cli/example"
	"larder/internal/feeding"
	"larder/internal/hive"
	"larder/internal/rig"
	"larder/internal/season"
	hivestores "larder/internal/stores"
	"larder/internal/syrup"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

func f0(x float64) string { return strconv.FormatFloat(x, 'f', 0, 64) }
func f1(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

// stores draws what is taken off a weight: one hive on a scale, looked at.
func stores() (*drawing, error) {
	stack, err := hive.ParseStack("lang10-deep + lang10-medium")
	if err != nil {
		return nil, err
	}
	gross, err := units.ParseMass("52 kg", units.Locale{})
	if err != nil {
		return nil, err
	}
	e, err := hivestores.Judge(
		hivestores.Reading{Colony: "14", Way: hivestores.Full, Gross: units.In(gross)},
		hivestores.Context{Stack: stack, Look: &apiary.Look{Colony: "14", Bees: 10, BeesKnown: true, Brood: 3, BroodKnown: true}, Figures: season.DefaultFigures()})
	if err != nil {
		return nil, err
	}
	d := plot("What is taken off a weight", "", 300, 0, 55, 0, float64(len(e.Parts)+2))
	d.table = [][]string{{"what", "kg", "± kg"}}
	row := func(i int, name string, from, to, sd float64, class string) {
		y := 20 + float64(i)*34
		x := func(v float64) float64 { return 230 + v*(wide-230-95)/55 }
		d.text(220, y+17, "end", name)
		d.box(class, "", x(min(from, to)), y, max(1, x(max(from, to))-x(min(from, to))), 22)
		d.line("ink", "", x(to)-sd*(wide-325)/55, y+26, x(to)+sd*(wide-325)/55, y+26)
		d.text(x(max(from, to))+8, y+17, "start", f1(max(to-from, from-to))+" ± "+f1(sd))
		d.table = append(d.table, []string{name, f1(max(to-from, from-to)), f1(sd)})
	}
	at := float64(gross)
	row(0, "on the scale", 0, at, e.Gross.SD, "shade")
	d.desc = fmt.Sprintf("A hive of %s kg on the scale.", f1(at))
	for i, p := range e.Parts {
		row(i+1, p.Name, at, at-p.Kg.Mean, p.Kg.SD, "shade")
		at -= p.Kg.Mean
		d.desc += fmt.Sprintf(" Off it: %s %s kg, give or take %s.", p.Name, f1(p.Kg.Mean), f1(p.Kg.SD))
	}
	row(len(e.Parts)+1, "stores", 0, e.Mean, e.SD, "have")
	d.desc += fmt.Sprintf(" What is left are %s kg of stores, give or take %s kg.", f1(e.Mean), f1(e.SD))
	d.high = 20 + float64(len(e.Parts)+2)*34 + 10
	return d, nil
}

// stop draws the rule of the stop day on a real autumn.
func stop() (*drawing, error) {
	facts, err := example.Weather()
	if err != nil {
		return nil, err
	}
	set := season.DefaultFigures()
	var days []weather.Day
	station := ""
	for _, f := range facts {
		if w, ok := f.Body.(weather.Day); ok {
			station = w.Station
			days = append(days, w)
		}
	}
	s, err := weather.MakeSeries(station, days)
	if err != nil {
		return nil, err
	}
	cold, ok := weather.FirstCold(s, 2014, false, set)
	if !ok {
		return nil, fmt.Errorf("no cold day in 2014")
	}
	lead := int(set.V("weather.ripen_syrup_days"))
	from, to := units.DayOf(2014, 9, 1), units.DayOf(2014, 12, 24)
	limit := set.V("weather.stop_mean_max_c")
	d := plot("The stop day by the rule, autumn of 2014", "", 330, float64(from), float64(to), 0, 36)
	var highs, mean [][2]float64
	d.table = [][]string{{"day", "high, °C", "mean of the last 10 highs, °C"}}
	for day := from; day <= to; day++ {
		m := s.MeanMax(day-9, day)
		w, _ := s.At(day)
		highs = append(highs, [2]float64{float64(day), w.TMax.C()})
		mean = append(mean, [2]float64{float64(day), m.T.C()})
		if (day-from)%10 == 0 || day == cold || day == cold-units.Day(lead) {
			d.table = append(d.table, []string{day.String(), f1(w.TMax.C()), f1(m.T.C())})
		}
	}
	d.axes("", "°C", nil, []float64{0, 5, 10, 15, 20, 25, 30, 35}, nil)
	for _, m := range []units.Day{units.DayOf(2014, 9, 1), units.DayOf(2014, 10, 1), units.DayOf(2014, 11, 1), units.DayOf(2014, 12, 1)} {
		d.line("ink", "", d.x(float64(m)), d.y0, d.x(float64(m)), d.y0+5)
		d.text(d.x(float64(m)), d.y0+20, "middle", m.Time().Format("2 Jan"))
	}
	d.curve("rule", ` stroke-dasharray="1 4"`, highs)
	d.curve("ink", "", mean)
	d.line("lack", ` stroke-dasharray="8 4"`, d.x0, d.y(limit), d.x1, d.y(limit))
	d.text(d.x0+8, d.y(limit)+18, "start", f0(limit)+" °C")
	stop := cold - units.Day(lead)
	for _, v := range []struct {
		day  units.Day
		say  string
		side string
	}{{cold, "first cold day " + cold.Time().Format("2 Jan"), "start"}, {stop, "stop day " + stop.Time().Format("2 Jan"), "end"}} {
		x := d.x(float64(v.day))
		d.line("lack", "", x, d.y0, x, d.y1)
		off := 8.0
		if v.side == "end" {
			off = -8
		}
		d.text(x+off, d.y1+10, v.side, v.say)
	}
	d.desc = fmt.Sprintf("Daily highs in New York, dotted, and the mean of the last ten, a line that falls from 28 °C to below %s °C. It gets below %s °C first on %s; %d days earlier, on %s, is the stop day.",
		f0(limit), f0(limit), cold.Time().Format("2 January"), lead, stop.Time().Format("2 January"))
	return d, nil
}

// winterModel draws what a colony eats against the cold.
func winterModel() (*drawing, error) {
	p := winter.ParamsOf(season.DefaultFigures())
	d := plot("What a colony eats in a day, by the day's mean temperature", "", 340, -25, 15, 0, 180)
	d.axes("mean temperature of the day, °C", "g of stores a day", []float64{-25, -20, -15, -10, -5, 0, 5, 10, 15}, []float64{0, 30, 60, 90, 120, 150, 180}, f0)
	d.table = [][]string{{"°C", "6000 bees, no brood", "12 000 bees, no brood", "12 000 bees, 10 dm² of brood"}}
	cases := []struct {
		bees, brood float64
		class, dash string
		say         string
		at          float64 // where its name stands
		down        float64
	}{
		{6000, 0, "rule", "", "6000 bees, no brood", -5, 22},
		{12000, 0, "ink", "", "12 000 bees, no brood", -2, -14},
		{12000, 10, "lack", ` stroke-dasharray="8 4"`, "12 000 bees, 10 dm² of brood", 1, -30},
	}
	for _, c := range cases {
		var points [][2]float64
		for t := -25.0; t <= 15; t += 0.5 {
			g, err := p.Day(units.Temp(t), c.bees, units.Area(c.brood), 1)
			if err != nil {
				return nil, err
			}
			points = append(points, [2]float64{t, g.Kg() * 1000})
			if t == c.at {
				d.text(d.x(t), d.y(g.Kg()*1000)+c.down, "middle", c.say)
			}
		}
		d.curve(c.class, c.dash, points)
	}
	for _, t := range []float64{-25, -20, -15, -10, -5, 0, 5, 10, 15} {
		r := []string{f0(t)}
		for _, c := range cases {
			g, err := p.Day(units.Temp(t), c.bees, units.Area(c.brood), 1)
			if err != nil {
				return nil, err
			}
			r = append(r, f0(g.Kg()*1000)+" g")
		}
		d.table = append(d.table, r)
	}
	d.line("rule", ` stroke-dasharray="2 4"`, d.x(-10), d.y0, d.x(-10), d.y1)
	d.text(d.x(-10)-8, d.y1+12, "end", "not measured below −10 °C")
	d.desc = "Three lines. Each is lowest near 5 °C and rises towards the cold, steeper below −10 °C, where nothing was measured, and towards the warm, where bees stir. Twice the bees eat less than twice as much; brood adds its own food and warmth, more the colder it is."
	return d, nil
}

// planner draws the content of one feeder: a fill first, then each day's uptake.
func planner() (*drawing, error) {
	set := season.DefaultFigures()
	const holds, need, frames = 7.57, 17.0, 8.0
	highs := []float64{22, 21, 19, 18, 20, 17, 15, 14, 16, 15, 13, 12, 13, 11, 12, 14}
	const stopDay = 14
	d := plot("One hive: fills and what it takes, day by day", "", 300, 0, float64(len(highs)), 0, 9)
	d.axes("day", "litres in the feeder", []float64{0, 2, 4, 6, 8, 10, 12, 14, 16}, []float64{0, 2, 4, 6, 8}, f0)
	d.line("rule", ` stroke-dasharray="8 4"`, d.x0, d.y(holds), d.x1, d.y(holds))
	d.text(d.x(7), d.y(holds)-7, "start", "feeder holds "+f1(holds)+" L")
	d.line("lack", "", d.x(stopDay), d.y0, d.x(stopDay), d.y1)
	d.text(d.x(stopDay)+6, d.y1+12, "start", "stop day")
	d.table = [][]string{{"day", "high, °C", "fill, L", "taken, L", "left in the evening, L"}}
	strength := units.Strength(2.0 / 3)
	take := make([]float64, len(highs))
	for i, h := range highs {
		u, err := feeding.Uptake(frames, 1, units.Temp(h), strength, set)
		if err != nil {
			return nil, err
		}
		take[i] = u.L()
	}
	content, given := 0.0, 0.0
	visits := map[int]bool{0: true, 4: true, 9: true}
	for i := range highs {
		fill := 0.0
		if visits[i] {
			can := 0.0 // what it can still take up to the stop day
			for k := i; k < stopDay; k++ {
				can += take[k]
			}
			fill = max(0, min(holds-content, need-given, can-content))
			d.box("have", "", d.x(float64(i))+2, d.y(content+fill), 12, d.y(content)-d.y(content+fill))
			d.text(d.x(float64(i))+18, d.y(content+fill)+14, "start", "+"+f1(fill)+" L")
		}
		content, given = content+fill, given+fill
		taken := 0.0
		if i < stopDay {
			taken = min(content, take[i])
		}
		d.curve("ink", "", [][2]float64{{float64(i), content}, {float64(i + 1), content - taken}})
		content -= taken
		d.table = append(d.table, []string{f0(float64(i)), f0(highs[i]), f1(fill), f1(taken), f1(content)})
	}
	d.desc = fmt.Sprintf("A colony of %s frames of bees wants %s L. Its feeder is filled on day 0, topped up on days 4 and 9, and never above its rim. It takes less on colder days, and the last fill is no larger than what it can still take before the stop day, day %d.", f0(frames), f0(need), stopDay)
	return d, nil
}

// pump draws where the pump's curve meets the loss of the hose.
func pump() (*drawing, error) {
	set := season.DefaultFigures()
	strength := units.Strength(2.0 / 3)
	d := plot("Pump and hose: where the curves meet", "", 330, 0, 20, 0, 5)
	d.axes("flow, L/min", "pressure, bar", []float64{0, 4, 8, 12, 16, 20}, []float64{0, 1, 2, 3, 4, 5}, f0)
	line := rig.Line{Hose: rig.Hose{Bore: units.Length(0.019), Length: 30}, Fittings: []rig.Fitting{rig.Trigger(set)}}
	p := rig.Pump{ShutOff: units.Pressure(4.1e5), Open: units.Flow(20.0 / 60)}
	d.curve("have-line", ` stroke="var(--have)"`, [][2]float64{{0, 4.1}, {20, 0}})
	d.text(d.x(13), d.y(1.7), "start", "the pump")
	d.table = [][]string{{"syrup at", "mPa·s", "flow", "hose takes"}}
	d.desc = "A falling line, the pump: 4.1 bar against a closed nozzle, 20 L/min against nothing. Three rising lines, the loss of 30 m of 19 mm hose for 2:1 syrup at three temperatures. They meet"
	for i, t := range []float64{5, 15, 25} {
		mu, err := syrup.Viscosity(strength, units.Temp(t))
		if err != nil {
			return nil, err
		}
		rho, err := syrup.Density(strength, units.Temp(t))
		if err != nil {
			return nil, err
		}
		fl := rig.Fluid{Density: rho, Viscosity: mu}
		var points [][2]float64
		for q := 0.0; q <= 20; q += 0.25 {
			loss, err := line.Loss(units.Flow(q/60), fl)
			if err != nil {
				return nil, err
			}
			if bar := float64(loss.Total()) / 1e5; bar <= 5 {
				points = append(points, [2]float64{q, bar})
			}
		}
		d.curve("ink", []string{"", ` stroke-dasharray="9 4"`, ` stroke-dasharray="2 4"`}[i], points)
		del, err := (rig.Setup{Pump: p, Line: line, Fluid: fl}).Deliver(set)
		if err != nil {
			return nil, err
		}
		q, bar := float64(del.Flow)*60, float64(del.AtPump)/1e5
		fmt.Fprintf(&d.b, `<circle class="solid" cx="%s" cy="%s" r="5"/>`+"\n", n(d.x(q)), n(d.y(bar)))
		last := points[len(points)-1]
		if last[0] > 19 {
			d.text(d.x1-4, d.y(last[1])-10, "end", f0(t)+" °C")
		} else {
			d.text(d.x(last[0])+8, d.y(last[1])+14, "start", f0(t)+" °C")
		}
		d.table = append(d.table, []string{f0(t) + " °C", f0(float64(mu)), f1(q) + " ± " + f1(float64(del.SD)*60) + " L/min", f1(float64(del.Loss.Hose)/1e5) + " bar"})
		d.desc += fmt.Sprintf(" at %s L/min for %s °C,", f1(q), f0(t))
	}
	d.desc = d.desc[:len(d.desc)-1] + "."
	return d, nil
}
