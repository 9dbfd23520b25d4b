package web

import (
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

// rigPage is one page about the rig: what is asked, the answer, a drawing, and
// how the rig is built.
type rigPage struct {
	Base
	Part     string // "tank", "hose", "wire", "heat", "truck", "lift"
	Parts    []rigLink
	Big      string
	Lead     string
	Lines    []rigLine
	Drawing  template.HTML
	Tables   []rigTable
	Cautions []Caution
	Mind     []Caution
	Reasons  []feeding.Reason
	Ask      []Field
	Built    []Field
	Lacks    *Trouble // what is not told yet; nil = the answer stands
	Refused  *Trouble // where the method does not hold
	Sheet    string   // address of what can be printed
	Typed    url.Values
	tried    bool
}

type rigLink struct {
	Part, Says string
	Here       bool
}

type rigLine struct{ Label, Say string }

// rigTable is a table of the answer; what a drawing shows stands folded under it.
type rigTable struct {
	Caption string
	Heads   []string
	Rows    [][]string
	Folded  bool
}

// rigParts are the pages, in the order of the work.
var rigParts = []string{"tank", "hose", "wire", "heat", "truck", "lift"}

// rigBuilt lists the settings that describe each part: groups, and single keys.
var rigBuilt = map[string][]string{
	"tank": {"tank.", "rig.tank"}, "hose": {"hose.", "pump.open", "pump.shutoff", "pump.off", "pump.on", "pump.volts", "pump.bucket", "pump.bucket_at", "rig.pump"},
	"wire": {"wire.", "pump.amps", "pump.volts", "pump.battery_ah"}, "heat": {"heater.", "kitchen.mixer"},
	"truck": {"truck.", "tank.empty", "tank.ahead", "rig.payload"}, "lift": {"pail.", "price.per_hour"},
}

// rigLater are settings of a group that another page asks for.
var rigLater = map[string]bool{"tank.empty": true, "tank.ahead": true}

// shapeSizes are the sizes each shape of tank is asked for.
var shapeSizes = map[string][]string{
	"": {}, "rectangular": {"length", "width", "height", "corner"}, "upright": {"diameter", "height", "cone", "outlet"},
	"lying": {"diameter", "length", "ends", "end_depth"}, "tote": {"holds"},
}

// alwaysTank are asked for whatever the shape.
var alwaysTank = []string{"shape", "strap", "heel", "hole", "hole_side"}

// built tells whether a setting describes a part, for a tank of this shape.
func built(part, key, shape string) bool {
	ok := false
	for _, k := range rigBuilt[part] {
		ok = ok || k == key || strings.HasSuffix(k, ".") && strings.HasPrefix(key, k) && !rigLater[key]
	}
	if size, isTank := strings.CutPrefix(key, "tank."); ok && isTank && part == "tank" {
		return slices.Contains(alwaysTank, size) || slices.Contains(shapeSizes[shape], size)
	}
	return ok
}

// rigHub answers: what is my rig, and what does it do?
func (s *Server) rigHub(w http.ResponseWriter, r *http.Request) {
	p := &rigPage{Base: s.base(r, "rig", "title.rig")}
	s.house.view(func(st *season.State, _ units.Moment) {
		p.Parts = append(p.Parts, rigLink{Part: "trucks", Says: p.T("trucks.says", "N", len(st.Trucks()))})
		for _, part := range rigParts {
			x := rigPage{Base: p.Base, Part: part, Typed: url.Values{}}
			x.work(st)
			says := x.Big
			if x.Lacks != nil {
				says = p.T("rig.untold")
			}
			p.Parts = append(p.Parts, rigLink{Part: part, Says: says})
			if part == "tank" && x.Lacks == nil {
				p.Sheet = "/sheets/dip" // an untold tank has no chart
			}
		}
	})
	s.show(w, http.StatusOK, "rig", p)
}

// rigPart shows one part: worked out for the rig as it is built, or as it stands
// in the address, which is not kept.
func (s *Server) rigPart(w http.ResponseWriter, r *http.Request) {
	p, ok := s.rigPageOf(w, r, r.URL.Query())
	if !ok {
		return
	}
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "rig", p)
}

