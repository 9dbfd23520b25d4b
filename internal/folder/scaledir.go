package folder

import (
	"io/fs"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// scaleDir is the folder for the logs of automatic scales, as they come: one file
// for each colony on a scale, called like the colony.
const scaleDir = "scale"

// scaleFolder reads the files of the folder scale.
func (l *loader) scaleFolder() {
	entries, err := fs.ReadDir(l.fsys, scaleDir)
	if err != nil {
		return // there is none
	}
	for _, e := range entries {
		if !e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			l.scaleFile(scaleDir + "/" + e.Name())
		}
	}
}

// scaleFile makes readings of one of them, one a day.
func (l *loader) scaleFile(name string) {
	b, err := readFile(l.fsys, name, name)
	if err != nil {
		l.tell(err)
		return
	}
	o := weather.ScaleOptions{File: name}
	if l.house.systemTold { // a heading without a unit: the one usual with the house
		o.Unit = "kg"
		if l.house.system == units.US {
			o.Unit = "lb"
		}
	}
	log, err := weather.ReadScale(b, o)
	if err != nil {
		l.weatherTrouble(err)
		return
	}
	if log.Told {
		l.warn(name, "weights without a unit taken as "+log.Unit, "put the unit into the head: weight_kg or weight_lb")
	}
	facts, notes, err := season.ScaleReadings(season.ScaleIn{Colony: base(name), Log: log, Zone: l.house.zone})
	if err != nil {
		l.tell(err)
		return
	}
	n := Count{File: name, Rows: len(log.Rows)}
	for _, f := range facts {
		f.ID = someID
		if err := f.Check(); err != nil {
			l.tell(placed(err, name+", "+f.Seen.Day().String(), "", ""))
			continue
		}
		f.ID = season.ID{}
		l.got = append(l.got, placedFact{fact: f, file: name + ", " + f.Seen.Day().String()})
		n.Facts++
	}
	l.rep.Tables = append(l.rep.Tables, n)
	if len(facts) == 0 {
		l.tell(fault.New(fault.Missing, name, "no night of this log makes a reading").
			WithHint("it must begin the day before a night and go on to noon, with three weights between midnight and six"))
	}
	for _, r := range notes {
		l.warn(name, units.Style{System: l.house.system}.Say(r.Say, r.Amounts), "")
	}
}
