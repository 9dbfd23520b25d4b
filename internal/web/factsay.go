package web

import (
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
)

// sayFact puts a fact about colony id into words.
func (b *Base) sayFact(e season.Entry, id string) factLine {
	l := factLine{Entry: e}
	switch f := e.Body.(type) {
	case apiary.Placed:
		l.Say = b.placedWords(f.Colony)
	case apiary.Moved:
		l.Say = b.T("fact.moved", "Yard", f.Yard, "Stand", f.Stand)
	case apiary.Restacked:
		l.Say = b.T("fact.stack", "Stack", b.stackWords(f.Stack.Bare().String()))
	case apiary.FeederSet:
		l.Say = b.T("fact.feeder", "Feeder", b.feederName(f.Feeder))
	case apiary.United:
		l.Say = b.T("fact.united", "From", f.From, "Into", f.Into)
	case apiary.Split:
		l.Say = b.T("fact.split", "From", f.From, "New", f.New.ID)
	case apiary.Ended:
		l.Say = b.T("fact.ended."+string(f.State), "Cause", b.causeName(f.Cause))
	case apiary.Look:
		l.Say = b.lookWords(f)
		l.Right = b.HivePath(id) + "?right=" + e.ID.String() + "#look"
	case stores.Reading:
		l.Say = b.readingWords(f)
	case ledger.Agreed:
		l.Say = b.T("fact.agreed", "N", f.Frames, "From", f.From, "To", f.Colony)
		if f.Frames == 0 {
			l.Say = b.T("fact.agreed.back", "From", f.From, "To", f.Colony)
		}
	case ledger.Given:
		l.Say = b.givenWords(f, id)
	case ledger.Left:
		l.Say = b.T("fact.left", "Volume", b.S.Volume(f.Volume.Q))
	case ledger.Taken:
		l.Say = b.T("fact.taken", "Volume", b.S.Volume(f.Volume.Q))
	case ledger.NotFed:
		why := f.Why
		if slices.Contains(season.NotFedWhys(), why) {
			why = b.T("notfed." + why)
		}
		l.Say = b.T("fact.notfed", "Why", why)
	case season.Need:
		l.Say = b.needWords(f)
		l.Right = b.HivePath(id) + "?fold=need#needs"
	case apiary.Yard:
		l.Say = b.yardSays(f)
	case season.Feedable:
		l.Say = b.feedableWords(f)
		l.Right = b.dayPath(f)
	default:
		l.Say = e.Kind()
	}
	switch e.Body.(type) {
	case ledger.Given, ledger.Left, ledger.Taken, ledger.NotFed: // put right where they are logged
		l.Right = "/given/" + e.ID.String()
	}
	return l
}

func (b *Base) feederName(key string) string {
	if key == "" {
		return b.T("feeder.none")
	}
	return b.T("feeder." + key)
}

// causeName gives the word for a cause of death; one of the keeper's own stays as
// it is.
func (b *Base) causeName(c string) string {
	for _, k := range causes {
		if k == c {
			return b.T("cause." + c)
		}
	}
	return c
}

// lookWords says what a look found.
func (b *Base) lookWords(l apiary.Look) string {
	var out []string
	if l.BeesKnown {
		out = append(out, b.T("fact.bees", "Frames", season.FigureText(l.Bees, b.S)))
	}
	if l.BroodKnown {
		out = append(out, b.T("fact.brood", "Frames", season.FigureText(l.Brood, b.S)))
	}
	for _, x := range []struct {
		key string
		a   apiary.Answer
	}{{"queen", l.Queen}, {"disease", l.Disease}, {"treatment", l.Treatment}, {"super", l.Super}, {"refuses", l.Refuses}} {
		if x.a != apiary.Unknown {
			out = append(out, b.T("fact.look."+x.key+"."+x.a.String()))
		}
	}
	if l.Granulated > 0 {
		out = append(out, b.T("fact.look.granulated", "Mass", b.S.Mass(l.Granulated)))
	}
	if l.Note != "" {
		out = append(out, b.noteWords(l.Note))
	}
	return b.T("fact.look") + " " + strings.Join(out, "; ")
}

// readingWords says what was read; amounts stay as they were typed.
func (b *Base) readingWords(r stores.Reading) string {
	what := ""
	switch r.Way {
	case stores.Full, stores.Scale:
		what = r.Gross.String()
	case stores.LiftOne:
		what = r.Lift1.String()
	case stores.LiftBoth:
		what = r.Lift1.String() + " + " + r.Lift2.String()
	case stores.Hand:
		what = b.T("heft." + string(r.Heft))
	case stores.Frames:
		n := 0.0
		for _, f := range r.Frames {
			n += f.Sealed
		}
		what = b.T("fact.frames", "Frames", season.FigureText(n, b.S))
	}
	key := "fact.reading"
	if r.About {
		key = "fact.reading.about"
	}
	say := b.T(key, "What", what)
	if r.Note != "" {
		say += "; " + b.noteWords(r.Note)
	}
	return say
}

