package web

import (
	"net/http"
	"slices"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/units"
)

type hivePage struct {
	Base
	Hive              *season.Colony
	Called            string           // its yard
	Short             *season.Short    // nil when it is no more
	Windy, AllWrapped bool             // what is told of its yard
	Drives            []feeding.Reason // what the winter model's target is made of and what makes it unsure
	History           []factLine
	Yards             []apiary.Yard // open ones, to move to
	Others            []string      // living colonies beside it, to unite with
	Fold              string        // the form that is open
	Kept              string        // boxes whose empty weight was asked about

	Edit  hiveForm
	Look  lookForm
	Move  struct{ Yard, Stand string }
	Into  string
	Split struct{ New, Stack, Feeder, Stores string }
	End   struct{ State, Cause, Left string }
	Need  needForm
}

// needForm is the syrup it is still to be given by the keeper's word.
type needForm struct {
	Told           *season.Entry // what counts now; nil = it is worked out
	Volume, Says   string        // of it, and what is left of that
	Typed, NoteNew string        // as typed
}

// hiveForm is what can be told of a hive, as typed.
type hiveForm struct {
	Stack, Feeder, Volume, Target, Kind, Note string
	NeverEmpty, Wrapped                       bool
}

// lookForm is one look at the bees, as typed.
type lookForm struct {
	Right                                     string // id of the look that is put right, "" = a new one
	Day, Bees, Brood                          string
	Queen, Disease, Treatment, Super, Refuses string
	Granulated, Note                          string
}

// Feeders, Stacks, Kinds, Answers, States and Causes list what to choose from.
func (p *hivePage) Feeders() []Option { return p.feederOptions() }

// Stacks lists the kinds of hive, for a split.
func (p *hivePage) Stacks() []Option { return p.stackOptions(p.Split.Stack) }

// Kinds lists the kinds of colony.
func (p *hivePage) Kinds() []Option {
	return []Option{{"full", p.T("kind.full")}, {"nuc", p.T("kind.nuc")}}
}

// Answers lists the answers of a look.
func (p *hivePage) Answers() []Option {
	return []Option{{"", p.T("answer.unknown")}, {"no", p.T("answer.no")}, {"yes", p.T("answer.yes")}}
}

// States lists how a colony ends here.
func (p *hivePage) States() []Option { return p.endStates() }

func (b *Base) endStates() []Option {
	return []Option{{"dead", b.T("state.dead")}, {"sold", b.T("state.sold")}}
}

// causes of a dead-out, as they are kept.
var causes = []string{"unknown", "starved", "queenless", "mites", "disease", "mice", "damp", "robbed", "wasps", "cold", "other"}

// causeOf reads a cause from a form: one of the list, "" = not told.
func causeOf(typed string) (string, error) {
	if typed != "" && !slices.Contains(causes, typed) {
		return "", fault.New(fault.NotUnderstood, "", "there is no such cause in the list").WithHint("choose one of the list")
	}
	return typed, nil
}

// Causes lists them.
func (p *hivePage) Causes() []Option { return p.endCauses() }

func (b *Base) endCauses() []Option {
	out := make([]Option, len(causes))
	for i, c := range causes {
		out[i] = Option{c, b.T("cause." + c)}
	}
	return out
}

// YardOptions lists the yards to move to.
func (p *hivePage) YardOptions() []Option {
	var out []Option
	for _, y := range p.Yards {
		o := Option{y.ID, y.Name}
		if o.Label == "" {
			o.Label = y.ID
		}
		out = append(out, o)
	}
	return out
}

// StackWords gives the words for its boxes.
func (p *hivePage) StackWords() string { return p.stackWords(p.Hive.Stack.Bare().String()) }

