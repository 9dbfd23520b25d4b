package folder

import (
	"io/fs"
	"maps"
	"slices"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/route"
	"larder/internal/season"
	"larder/internal/units"
)

// roadsDir is the folder for tables of distances as others write them: square
// ones and those of routing engines.
const roadsDir = "roads"

// roadsFolder reads the files of the folder roads. What they tell together is
// one road for each way; a way that roads.csv tells is the keeper's own word and
// stays as it stands there.
func (l *loader) roadsFolder() {
	entries, err := fs.ReadDir(l.fsys, roadsDir)
	if err != nil {
		return // there is none
	}
	own := map[[2]string]season.Road{}
	for i := range l.got {
		if r, ok := l.got[i].fact.Body.(season.Road); ok {
			own[[2]string{r.From, r.To}] = r
		}
	}
	ours := l.places()
	told, file := map[[2]string]season.Road{}, map[[2]string]string{}
	for _, e := range entries {
		if e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		l.roadsFile(roadsDir+"/"+e.Name(), ours, told, file)
	}
	var keys [][2]string
	passed := 0
	for k := range told {
		_, there := own[k]
		_, back := own[[2]string{k[1], k[0]}]
		if there || back {
			passed++
			continue
		}
		keys = append(keys, k)
	}
	if passed > 0 {
		l.warn(roadsDir, "ways that roads.csv tells as well, which stay as they stand there: "+strconv.Itoa(passed), "")
	}
	if len(keys) > 0 && l.house.since == 0 {
		l.tell(fault.New(fault.Missing, roadsDir, "it is not said when this was").WithHint("write since = 2026-01-01 into season.toml"))
		return
	}
	slices.SortFunc(keys, func(a, b [2]string) int { return strings.Compare(a[0]+"\x00"+a[1], b[0]+"\x00"+b[1]) })
	for _, k := range keys {
		f := season.Fact{ID: someID, Seen: units.OnDay(l.house.since), Body: told[k]}
		if err := f.Check(); err != nil {
			l.tell(placed(err, file[k], "", ""))
			continue
		}
		f.ID = season.ID{}
		l.got = append(l.got, placedFact{fact: f, file: file[k]})
	}
}

// roadsFile reads one of them into told.
func (l *loader) roadsFile(name string, ours season.Places, told map[[2]string]season.Road, file map[[2]string]string) {
	b, err := readFile(l.fsys, name, name)
	var text string
	if err == nil {
		text, _, err = textOf(name, b)
	}
	if err != nil {
		l.tell(err)
		return
	}
	t, err := route.ReadTable(text, route.TableOptions{File: name, Locale: localeOf(&l.house, ',')})
	if err != nil {
		l.tell(err)
		return
	}
	got, err := season.TakeRoads(t, ours, told)
	if err != nil {
		l.tell(placed(err, name, "", ""))
		return
	}
	for _, r := range got.Roads {
		k := [2]string{r.From, r.To}
		if was, there := told[k]; there && (was.Dist > 0 && was.Dist != r.Dist || was.Time > 0 && was.Time != r.Time) {
			l.tell(fault.Newf(fault.Conflict, name, "%s tells the way from %s to %s differently", file[k], firstOf(r.From, homeWord), firstOf(r.To, homeWord)).WithHint("keep one of the two"))
			return
		}
		told[k], file[k] = r, name
	}
	l.rep.Tables = append(l.rep.Tables, Count{File: name, Rows: len(t.Legs), Facts: len(got.Roads)})
	for _, n := range got.Notes {
		l.warn(name, units.Style{System: l.house.system}.Say(n.Say, n.Amounts), "")
	}
}

// places gathers home and the yards the other tables tell, for their names and
// where they lie.
func (l *loader) places() season.Places {
	var p season.Places
	yards := map[string]apiary.Yard{}
	for i := range l.got {
		switch b := l.got[i].fact.Body.(type) {
		case apiary.Yard:
			yards[b.ID] = b
		case apiary.Placed:
			if _, there := yards[b.Colony.Yard]; !there && b.Colony.Yard != "" {
				yards[b.Colony.Yard] = apiary.Yard{ID: b.Colony.Yard}
			}
		case season.Setting:
			x, err := strconv.ParseFloat(b.Value, 64)
			switch {
			case err != nil:
			case b.Key == "home.lat":
				p.Home.HasPlace, p.Home.Lat = true, x
			case b.Key == "home.lon":
				p.Home.HasPlace, p.Home.Lon = true, x
			}
		}
	}
	for _, id := range slices.SortedFunc(maps.Keys(yards), season.NameOrder) {
		if !yards[id].Closed {
			p.Yards = append(p.Yards, yards[id])
		}
	}
	return p
}