// rigPageOf makes the page for what was typed.
func (s *Server) rigPageOf(w http.ResponseWriter, r *http.Request, q url.Values) (*rigPage, bool) {
	part := r.PathValue("part")
	if !slices.Contains(rigParts, part) {
		s.fail(w, r, fault.New(fault.NotFound, "", "there is no such page of the rig").WithHint("see Rig for those there are"))
		return nil, false
	}
	p := &rigPage{Base: s.base(r, "rig", "title.rig"), Part: part, Typed: q}
	p.Title = "title.rig." + part
	for _, k := range append([]string{"trucks"}, rigParts...) {
		p.Parts = append(p.Parts, rigLink{Part: k, Here: k == part})
	}
	s.house.view(func(st *season.State, _ units.Moment) { s.rigAnswer(p, st) })
	return p, true
}

// rigAnswer tries out what was typed of the rig and works the part out.
func (s *Server) rigAnswer(p *rigPage, st *season.State) {
	try, typed := s.rigTried(p, st)
	if len(p.Trouble) == 0 {
		if t, err := st.SupposeSettings(try...); err != nil {
			p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, ""))
		} else {
			p.tried = len(try) > 0
			st = t
			p.work(st)
		}
	}
	shape := string(st.Settings.Rig.Tank.Shape)
	for _, k := range season.SettingKeys() {
		if !built(p.Part, k.Key, shape) {
			continue
		}
		v, ok := typed[k.Key]
		if !ok {
			v = shownSetting(k.Key, st.Value(k.Key))
		}
		p.Built = append(p.Built, p.settingField(k, v))
	}
	p.asks()
}

// rigTried reads the settings that were typed and differ from those in force.
func (s *Server) rigTried(p *rigPage, st *season.State) (try []season.Setting, typed map[string]string) {
	typed = map[string]string{}
	for _, k := range season.SettingKeys() {
		if !p.Typed.Has(k.Key) || !slices.ContainsFunc(rigBuilt[p.Part], func(b string) bool { return b == k.Key || strings.HasPrefix(k.Key, b) }) {
			continue
		}
		typed[k.Key] = strings.TrimSpace(p.Typed.Get(k.Key))
		v, err := season.ReadSetting(k.Key, typed[k.Key], p.S, p.Facts.Day())
		if err != nil {
			p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, k.Key))
			continue
		}
		if v != st.Value(k.Key) {
			try = append(try, season.Setting{Key: k.Key, Value: v})
		}
	}
	return try, typed
}

// Tried tells whether the answer is for a rig that was not kept.
func (p *rigPage) Tried() bool { return p.tried }

// saveRig keeps how the rig is built.
func (s *Server) saveRig(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	p, ok := s.rigPageOf(w, r, r.PostForm)
	if !ok {
		return
	}
	var bodies []any
	if len(p.Trouble) == 0 {
		s.house.view(func(st *season.State, _ units.Moment) {
			try, _ := s.rigTried(p, st)
			for _, x := range try {
				bodies = append(bodies, x)
			}
		})
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "rig", p)
		return
	}
	act, err := s.write(r.Context(), "rig", bodies)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	q := url.Values{}
	for _, k := range rigAsks[p.Part] {
		if v := strings.TrimSpace(r.PostForm.Get(k)); v != "" {
			q.Set(k, v)
		}
	}
	to := "/rig/" + p.Part
	if len(q) > 0 {
		to += "?" + q.Encode()
	}
	s.done(w, r, to, act)
}

// mind turns cautions of the core into lines, the English beneath where the page
// is in another language.
func (p *rigPage) mind(rs []feeding.Reason) {
	english := p.S
	english.Lang = "en"
	for _, x := range rs {
		c := Caution{Say: p.Say(x)}
		if slices.ContainsFunc(p.Mind, func(o Caution) bool { return o.Say == c.Say }) {
			continue
		}
		if p.Lang != "en" && p.Lang != "" {
			c.English = english.Say(x.Say, x.Amounts)
		}
		p.Mind = append(p.Mind, c)
	}
}

// Asked gives what was typed in a box of the question.
func (p *rigPage) Asked(name string) string { return strings.TrimSpace(p.Typed.Get(name)) }
