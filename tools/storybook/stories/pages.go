package stories

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"larder/internal/web"
	"larder/manual"
)

// page is one page and its stories: one for each season at path, unless at says
// otherwise ("" = not to be had in that season), and more.
type page struct {
	screen string
	path   string
	at     map[string]string
	more   []Story
}

// in gives a page an address of its own in a season.
type in = map[string]string

// notEmpty are pages that an empty book leads away from.
var notEmpty = in{"empty": ""}

// sameForAll are pages that do not change with the number of hives or with time.
var sameForAll = in{"unread": "", "thousand": "", "stale": ""}

// one are pages of one yard or hive: typical and stale have the example's names,
// the others the numbered ones.
func one(before, example, numbered, after string) in {
	return in{"empty": "", "unread": before + numbered + after, "typical": before + example + after, "thousand": before + numbered + after, "stale": before + example + after}
}

// only is a page that only one season has, and what else is told of it.
func only(screen, season, path string, more ...Story) page {
	p := page{screen: screen, more: []Story{{State: "typical", Season: season, Path: path}}}
	for _, m := range more {
		if m.Season == "" {
			m.Season = season
		}
		p.more = append(p.more, m)
	}
	return p
}

// form makes the fields of a form from pairs.
func form(pairs ...string) url.Values {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return v
}

// bad is a form that cannot be taken.
func bad(state, path string, pairs ...string) Story {
	return Story{State: state, Path: path, Form: form(pairs...), Code: http.StatusUnprocessableEntity}
}

// firstAct is the act done in a season told after something was done: the first
// id of a server is its own name, the second is the first fact's.
var firstAct = nthID(2)

// pasteText is a table of readings with three rows that cannot be taken and a
// hive nobody knows.
const pasteText = "hive\tdate\tweight\tnote\n" +
	"m1\t2015-09-12\t98\t\nM2\t2015-09-12\t101,5\t\nm 3\t2015-09-12\t110\theavy lid\nm4\t2015-09-12\tlots\t\n" +
	"m5\t2015-09-12\t-5\t\nm6\t2099-01-01\t104\t\nzz9\t2015-09-12\t99\t\n"

// pasteForm is that table as the preview sends it on.
var pasteForm = form("text", pasteText, "head", "yes", "unit", "lb", "name.0", "zz9", "do.0", "leave")

// manualStories is a story of each page of the manual but the first.
func manualStories() []Story {
	out := []Story{{State: "whole", Path: "/manual/" + manual.WholeName}}
	for _, p := range web.Handbook().Pages {
		if p.Name != "job" {
			out = append(out, Story{State: p.Name, Path: "/manual/" + p.Name})
		}
	}
	return out
}