func (b *Base) givenWords(g ledger.Given, id string) string {
	amount := b.S.Mass(g.Mass.Q)
	if g.Feed == ledger.Syrup {
		amount = b.S.Volume(g.Volume.Q)
	}
	key := "fact.given"
	if g.From == id && g.Colony != id {
		key = "fact.gave"
	}
	say := b.T(key, "Amount", amount, "Feed", b.T("feed."+string(g.Feed)), "Colony", g.Colony)
	if g.Note != "" {
		say += "; " + g.Note
	}
	return say
}

// placedWords says where a colony stands and in what.
func (b *Base) placedWords(c apiary.Colony) string {
	say := b.T("fact.placed", "Yard", c.Yard, "Stack", b.stackWords(c.Stack.Bare().String()), "Feeder", b.feederName(c.Feeder))
	if c.Target > 0 {
		say += "; " + b.T("fact.placed.target", "Mass", b.S.Mass(c.Target))
	}
	if c.NeverEmpty {
		say += "; " + b.T("fact.placed.never")
	}
	if c.Wrapped {
		say += "; " + b.T("fact.placed.wrapped")
	}
	return b.withNote(say, c.Note)
}

// needWords says what is still to be given by the keeper's word.
func (b *Base) needWords(n season.Need) string {
	say := b.T("fact.need.back")
	if !n.Volume.IsZero() {
		say = b.T("fact.need", "Volume", b.S.Amount(n.Volume))
	}
	return b.withNote(say, n.Note)
}

func (b *Base) withNote(say, note string) string {
	if note == "" {
		return say
	}
	return say + "; " + note
}

// yardSays says what was told of a yard.
func (b *Base) yardSays(y apiary.Yard) string {
	var out []string
	add := func(key, what string) {
		if what != "" {
			out = append(out, b.T("fact.yard."+key, "What", what))
		}
	}
	add("name", y.Name)
	if y.HasPlace {
		add("place", b.Text(y.Lat)+", "+b.Text(y.Lon))
	}
	add("height", season.HeightText(y.Elev, b.S))
	if y.Climate != "" {
		add("winter", b.WinterName(y.Climate))
	}
	if y.Stop != 0 {
		add("stop", b.S.DayYear(y.Stop))
	}
	if y.Setup > 0 {
		add("setup", b.S.Duration(y.Setup))
	}
	add("station", y.Station)
	add("access", y.Access)
	if y.Windy {
		out = append(out, b.T("fact.yard.windy"))
	}
	if y.Wrapped {
		out = append(out, b.T("fact.yard.wrapped"))
	}
	if gate := b.gateWords(y); gate != "" {
		out = append(out, gate)
	}
	if y.Closed {
		out = append(out, b.T("fact.yard.closed"))
	}
	if len(out) == 0 {
		return b.T("fact.yard.bare")
	}
	return strings.Join(out, "; ")
}

// gateWords says when one can work in a yard, "" when nothing is told.
func (b *Base) gateWords(y apiary.Yard) string {
	gate, say := season.GateOf(y, b.S), ""
	switch {
	case gate.Opens != "" && gate.Shuts != "":
		say = b.T("yard.gate.both", "Opens", gate.Opens, "Shuts", gate.Shuts)
	case gate.Opens != "":
		say = b.T("yard.gate.opens", "Opens", gate.Opens)
	case gate.Shuts != "":
		say = b.T("yard.gate.shuts", "Shuts", gate.Shuts)
	}
	if gate.Shut == "" {
		return say
	}
	shut := b.T("yard.gate.shut", "Days", gate.Shut)
	if say == "" {
		return shut
	}
	return say + "; " + shut
}

// feedableWords says what was typed of a day of a yard.
func (b *Base) feedableWords(f season.Feedable) string {
	if f.Round == apiary.Unknown && !f.FactorKnown {
		return b.T("fact.day.back", "Day", b.S.DayYear(f.Day))
	}
	say := b.T("fact.day", "Day", b.S.DayYear(f.Day), "Round", b.roundWords(f.Round))
	if f.FactorKnown {
		say += "; " + b.T("fact.day.part", "Part", b.partWords(f))
	}
	return b.withNote(say, f.Note)
}

// roundWords says whether a round can be made on a day.
func (b *Base) roundWords(a apiary.Answer) string {
	if a == apiary.Unknown {
		return b.T("day.round.weather")
	}
	return b.T("day.round." + a.String())
}

// partWords says what part of full uptake is taken, "" when that was not typed.
func (b *Base) partWords(f season.Feedable) string { return f.Text(b.S).Part }

// noteWords gives a note as it was written, or in the page's language where it is
// one of ours.
func (b *Base) noteWords(note string) string {
	if note == season.WholeYard {
		return b.T("fact.wholeyard")
	}
	return note
}