// hive shows one colony: what it stands in, what is believed of it, all that was
// ever written of it.
func (s *Server) hive(w http.ResponseWriter, r *http.Request) {
	p, err := s.hivePage(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	p.Fold = r.URL.Query().Get("fold")
	if right := r.URL.Query().Get("right"); right != "" {
		s.fillRight(p, right)
	}
	s.show(w, http.StatusOK, "hive", p)
}

// hivePage reads one colony; its forms hold what is in force.
func (s *Server) hivePage(r *http.Request) (*hivePage, error) {
	id := r.PathValue("id")
	p := &hivePage{Base: s.base(r, "hive", "title.hive")}
	s.house.mu.Lock()
	st := s.house.journal.Now()
	c, ok := st.Colony(id)
	if ok {
		own := *c
		p.Hive, p.Called = &own, c.Yard
		for _, y := range st.Yards() {
			if y.ID == c.Yard && y.Name != "" {
				p.Called = y.Name
			}
			if y.ID == c.Yard {
				p.Windy, p.AllWrapped = y.Windy, y.Wrapped
			}
			if !y.Closed {
				p.Yards = append(p.Yards, y)
			}
		}
		for _, o := range st.HivesAt(c.Yard) {
			if o.ID != id {
				p.Others = append(p.Others, o.ID)
			}
		}
		if c.State == apiary.Alive {
			if l := st.ShortOf(s.house.at(st), id); len(l) == 1 {
				p.Short = &l[0]
				p.Drives = st.DrivesOf(s.house.at(st), id)
			}
		}
		for _, e := range s.house.journal.ColonyHistory(id) {
			p.History = append(p.History, p.sayFact(e, id))
		}
	}
	s.house.mu.Unlock()
	if !ok {
		return nil, fault.Newf(fault.NotFound, "", "there is no hive %s", id).WithHint("Yards and hives lists them all")
	}
	p.Name = id
	h := p.Hive
	p.Edit = hiveForm{Stack: h.Stack.Typed(), Feeder: h.Feeder, Kind: string(h.Kind), Note: h.Note, NeverEmpty: h.NeverEmpty, Wrapped: h.Wrapped}
	if h.FeederVolume > 0 {
		p.Edit.Volume = p.S.Volume(h.FeederVolume)
	}
	if h.Target > 0 {
		p.Edit.Target = p.S.Mass(h.Target)
	}
	p.fillNeed()
	p.Look.Day = p.Facts.Day().String()
	p.Move.Yard = h.Yard
	p.Split.Stack, p.End.State, p.End.Cause = "nuc5-deep", "dead", "unknown"
	return p, nil
}

// fillNeed finds what the keeper said is still to be given, and what is left of
// it.
func (p *hivePage) fillNeed() {
	for i := range p.History { // latest first
		l := &p.History[i]
		n, is := l.Body.(season.Need)
		if !is || !l.InForce {
			continue
		}
		if !n.Volume.IsZero() {
			p.Need.Told, p.Need.Volume = &l.Entry, p.S.Amount(n.Volume)
		}
		break
	}
	if p.Short == nil {
		return
	}
	for _, r := range p.Short.Why() {
		if r.Code == "typed-need" {
			p.Need.Says = p.Say(r)
		}
	}
}

// fillRight puts a look of the past into the form, to be put right.
func (s *Server) fillRight(p *hivePage, id string) {
	for _, l := range p.History {
		look, ok := l.Body.(apiary.Look)
		if l.ID.String() != id || !ok {
			continue
		}
		f := lookForm{Right: id, Day: l.Seen.Day().String(), Queen: look.Queen.String(), Disease: look.Disease.String(), Treatment: look.Treatment.String(),
			Super: look.Super.String(), Refuses: look.Refuses.String(), Note: look.Note}
		if look.BeesKnown {
			f.Bees = season.FigureText(look.Bees, p.S)
		}
		if look.BroodKnown {
			f.Brood = season.FigureText(look.Brood, p.S)
		}
		if look.Granulated > 0 {
			f.Granulated = p.S.Mass(look.Granulated)
		}
		p.Look, p.Fold = f, "look"
	}
}

// factLine is one fact of a history, in words.
type factLine struct {
	season.Entry
	Say string
	// Right is the address where it is put right, "" where it can only be taken
	// out.
	Right string
	Stays bool // it cannot be taken out
}

// historyTable is all that was ever told of something, with what takes it out.
type historyTable struct {
	*Base
	Rows []factLine
	To   string // where taking out is sent
	May  bool   // who asks may take out what is his
}

// HistoryTable makes the table of a history.
func (b *Base) HistoryTable(rows []factLine, to, pattern string) historyTable {
	return historyTable{b, rows, to, b.May(pattern)}
}

// Written gives when a fact was written down, if that was another day than when
// it was seen.
func (l factLine) Written() units.Moment {
	if l.Made.IsZero() || l.Made.Day() == l.Seen.Day() {
		return units.Moment{}
	}
	return l.Made
}

// ChanceKey gives the key of the word for a chance of being short.
func (hivePage) ChanceKey(x *season.Short) string {
	if x.NoRoom() {
		return "chance.no-room"
	}
	return wordKey(x.Lack.Word)
}

// StackField is the box of the boxes, with an example in the keeper's units.
func (p *hivePage) StackField() Field {
	f := p.Field("stack", "hive.stack", p.Edit.Stack, "", "")
	f.Hint = p.T("hive.stack.hint", "Tare", p.tareExample())
	return f
}

// tareExample is the empty weight of a deep and a medium box, about.
func (b *Base) tareExample() string {
	if b.S.System == units.Metric {
		return "tare 22 kg"
	}
	return "tare 48 lb"
}

// askTare asks about a measured empty weight that is far from what such boxes
// weigh, unless it was asked about before and is kept.
func (b *Base) askTare(s hive.Stack, kept, field string) (Trouble, bool) {
	usual, odd := hive.Default().OddTare(s)
	if !odd || kept == s.String() {
		return Trouble{}, false
	}
	return Trouble{Field: field, Say: b.T("hive.tare.odd", "Tare", b.S.MassSmall(s.Tare), "Usual", b.S.MassPM(units.Mass(usual.Mean), units.Mass(usual.SD))), Hint: b.T("readings.unlikely.hint")}, true
}