// pages is every page, in the order of the navigation. TestEveryPageHasAStory
// holds it against the routes.
var pages = []page{
	{screen: "start-place", path: "/start", at: sameForAll, more: []Story{
		bad("error", "/start", "units", "us", "place", "Nowhere-on-Sea", "winter", "", "stop", "soon"),
	}},
	{screen: "start-hives", path: "/start/hives", at: in{"empty": "/start/hives?winter=cold&stop=2015-10-25&place=Albany"}, more: []Story{
		bad("error", "/start/hives", "yards", "Home many\nMill 1000000", "stack", "?", "winter", "cold", "stop", "2015-10-25"),
	}},
	{screen: "start-weigh", path: "/start/weigh", at: notEmpty, more: []Story{
		bad("error", "/start/weigh", "weight.mill", "about heavy", "bees.mill", "-4", "weights", "m1 = x"),
	}},
	{screen: "start-feed", path: "/start/feed", at: sameForAll, more: []Story{
		bad("error", "/start/feed", "strength", "9", "tank", "some", "mixer", "", "payload", "-1"),
	}},
	{screen: "start-plan", path: "/start/plan", at: notEmpty},

	{screen: "next", path: "/", at: notEmpty, more: []Story{
		{State: "all", Path: "/?all=1"},
		{State: "out", Season: "out", Path: "/"},
		{State: "winter", Season: "winter", Path: "/"},
	}},
	{screen: "short", path: "/short", more: []Story{
		{State: "sixty", Season: "sixty", Path: "/short"},
		{State: "chosen", Path: "/short?show=unknown&sort=name&ticked=1"},
		{State: "none-found", Path: "/short?find=nowhere"},
	}},
	{screen: "plan", path: "/plan", more: []Story{
		{State: "more", Path: "/plan?more=yes"},
		{State: "what-if", Path: "/plan?rig.tank=110&crew.people=2"},
		{State: "error", Path: "/plan?rig.tank=lots&feed.strength=7", Code: http.StatusUnprocessableEntity},
		{State: "out", Season: "out", Path: "/plan?done=" + firstAct.String()},
		{State: "elsewhere", Season: "elsewhere", Path: "/plan"},
		{State: "helper", Season: "lent", Path: "/plan", From: "192.168.1.50", Helper: "Eva"},
	}},
	{screen: "compare", path: "/plan/compare", more: []Story{
		{State: "hands", Path: "/plan/compare?a=now&b=hands"},
		{State: "fewer", Path: "/plan/compare?a=now&b=fewer"},
		{State: "careless", Path: "/plan/compare?a=now&b=care&care=1+in+2"},
		{State: "same", Path: "/plan/compare?a=now&b=now"},
		{State: "out", Season: "out", Path: "/plan/compare"},
		{State: "error", Path: "/plan/compare?a=now&b=care&care=often", Code: http.StatusUnprocessableEntity},
		{State: "none", Path: "/plan/compare?a=now&b=sideways", Code: http.StatusNotFound},
		{State: "helper", Season: "lent", Path: "/plan/compare", From: "192.168.1.50", Helper: "Eva"},
	}},
	{screen: "load", path: "/load", more: []Story{
		{State: "second", Path: "/load/2"},
		{State: "elsewhere", Season: "elsewhere", Path: "/load/1"},
	}},

	{screen: "stop", path: "/stop", more: []Story{
		{State: "one", Path: "/stop?yard=mill"},
		{State: "service", Season: "service", Path: "/stop?yard=mill&same=1"},
		bad("error", "/stop/mill", "stop-mill", "soon"),
	}},
	{screen: "weather", path: "/weather", more: []Story{
		{State: "taken", Season: "sky", Path: "/weather?of=" + firstAct.String() + "&done=" + firstAct.String()},
		bad("error", "/weather", "text", "date,tmax_c\n2015-09-01,18\n2015-09-02,warm\n", "whose", "mill"),
		bad("asked", "/weather", "text", "date,tmax\n2015-09-01,18\n", "issued", "some day"),
		bad("nothing", "/weather", "unit", "f"),
	}},
	{screen: "watch", path: "/winter", more: []Story{
		{State: "winter", Season: "winter", Path: "/winter"},
		{State: "anyway", Path: "/winter?anyway=1&yard=creek"},
		{State: "spring", Season: "spring", Path: "/winter"},
		{State: "error", Season: "spring", Path: "/winter/y01", Form: form("what", "forage", "day-y01", "soon"), Code: http.StatusUnprocessableEntity},
	}},
	{screen: "review", path: "/given/review", more: []Story{
		{State: "given", Season: "given", Path: "/given/review"},
		{State: "spring", Season: "spring", Path: "/given/review"},
	}},

	{screen: "readings", path: "/readings", more: []Story{
		{State: "sixty", Season: "sixty", Path: "/readings"},
		bad("error", "/readings", "yard", "mill", "day", "2015-09-12", "hive.0", "m1", "first.0", "heavy", "hive.1", "m2", "first.1", "101.5", "hive.2", "m3", "first.2", "-3", "hive.3", "m4", "first.3", "9000"),
	}},
	{screen: "readings-one", path: "/readings/one", more: []Story{
		bad("error", "/readings/one", "hive.0", "m1", "first.0", "heavy", "yard", "mill"),
	}},
	{screen: "paste", path: "/readings/paste", at: sameForAll, more: []Story{
		{State: "preview", Path: "/readings/paste", Form: form("text", pasteText)},
		bad("error", "/readings/paste", "text", ""),
	}},
	only("pasted", "pasted", "/readings/pasted?of="+firstAct.String()+"&done="+firstAct.String(),
		Story{State: "forgotten", Path: "/readings/pasted?of=" + nthID(3).String()}),

	{screen: "mix", path: "/mix", more: []Story{
		{State: "anyway", Season: "empty", Path: "/mix?anyway=1"},
		{State: "mixed", Season: "mixed", Path: "/mix"},
		{State: "checked", Path: "/mix?how=make&make=40+US+gal&strength=2:1&reads=64&read_at=80&meter=refractometer&have=40+US+gal"},
		{State: "dose", Path: "/mix?how=make&make=40+US+gal&strength=2:1&product=invented+powder&share=1+US+gal"},
		{State: "locked", Path: "/mix?how=make&make=40+US+gal&strength=70+%25&product=invented+powder&share=1+US+gal"},
		{State: "sacks", Path: "/mix?how=sacks&sacks=6&sack=50+lb&strength=2:1&by=volume&water_at=55&want=95&power=3&strong=70&weak=50&blend_want=60&blend_make=20"},
		{State: "error", Path: "/mix?how=make&make=lots&strength=2:1&low=cold&strong=50&weak=60&blend_want=70&blend_make=1", Code: http.StatusUnprocessableEntity},
	}},
	only("mix-step", "typical", "/mix/step/2?how=make&make=40+US+gal&strength=2:1",
		Story{State: "first", Path: "/mix/step/1?how=make&make=40+US+gal&strength=2:1"},
		Story{State: "sugar", Path: "/mix/step/3?how=make&make=40+US+gal&strength=2:1"},
		Story{State: "checked", Path: "/mix/step/5?how=make&make=40+US+gal&strength=2:1&reads=64&have=40+US+gal"},
		Story{State: "last", Path: "/mix/step/7?how=make&make=40+US+gal&strength=2:1"},
		Story{State: "error", Path: "/mix/step/5?how=make&make=40+US+gal&strength=2:1&reads=lots", Code: http.StatusUnprocessableEntity}),
	{screen: "mixed", more: []Story{
		bad("error", "/mix/done", "batch", "b15-01", "day", "soon", "syrup", "40 lb", "brix", "", "temp", "hot"),
	}},

	{screen: "shed", path: "/shed", more: []Story{
		{State: "super-on", Season: "super", Path: "/shed"},
		{State: "mixed", Season: "mixed", Path: "/shed"},
		{State: "handled", Path: "/shed?of=invented+powder&of_lot=T-204&what=opened"},
		bad("error", "/shed", "item", "", "much", "lots", "price", "dear", "best_before", "never", "day", "2099-01-01"),
		bad("wrong", "/shed/handled", "what", "spilt", "of", "b15-01", "amount", "12 lb", "done_day", "soon"),
	}},
	{screen: "labels", path: "/shed/labels", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "one", Path: "/shed/labels?product=invented+powder"},
		{State: "new", Path: "/shed/labels?product=drops"},
		bad("error", "/shed/labels", "product", "drops", "per_syrup", "a spoon", "silent.order", "1", "order", "stir", "opened_days", "long"),
		bad("spoon", "/shed/spoon", "product", "invented powder", "spoonfuls", "some", "together", "much", "holds", "?"),
	}},
	{screen: "cost", path: "/shed/cost", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "offer", Path: "/shed/cost?kind=hfcs-55&price=480&buys=275+US+gal"},
		{State: "error", Path: "/shed/cost?from=soon&kind=moonshine&price=dear&buys=lots", Code: http.StatusUnprocessableEntity},
	}},
	{screen: "trace", path: "/shed/trace", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "lot", Path: "/shed/trace?lot=S-0815"},
		{State: "colony", Path: "/shed/trace?colony=c1"},
		{State: "error", Path: "/shed/trace?lot=nobody", Code: http.StatusNotFound},
	}},

	{screen: "given", path: "/given", more: []Story{
		{State: "check", Season: "given", Path: "/given?yard=creek"},
		{State: "struck", Season: "given", Path: "/given?struck=1"},
		{State: "none-found", Path: "/given?hive=nobody"},
		{State: "error", Path: "/given?from=soon", Code: http.StatusUnprocessableEntity},
	}},
	{screen: "given-sheet", path: "/given/sheet", more: []Story{
		{State: "frames", Path: "/given/sheet?yard=mill&feed=frames"},
		{State: "fondant", Path: "/given/sheet?yard=mill&feed=fondant"},
		{State: "out", Season: "out", Path: "/given/sheet"},
		bad("error", "/given/sheet", "yard", "mill", "feed", "syrup", "day", "2099-01-01", "hive.0", "m1", "given.0", "lots", "left.0", "half", "hive.1", "m2", "given.1", "2", "why.1", "wasps"),
	}},
	only("given-right", "given", "/given/"+nthID(5).String(),
		Story{State: "left", Path: "/given/" + nthID(2).String()},
		Story{State: "not-fed", Path: "/given/" + nthID(4).String()},
		Story{State: "error", Path: "/given/" + nthID(5).String(), Form: form("hive", "nobody", "day", "soon", "amount", "lots"), Code: http.StatusUnprocessableEntity}),

	{screen: "yards", path: "/yards", more: []Story{
		bad("error", "/yards", "new", "Mill Lane 4\n\nHome lots", "stack", "?", "feeder", "", "winter", "", "stop", "31 Feb"),
	}},
	{screen: "yard", at: one("/yards/", "mill", "y01", ""), more: []Story{
		bad("error", "/yards/mill", "name", "", "stop", "never", "place", "Nowhere-on-Sea", "elev", "9000 m", "road", "far", "setup", "x"),
		bad("look", "/yards/mill/look", "bees", "many"),
		{State: "told", Season: "told", Path: "/yards/mill"},
		{State: "gate", Season: "told", Path: "/yards/mill?fold=gate"},
		{State: "day", Season: "told", Path: "/yards/mill?day=2015-09-20"},
		{State: "history", Season: "told", Path: "/yards/mill?fold=history"},
		{State: "edit", Season: "told", Path: "/yards/mill?fold=edit"},
		{State: "end", Path: "/yards/mill?fold=end"},
		bad("end-error", "/yards/mill/end", "end_names", "m1, m99", "end_state", "sold"),
		bad("gate-error", "/yards/mill/gate", "opens", "early", "shuts", "25:00", "shut", "sometimes"),
		bad("day-error", "/yards/mill/days", "day", "some day", "round", "", "part", "lots"),
		bad("hives", "/yards/mill/hives", "hives", "m1 m1", "stack", "?"),
	}},
	{screen: "scale", path: "/readings/scale", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "preview", Path: "/readings/scale", Form: form("colony", "m1", "text", scaleLog)},
		{State: "told", Path: "/readings/scale", Form: form("colony", "m1", "unit", "lb", "text", "time,weight\n"+strings.TrimPrefix(scaleLog, "timestamp,weight_kg\n"))},
		bad("error", "/readings/scale", "colony", "m1", "text", "time,weight\n2015-09-01 02:00,52\n"),
		bad("nobody", "/readings/scale", "colony", "", "text", scaleLog),
	}},
	{screen: "roads", path: "/roads", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "preview", Path: "/roads", Form: form("text", "from,to,km,min,remark\nhome,mill,14,20,\nMill Lane,home,15,22,uphill\ndepot,home,3,9,\n")},
		{State: "order", Path: "/roads", Form: form("text", `{"durations":[[0,900],[960,0]],"distances":[[0,12000],[13000,0]]}`, "places", "home, mill")},
		bad("error", "/roads", "text", ",home,mill\nhome,0,9\nmill,9,0\n"),
		bad("unnamed", "/roads", "text", `{"durations":[[0,900],[960,0]]}`),
	}},
	{screen: "sources", path: "/sources", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "told", Season: "elsewhere", Path: "/sources"},
		{State: "change", Season: "elsewhere", Path: "/sources?place=Creek+shed"},
		bad("error", "/sources", "name", "mill", "yard", "", "place", "Nowhere-on-Sea", "litres", "lots", "strength", "strong", "from", "soon", "fill", "x"),
	}},
	{screen: "hive", at: one("/hives/", "m4", "1-1", ""), more: []Story{
		{State: "sick", Path: "/hives/c7"},
		bad("error", "/hives/m4", "stack", "tower", "volume", "lots", "target", "x"),
		{State: "told", Season: "told", Path: "/hives/m4?fold=need"},
		{State: "edit", Season: "told", Path: "/hives/m4?fold=edit"},
		{State: "wrapped", Season: "told", Path: "/hives/m4?fold=targets"},
		bad("need-error", "/hives/m4/need", "need", "900 gal", "need_note", "by eye"),
		bad("look", "/hives/m4/look", "day", "2099-01-01", "bees", "many", "granulated", "?"),
		bad("unite", "/hives/m4/unite", "into", "nobody"),
		bad("split", "/hives/m4/split", "new", "m1", "split_stack", "?"),
		bad("end", "/hives/m4/end", "state", "dead", "left", "x"),
	}},

	{screen: "figures", path: "/figures", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "found", Path: "/figures?find=heft"},
		{State: "none", Path: "/figures?find=zzzz"},
	}},
	{screen: "figure", path: "/figures/stores.hand_fair_kg", more: []Story{
		{State: "tried", Path: "/figures/stores.hand_fair_kg?value=12"},
		{State: "outside", Path: "/figures/stores.hand_fair_kg?value=90"},
		bad("error", "/figures/stores.hand_fair_kg", "value", "plenty"),
	}},
	{screen: "house", path: "/house", at: in{"unread": "", "thousand": ""}, more: []Story{
		{State: "mixed", Season: "mixed", Path: "/house"},
		bad("error", "/house", "rig.tank", "plenty", "rig.payload", "12 L", "house.zone", "Mars/Olympus", "plan.days", "never"),
	}},
	only("phones", "code", "/house/phones?at=1",
		Story{State: "none-offered", Season: "lan", Path: "/house/phones"},
		Story{State: "home", Season: "home", Path: "/house/phones"},
		Story{State: "keepers", Season: "co", Path: "/house/phones"},
		Story{State: "error", Season: "lan", Path: "/house/helpers", Form: form("name", "Eva", "password", "lift the lids gently"), Code: http.StatusUnprocessableEntity},
		Story{State: "example", Season: "typical", Path: "/house/phones"}),
	only("trail", "code", "/house/trail",
		Story{State: "example", Season: "typical", Path: "/house/trail"}),
	only("first", "fresh", "/first",
		Story{State: "closed", Season: "lan", Path: "/first", From: "192.168.1.30"},
		Story{State: "error", Path: "/first", Form: form("code", "", "password", "seven"), From: "192.168.1.30", Code: http.StatusUnprocessableEntity}),
	only("certificate", "home", "/certificate",
		Story{State: "none", Season: "lan", Path: "/certificate"}),
	only("pair", "lan", "/pair/M7Q4K2TX", // the pages of other devices than this computer
		Story{State: "typed", Path: "/pair", From: "192.168.1.30"},
		Story{State: "paired", Path: "/pair", From: "192.168.1.30", Phone: "Ann's phone"},
		Story{State: "error", Path: "/pair", Form: form("name", "", "code", "M7Q4"), From: "192.168.1.30", Code: http.StatusUnprocessableEntity}),
	only("login", "lan", "/login?to=/house",
		Story{State: "asked", Path: "/login?to=/house", From: "192.168.1.30"},
		Story{State: "out", Path: "/login?out=1", From: "192.168.1.30"},
		Story{State: "keepers", Season: "co", Path: "/login", From: "192.168.1.31"},
		Story{State: "helper", Path: "/login", From: "192.168.1.50", Helper: "Eva"},
		Story{State: "password", Path: "/login/password", Form: form("now", "not hers", "next", "smoke before you lift"), From: "192.168.1.50", Helper: "Eva", Code: http.StatusUnprocessableEntity},
		Story{State: "error", Path: "/login", Form: form("password", "wrong", "to", "/house"), From: "192.168.1.31", Code: http.StatusUnprocessableEntity}),
	{screen: "door", more: []Story{
		{State: "typical", Season: "lan", Path: "/round", From: "192.168.1.30", Code: http.StatusUnauthorized},
		{State: "revoked", Season: "lan", Path: "/round", From: "192.168.1.30", Phone: "Bob's phone", Code: http.StatusUnauthorized},
		{State: "owner", Season: "lan", Path: "/house", From: "192.168.1.30", Phone: "Ann's phone", Code: http.StatusForbidden},
		{State: "helper", Season: "lan", Path: "/house", From: "192.168.1.50", Helper: "Eva", Code: http.StatusForbidden},
		{State: "fresh", Season: "fresh", Path: "/round", From: "192.168.1.30", Code: http.StatusUnauthorized},
		{State: "posted", Season: "lan", Path: "/readings/one", Form: form("hive.0", "m1"), From: "192.168.1.30", Code: http.StatusUnauthorized},
	}},

	{screen: "manual", path: "/manual", at: sameForAll, more: []Story{
		{State: "found", Path: "/manual?find=hose+pump"},
		{State: "none", Path: "/manual?find=zzzz"},
		{State: "stranger", Season: "lan", Path: "/manual?find=pair", From: "192.168.1.30"},
	}},
	{screen: "manual-page", path: "/manual/job", at: sameForAll, more: manualStories()},

	{screen: "trucks", path: "/rig/trucks", at: sameForAll, more: []Story{
		{State: "told", Season: "told", Path: "/rig/trucks"},
		{State: "change", Season: "told", Path: "/rig/trucks?truck=flatbed"},
		{State: "day", Season: "told", Path: "/rig/trucks?day=2015-09-19"},
		{State: "usual", Path: "/rig/trucks?fold=usual"},
		{State: "phone", Season: "lan", Path: "/rig/trucks", From: "192.168.1.30", Phone: "Ann's phone"},
		bad("error", "/rig/trucks", "name", "", "tank", "plenty", "payload", "90000 lb", "pump", "fast", "per_day", "30", "loads", "2.5"),
		bad("day-error", "/rig/trucks/days", "work_day", "some day", "work_per_day", "25", "work_people", "many"),
		bad("usual-error", "/rig/trucks/usual", "rig.tank", "plenty", "crew.begins", "early", "crew.people", "0"),
	}},
	{screen: "rig", path: "/rig", at: sameForAll, more: []Story{
		{State: "tank", Path: "/rig/tank"},
		{State: "tank-dip", Path: "/rig/tank?dip=10&nose=2"},
		{State: "tank-untold", Season: "empty", Path: "/rig/tank"},
		{State: "tank-refused", Path: "/rig/tank?dip=10&nose=2&tank.strap=0+in+%3D+0+US+gal%3B+20+in+%3D+50+US+gal"},
		{State: "tank-error", Path: "/rig/tank?dip=deep&tank.heel=lots", Code: http.StatusUnprocessableEntity},
		{State: "hose", Path: "/rig/hose"},
		{State: "hose-tried", Path: "/rig/hose?at=45&fill=3+qt&hose.bore=1%2F2+in&pump.bucket=&rig.pump="},
		{State: "hose-untold", Season: "empty", Path: "/rig/hose"},
		bad("hose-error", "/rig/hose", "hose.length", "long", "pump.bucket", "a pail in a while", "hose.fittings", "knot 3"),
		{State: "wire", Path: "/rig/wire"},
		{State: "wire-thin", Path: "/rig/wire?wire.size=16+AWG"},
		{State: "heat", Path: "/rig/heat"},
		{State: "heat-stalls", Path: "/rig/heat?make=60&want=140&heater.power=300+W&heater.foam="},
		{State: "truck", Path: "/rig/truck"},
		{State: "truck-over", Path: "/rig/truck?syrup=120"},
		{State: "lift", Path: "/rig/lift"},
		{State: "lift-one", Path: "/rig/lift?weight=50&out=16&from=12&to=40&twist=30&per_min=2"},
		{State: "lift-refused", Path: "/rig/lift?weight=50&open=1"},
	}},

	{screen: "round", path: "/round", more: []Story{
		{State: "out", Season: "out", Path: "/round"},
		{State: "elsewhere", Season: "elseout", Path: "/round"},
		{State: "helper", Season: "lent", Path: "/round", From: "192.168.1.50", Helper: "Eva"},
	}},
	only("trip", "out", "/round/1",
		Story{State: "elsewhere", Season: "elseout", Path: "/round/1"}),
	only("triphive", "out", "/round/1/hive/r1",
		bad("error", "/round/1/hive/r1", "given", "lots", "left", "-1")),
	only("roundcode", "out", "/round/type",
		Story{State: "error", Path: "/round/type?code=z-2222", Code: http.StatusUnprocessableEntity}),
	only("roundtype", "out", "/round/1/type",
		bad("error", "/round/1/type", "yard", "garden", "day", "2099-01-01", "given-0", "lots", "left-1", "x")),
	only("chores", "typical", "/chores/mill",
		bad("error", "/chores/mill", "note", "a note")),
	only("phonefile", "typical", "/phone/file"),

	{screen: "sheets", path: "/sheets", more: []Story{
		{State: "error", Path: "/sheets?sack=heavy&paper=napkin&address=nowhere", Code: http.StatusUnprocessableEntity},
	}},
	only("print", "typical", "/sheets/batch?n=1",
		Story{State: "day", Path: "/sheets/day"},
		Story{State: "yard", Path: "/sheets/yard?yard=mill"},
		Story{State: "load", Path: "/sheets/load?n=1"},
		Story{State: "load-elsewhere", Season: "elsewhere", Path: "/sheets/load?n=1"},
		Story{State: "shopping", Path: "/sheets/shopping"},
		Story{State: "dip", Path: "/sheets/dip"},
		Story{State: "heft", Path: "/sheets/heft"},
		Story{State: "inspector", Path: "/sheets/inspector"},
		Story{State: "tank", Path: "/sheets/tank"},
		Story{State: "winter", Season: "winter", Path: "/sheets/winter"},
		Story{State: "hives", Path: "/sheets/hives"},
		Story{State: "yards", Path: "/sheets/yards"}),
	only("working", "working", "/plan"),
	{screen: "shut", more: []Story{
		{State: "typical", Season: "shut", Path: "/plan", Code: http.StatusServiceUnavailable},
	}},

	{screen: "fail", more: []Story{
		{State: "no-such-load", Path: "/load/99", Code: http.StatusNotFound},
		{State: "no-such-hive", Path: "/hives/nobody", Code: http.StatusNotFound},
		{State: "no-such-yard", Path: "/yards/nowhere", Code: http.StatusNotFound},
		{State: "no-such-page", Path: "/manual/nowhere", Code: http.StatusNotFound},
		{State: "no-such-trip", Path: "/round/99", Code: http.StatusNotFound},
		{State: "nothing-out", Path: "/round/1", Code: http.StatusNotFound},
		{State: "not-undone", Path: "/undo", Form: form("act", "nothing"), Code: http.StatusNotFound},
	}},
}

// weatherTable is a table that does not say its units, and lacks two days.
const weatherTable = "date,tmax,tmin,rain\n2015-09-01,74,51,0\n2015-09-02,71,48,0.2\n2015-09-05,69,47,0\n"

// scaleLog is what a scale under a hive writes from one evening to the noon after
// two nights.
var scaleLog = func() string {
	var b strings.Builder
	b.WriteString("timestamp,weight_kg\n")
	for h := 20; h <= 60; h++ {
		kg := 42.6 - 0.004*float64(h)
		if h%24 >= 10 && h%24 < 17 {
			kg -= 1.8 // foragers are out
		}
		fmt.Fprintf(&b, "2015-08-%02d %02d:00,%.2f\n", 28+h/24, h%24, kg)
	}
	return b.String()
}()
