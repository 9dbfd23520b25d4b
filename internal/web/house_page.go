package web

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

type housePage struct {
	Base
	Groups  []houseGroup
	Version string
	Count   int // of facts
	Since   units.Moment
	Kinds   []season.KindCount
	Unknown []string // own figures that no longer exist
	ZoneBad string   // why the time zone cannot be used, "" = it can
	Backup  bool     // there is a place to back up to
	Export  bool
	Last    backedUp
	Works   []work
	Host    string // the weather service that can be asked, "" = none
	Fetches bool   // certificates for its public name
}

// houseGroup is one group of settings with what is set.
type houseGroup struct {
	Name   string
	Fields []Field
}

// houseChoices are the settings that are chosen, not typed.
var houseChoices = map[string][]string{
	"house.units": {"us", "metric", "uk"}, "house.decimal": {"point", "comma"}, "house.language": {"en", "es"},
	"feed.target":    {season.UseModel, season.UseTable, season.UseLarger},
	"weather.nearby": {"no", "yes"},
}

// rigChoices are those of the rig; none of them holds until it is told.
var rigChoices = map[string][]string{
	"tank.shape": {"rectangular", "upright", "lying", "tote"}, "tank.ends": {"flat", "conical", "elliptical", "hemispherical", "dished"},
	"wire.engine": {"no", "yes"}, "heater.wind": {"no", "yes"},
}

// listSettings are typed a line for each entry.
var listSettings = map[string]bool{"tank.strap": true, "pump.bucket": true}

// shownSetting is a setting as it stands in its box; what was typed stands there as
// it was.
func shownSetting(key, kept string) string {
	if listSettings[key] {
		return strings.ReplaceAll(kept, "; ", "\n")
	}
	return kept
}

// Folded tells whether a group says how the rig is built: it has pages of its
// own.
func (g houseGroup) Folded() bool { return len(g.Fields) > 0 && rigPart[g.Name] }

// Bad tells whether something in it could not be taken.
func (g houseGroup) Bad() bool {
	for _, f := range g.Fields {
		if f.Bad != "" {
			return true
		}
	}
	return false
}

// rigPart are the groups of settings that say how the rig is built.
var rigPart = map[string]bool{"tank": true, "pump": true, "hose": true, "wire": true, "heater": true, "truck": true, "pail": true}

// houseShown answers: is my data safe; which units; what is told of rig and kitchen?
func (s *Server) houseShown(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "house", s.fillHouse(r, nil))
}

// fillHouse reads the page; typed gives what was typed where a form could not be
// taken.
func (s *Server) fillHouse(r *http.Request, typed map[string]string) *housePage {
	p := &housePage{Base: s.base(r, "house", "title.house"), Version: s.options.Version, Works: works(),
		Backup: s.options.Backups != nil, Export: s.options.Export != nil, Fetches: s.options.Lan != nil && s.options.Lan.How == "acme"}
	s.fillBackups(p)
	values := map[string]string{}
	s.house.mu.Lock()
	st := s.house.journal.Now()
	for _, k := range season.SettingKeys() {
		values[k.Key] = st.Value(k.Key)
	}
	mixed := st.MixedStore(s.house.at(st))
	values[onHand] = mixed.Shown(values[onHand], p.S)
	_, p.Unknown = st.Settings.FigureSet()
	p.Host = s.serviceHost(st)
	if _, err := st.Settings.Location(loadZone); err != nil {
		p.ZoneBad = s.troubleOf(&p.Base, err, "").Say
	}
	s.house.mu.Unlock()
	report := remember(s.house, "report", func(*season.State, units.Moment) season.Report {
		s.house.mu.Lock()
		facts := s.house.journal.Facts(units.Moment{})
		s.house.mu.Unlock()
		return season.Count(facts)
	})
	p.Count, p.Kinds, p.Since = report.Facts, report.Kinds, report.First
	for _, g := range season.SettingGroups() {
		out := houseGroup{Name: g.Name}
		for _, k := range g.Keys {
			v := shownSetting(k.Key, values[k.Key])
			if t, ok := typed[k.Key]; ok {
				v = t
			}
			out.Fields = append(out.Fields, p.settingField(k, v))
		}
		p.Groups = append(p.Groups, out)
	}
	return p
}

