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
		l.Say = b.T("fact.placed", "Yard", f.Colony.Yard, "Stack", b.stackWords(f.Colony.Stack.Bare().String()), "Feeder", b.feederName(f.Colony.Feeder))
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

// noteWords gives a note as it was written, or in the page's language where it is
// one of ours.
func (b *Base) noteWords(note string) string {
	if note == season.WholeYard {
		return b.T("fact.wholeyard")
	}
	return note
}
