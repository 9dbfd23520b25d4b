package season

import (
	"reflect"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/stores"
	"larder/internal/units"
)

// WholeYard is the note on a reading or look that was told once for a whole yard.
const WholeYard = "told for the whole yard"

const wholeYard = WholeYard

// Writing is one thing to write: the body of a fact, or a fact to strike.
type Writing struct {
	Body   any
	Strike ID // taken out of force; none with a Body
}

// Whole is what is told once for a whole yard.
type Whole struct {
	Reading stores.Reading // without its colony; Way "" = nothing told
	Bees    float64        // frames of bees of each hive, when BeesKnown
	// BeesKnown and Safe say what was told of the bees. Safe: no honey super is
	// on, no disease seen, no treatment that forbids feeding, on any of them.
	BeesKnown, Safe bool
}

// WholeOf gives what was told for a whole yard so far, as the first of its hives
// has it.
func (st *State) WholeOf(yard string) (w Whole, reading units.Entered[units.Mass]) {
	for _, c := range st.HivesAt(yard) {
		r, l := c.whole()
		if r == nil && l == nil {
			continue
		}
		if r != nil {
			w.Reading = r.Body.(stores.Reading)
			reading = w.Reading.Gross
		}
		if l != nil {
			b := l.Body.(apiary.Look)
			w.Bees, w.BeesKnown, w.Safe = b.Bees, b.BeesKnown, b.Super == apiary.No
		}
		break
	}
	return w, reading
}

// whole finds the facts of a colony that were told for its whole yard.
func (c *Colony) whole() (reading, look *Fact) {
	for _, f := range c.Events {
		switch b := f.Body.(type) {
		case stores.Reading:
			if b.Note == wholeYard {
				reading = f
			}
		case apiary.Look:
			if b.Note == wholeYard {
				look = f
			}
		}
	}
	return reading, look
}

// TellWhole works out what is to be written when something is told for a whole
// yard: a reading (always a guess for the single hive, see stores.Reading.About)
// and a look for each living hive. What was told so before is struck, so that
// nothing is told twice and taking the new away does not bring back the old. A hive with a reading of its own
// keeps it and gets no guess beside it.
func (st *State) TellWhole(yard string, w Whole) []Writing {
	var out []Writing
	for _, c := range st.HivesAt(yard) {
		oldReading, oldLook := c.whole()
		var reading, look any
		if w.Reading.Way != "" && !c.readItself() {
			r := w.Reading
			r.Colony, r.Note, r.About = c.ID, wholeYard, r.Way != stores.Hand
			reading = r
		}
		if w.BeesKnown || w.Safe {
			l := apiary.Look{Colony: c.ID, Bees: w.Bees, BeesKnown: w.BeesKnown, Note: wholeYard}
			if w.Safe {
				l.Super, l.Disease, l.Treatment = apiary.No, apiary.No, apiary.No
			}
			look = l
		}
		out = append(out, put1(reading, oldReading)...)
		out = append(out, put1(look, oldLook)...)
	}
	return out
}

// put1 writes body in place of old: nothing if they are the same.
func put1(body any, old *Fact) []Writing {
	switch {
	case body == nil && old == nil, body != nil && old != nil && reflect.DeepEqual(body, old.Body):
		return nil
	case body == nil:
		return []Writing{{Strike: old.ID}}
	case old == nil:
		return []Writing{{Body: body}}
	}
	return []Writing{{Strike: old.ID}, {Body: body}}
}

// readItself tells whether the stores of a colony were read, not told for the
// whole yard.
func (c *Colony) readItself() bool {
	for _, f := range c.Events {
		if r, ok := f.Body.(stores.Reading); ok && r.Note != wholeYard {
			return true
		}
	}
	return false
}