// settingField makes the box of one setting.
func (p *Base) settingField(k season.SettingKey, v string) Field {
	if choices, ok := rigChoices[k.Key]; ok {
		o := []Option{{"", p.T("choice.untold")}}
		for _, c := range choices {
			o = append(o, Option{c, p.T("choice." + k.Key + "." + c)})
		}
		return p.Choose(k.Key, "set."+k.Key, v, "", o)
	}
	if listSettings[k.Key] {
		f := p.Area(k.Key, "set."+k.Key, v, "", 3)
		f.Hint = p.T("set.example", "Example", k.ExampleIn(p.S.System))
		return f
	}
	if choices, ok := houseChoices[k.Key]; ok {
		var o []Option
		for _, c := range choices {
			o = append(o, Option{c, p.T("choice." + k.Key + "." + c)})
		}
		if v == "" {
			v = choices[0]
		}
		return p.Choose(k.Key, "set."+k.Key, v, "", o)
	}
	f := p.Field(k.Key, "set."+k.Key, v, "", "")
	f.Hint = p.T("set.example", "Example", k.ExampleIn(p.S.System))
	if k.Key == onHand {
		f.Hint += " " + p.T("set.kitchen.on_hand.note")
	}
	switch k.Key {
	case "house.name", "house.zone", "feed.strength", "weather.service": // words
	default:
		f.Class = "short"
	}
	return f
}

// IsChoice tells whether a setting is chosen from a list.
func (f Field) IsChoice() bool { return len(f.Options) > 0 }

// IsArea tells whether it has several lines.
func (f Field) IsArea() bool { return f.Rows > 0 }

// settingsSent is settings as a form sent them.
type settingsSent struct {
	typed, set map[string]string // as typed; as they are kept
	order      []string          // of those that can be kept
	bad        []Trouble
}

// settingsSent reads the settings of a form that was parsed; those of only, where
// it is not nil.
func (s *Server) settingsSent(r *http.Request, b *Base, only []string) settingsSent {
	out := settingsSent{typed: map[string]string{}, set: map[string]string{}}
	for _, k := range season.SettingKeys() {
		if !r.PostForm.Has(k.Key) || only != nil && !slices.Contains(only, k.Key) {
			continue
		}
		out.typed[k.Key] = strings.TrimSpace(r.PostForm.Get(k.Key))
		v, err := season.ReadSetting(k.Key, out.typed[k.Key], b.S, b.Facts.Day())
		if err == nil && k.Key == "house.zone" && v != "" {
			_, err = season.Settings{Zone: v}.Location(loadZone)
		}
		if err != nil {
			var e *fault.Error
			if errors.As(err, &e) && e.Thing == k.Key { // the label of the box says it
				c := *e
				c.Thing, err = "", &c
			}
			out.bad = append(out.bad, s.troubleOf(b, err, k.Key))
			continue
		}
		out.set[k.Key] = v
		out.order = append(out.order, k.Key)
	}
	return out
}

// onHand is the setting of the mixed syrup in store. Its box shows what counts by
// now, so that it is told anew by what is typed there, not by what was kept.
const onHand = "kitchen.on_hand"

// toldAnew gives the order of settings without the mixed syrup in store, where its
// box was left as it was shown.
func (s *Server) toldAnew(b *Base, sent settingsSent) []string {
	shown := ""
	s.house.view(func(st *season.State, at units.Moment) {
		m := st.MixedStore(at)
		shown = m.Shown(st.Value(onHand), b.S)
	})
	if v, err := season.ReadSetting(onHand, shown, b.S, b.Facts.Day()); err != nil || v != sent.set[onHand] {
		return sent.order
	}
	return slices.DeleteFunc(slices.Clone(sent.order), func(k string) bool { return k == onHand })
}

// saveHouse keeps the settings of one group that were changed.
func (s *Server) saveHouse(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	b := s.base(r, "house", "title.house")
	sent := s.settingsSent(r, &b, nil)
	if len(sent.bad) > 0 {
		p := s.fillHouse(r, sent.typed)
		p.Trouble = sent.bad
		for i := range p.Groups { // again, with what is wrong
			for j := range p.Groups[i].Fields {
				f := &p.Groups[i].Fields[j]
				f.Bad = p.TroubleAt(f.ID)
			}
		}
		s.show(w, http.StatusUnprocessableEntity, "house", p)
		return
	}
	act, err := s.write(r.Context(), "house", s.changed(sent.set, s.toldAnew(&b, sent)))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/house", act)
}
