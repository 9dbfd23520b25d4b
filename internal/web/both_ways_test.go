package web

import (
	"context"
	"encoding/json"
	"slices"
	"testing"
	"testing/fstest"

	"larder/internal/apiary"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

// What the planner takes, typed on the screens and told in the season folder, is
// the same facts and makes the same plan.
func TestFormsTellWhatTheFolderTells(t *testing.T) {
	s := newSmallSite(t)
	plan := func(j *season.Journal) string {
		t.Helper()
		at := units.At(smallNow)
		p, err := j.Now().Plan(at, planSeed)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := p.Doc(at, j.Now().Settings.Style())
		if err != nil {
			t.Fatal(err)
		}
		b, err := json.MarshalIndent(doc, "", " ")
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	base, err := s.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		t.Fatal(err)
	}
	before := plan(s.srv.house.journal)

	s.done("/units", "units", "us")
	a := s.get("/yards/mill")
	s.done("/yards/mill", "name", "Mill Lane", "stop", a.field("stop"), "winter", "temperate", "place", a.field("place"), "road", "", "road_time", "", "setup", "", "station", "s", "elev", "1000 ft", "windy", "1")
	s.done("/yards/mill/gate", "opens", "8 am", "shuts", "17:30", "shut", "Sunday; 2026-09-07", "access", "code 12")
	s.done("/yards/hill/days", "day", "5 Sep", "round", "no", "day_note", "sprayed")
	s.done("/yards/hill/days", "day", "8 Sep", "round", "yes", "part", "50 %")
	s.done("/hives/m2/need", "need", "1.5 gal", "need_note", "by eye")
	h := s.get("/hives/m1")
	s.done("/hives/m1", "stack", h.field("stack"), "feeder", h.field("feeder"), "volume", "", "target", "", "kind", "full", "note", "", "never_empty", "1", "wrapped", "1")
	s.done("/rig/trucks", "name", "flatbed", "tank", "30", "payload", "400", "pump", "2", "per_hive", "1.5", "filling", "12", "per_day", "5", "loads", "2")
	s.done("/rig/trucks/days", "work_day", "5 Sep", "work_off", "1")
	s.done("/rig/trucks/days", "work_day", "9 Sep", "work_per_day", "4", "work_people", "3", "work_note", "the club comes")
	s.done("/rig/trucks/usual", "crew.per_day", "7", "crew.begins", "7:15 am", "crew.people", "2", "crew.loads_per_day", "2")

	const seen = "2026-09-04T10:00Z"
	files := fstest.MapFS{}
	for name, text := range map[string]string{
		"season.toml":  "format = 1\nsince = 2026-01-01\n[house]\nunits = \"us\"\n",
		"yards.csv":    "seen,yard,name,lat,lon,elev,climate,station,stop,access,opens,shuts,shut,windy\n" + seen + ",mill,Mill Lane,42.05,-75.02,1000 ft,temperate,s,2026-09-30,code 12,08:00,17:30,sun; 2026-09-07,yes\n",
		"feedable.csv": "seen,yard,on,feedable,factor,note\n" + seen + ",hill,2026-09-05,no,,sprayed\n" + seen + ",hill,2026-09-08,yes,0.5,\n",
		"needs.csv":    "seen,colony,volume,note\n" + seen + ",m2,1.5 US gal,by eye\n",
		"colonies.csv": "seen,colony,yard,stand,kind,stack,feeder,never_empty,wrapped\n" + seen + ",m1,mill,1,full,lang10-deep + lang10-medium,tray-2,yes,yes\n",
		"trucks.csv":   "seen,truck,tank,payload,pump,per_hive,filling,per_day,loads_per_day\n" + seen + ",flatbed,30 US gal,400 lb,2 US gal/min,1.5 min,12 min,5 h,2\n",
		"workdays.csv": "seen,on,per_day,people,off,note\n" + seen + ",2026-09-05,,,yes,\n" + seen + ",2026-09-09,4 h,3,,the club comes\n",
		"settings.csv": "seen,key,value\n" + seen + ",crew.per_day,7 h\n" + seen + ",crew.begins,07:15\n" + seen + ",crew.people,2\n" + seen + ",crew.loads_per_day,2\n",
	} {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	told, err := folder.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	text := func(body any) string {
		b, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		f := season.Fact{Body: body}
		return f.Kind() + " " + string(b)
	}
	var byForm, byFolder []string
	yard := "" // told twice by form: the last row counts
	for _, b := range s.bodies() {
		if y, is := b.(apiary.Yard); is {
			yard = text(y)
			continue
		}
		byForm = append(byForm, text(b))
	}
	byForm = append(byForm, yard)
	for _, f := range told {
		byFolder = append(byFolder, text(f.Body))
	}
	slices.Sort(byForm)
	slices.Sort(byFolder)
	if len(byFolder) != 13 {
		t.Errorf("the folder tells %d facts", len(byFolder))
	}
	for _, x := range byFolder {
		if !slices.Contains(byForm, x) {
			t.Errorf("by folder, not by form: %s", x)
		}
	}
	for _, x := range byForm {
		if !slices.Contains(byFolder, x) {
			t.Errorf("by form, not by folder: %s", x)
		}
	}
	j := season.NewJournal()
	if _, err := j.Add(append(base, told...)...); err != nil {
		t.Fatal(err)
	}
	form, fold := plan(s.srv.house.journal), plan(j)
	if form != fold {
		for i := range min(len(form), len(fold)) {
			if form[i] != fold[i] {
				t.Fatalf("another plan:\n%.600s\n---\n%.600s", form[max(0, i-200):], fold[max(0, i-200):])
			}
		}
	}
	if form == before {
		t.Error("the plan did not change: this test could not fail")
	}
}