// ReadWhole reads what most hives of a yard weigh, as typed: a weight ("95",
// "43 kg"), or what the hand says ("light"). Nothing, "?" and "-" is nothing told.
func ReadWhole(text string, s units.Style) (stores.Reading, error) {
	t := strings.ToLower(strings.TrimSpace(text))
	if t == "?" || notReadWords[t] {
		return stores.Reading{}, nil
	}
	if h, ok := heftWords[t]; ok {
		return stores.Reading{Way: stores.Hand, Heft: h}, nil
	}
	rest, _ := units.ParseAbout(text)
	e, err := units.EnterMassIn(rest, s.MassCol().Unit, s.Locale())
	if err != nil {
		return stores.Reading{}, err
	}
	if x := e.Q.Kg(); !(x >= leastHiveKg && x <= maxHiveKg) {
		return stores.Reading{}, fault.Newf(fault.OutOfRange, "", "a hive does not weigh %s", e).WithHint("most weigh between 20 and 90 kg, 45 and 200 lb")
	}
	return stores.Reading{Way: stores.Full, Gross: e}, nil
}

// DoubtWhole gives why a reading told for a whole yard cannot be true of any of
// its hives: lighter than empty, or more than their combs hold. Such a reading
// would leave every hive's stores not known.
func (st *State) DoubtWhole(yard string, w Whole, at units.Moment) (why feeding.Reason, doubt bool, err error) {
	if w.Reading.Way == "" {
		return why, false, nil
	}
	for i, c := range st.HivesAt(yard) {
		r := w.Reading
		r.Colony, r.Note, r.About = c.ID, wholeYard, r.Way != stores.Hand
		f := Fact{Seen: at, Made: at, Body: r}
		if f.ID, err = f.Derive(i); err != nil {
			return why, false, err
		}
		with, err := st.Suppose(f)
		if err != nil {
			return why, false, err
		}
		odd := false
		for _, x := range with.ShortOf(at, c.ID) {
			for _, h := range x.Track.History {
				if h.ID == f.ID.String() && h.Question != nil && !h.Read.Known {
					why, odd = feeding.Reason(*h.Question), true
				}
			}
		}
		if !odd {
			return feeding.Reason{}, false, nil
		}
		doubt = true
	}
	return why, doubt, nil
}

// ReadWeights reads a short list of hives and what they weigh, "mill-4 88 lb", a
// hive to a line, as bodies of facts. The name may be written as people write
// names (see NameKey). A hive that already has just that reading is passed over.
func (st *State) ReadWeights(text string, sheet Sheet) ([]any, []LineTrouble) {
	var out []any
	var bad []LineTrouble
	names := st.namesByKey()
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		at := strings.IndexAny(line, "\t,;:")
		if at < 0 {
			at = strings.IndexByte(line, ' ')
		}
		if at < 0 {
			bad = append(bad, LineTrouble{n, line, fault.New(fault.NotUnderstood, "", "there is no weight behind the name").WithHint("the hive and what it weighs: mill-4 88")})
			continue
		}
		name, value := strings.TrimSpace(line[:at]), strings.TrimSpace(line[at+1:])
		ids := names[NameKey(name)]
		if c, ok := st.Colony(name); ok {
			ids = []string{c.ID}
		}
		if len(ids) != 1 {
			bad = append(bad, LineTrouble{n, line, fault.Newf(fault.NotFound, "", "there is no hive called %s", name).WithHint("the names are those of your yards: mill-1, mill-2 …")})
			continue
		}
		d := st.Draft(sheet, []Cells{{Colony: ids[0], First: value}})[0]
		if len(d.Trouble) > 0 {
			t := d.Trouble[0]
			bad = append(bad, LineTrouble{n, line, &fault.Error{Kind: fault.NotUnderstood, Say: units.Style{System: sheet.Locale.System, Decimal: sheet.Locale.Decimal}.Say(t.Say.Say, t.Say.Amounts), Hint: t.Hint}})
			continue
		}
		for _, b := range d.Bodies {
			if !st.already(ids[0], b) {
				out = append(out, b)
			}
		}
	}
	return out, bad
}

// already tells whether the last reading of a colony is just this one.
func (st *State) already(id string, body any) bool {
	c, ok := st.Colony(id)
	if !ok {
		return false
	}
	for i := len(c.Events) - 1; i >= 0; i-- {
		if r, is := c.Events[i].Body.(stores.Reading); is && r.Note != wholeYard {
			return reflect.DeepEqual(r, body)
		}
	}
	return false
}
