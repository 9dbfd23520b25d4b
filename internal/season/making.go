package season

import (
	"errors"
	"math"
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/stores"
)

// Usual is what is told once for many hives and yards at a time.
type Usual struct {
	Stack  hive.Stack
	Feeder string
	// Yard gives place, class of winter, stop day and station of new yards; its id
	// and name do not count.
	Yard apiary.Yard
}

// Making is what a typed list of yards comes to, against what is there already.
type Making struct {
	Bodies  []any // facts to write: yards, roads, hives
	Strike  []ID  // facts to take back: hives that are no longer on the list
	Yards   int   // new ones
	Hives   int   // new ones
	Gone    int   // hives taken back
	Trouble []LineTrouble
}

// Make works out the facts of a typed list of yards. A yard that is there
// already keeps what it has; a count is how many hives it has in all, so that
// writing the same list again changes nothing.
//
// before, when not nil, is what the list said until now: hives of its yards that
// are no longer wanted are taken back, as long as nothing but their place and a
// look is known of them, and hives still as before.Usual said are put as usual
// says now. A name that stands elsewhere is asked about (fault.Conflict), never
// moved or written over.
func (st *State) Make(list []NewYard, usual Usual, before *Before) Making {
	m := making{st: st, usual: usual, taken: map[string]string{}}
	if before != nil {
		m.was = *before
	}
	for _, y := range list {
		m.yard(y)
	}
	for _, id := range m.was.Yards {
		if !slices.ContainsFunc(list, func(y NewYard) bool { return y.ID == id }) {
			m.drop(id)
		}
	}
	return m.out
}

// Before is what a typed list said the time before.
type Before struct {
	Yards []string // ids of its yards
	Usual Usual
}

type making struct {
	st    *State
	usual Usual
	was   Before
	taken map[string]string // hive → yard, on this list
	out   Making
}

func (m *making) trouble(y NewYard, err *fault.Error) {
	m.out.Trouble = append(m.out.Trouble, LineTrouble{y.Line, y.Name, err})
}

func (m *making) yard(y NewYard) {
	old, there := m.st.Yard(y.ID)
	if there && old.Name != "" && old.Name != y.Name && YardID(old.Name) != y.ID {
		m.trouble(y, fault.Newf(fault.Conflict, "", "there is a yard %s already, called %s", y.ID, old.Name).WithHint("give this one another name"))
		return
	}
	if !there {
		n := m.usual.Yard
		n.ID, n.Name, n.Closed = y.ID, "", false
		if y.Name != y.ID {
			n.Name = y.Name
		}
		m.out.Bodies = append(m.out.Bodies, n)
		m.out.Yards++
	}
	if there && old.Closed {
		old.Closed = false
		m.out.Bodies = append(m.out.Bodies, old)
	}
	if y.Road > 0 {
		if r, ok := m.st.Road("", y.ID); !ok || math.Abs(float64(r.Dist-y.Road)) > 20 { // metres: lists are written to a hundredth of a mile
			m.out.Bodies = append(m.out.Bodies, Road{To: y.ID, Dist: y.Road, Time: r.Time})
		}
	}
	m.hives(y)
}

func (m *making) hives(y NewYard) {
	names := y.Hives
	if y.Count > 0 {
		names = m.counted(y)
	}
	stand := 0
	want := map[string]bool{}
	for _, c := range m.st.Colonies() {
		if c.Yard == y.ID {
			stand = max(stand, c.Stand)
		}
	}
	for _, name := range names {
		want[name] = true
		if at, dup := m.taken[name]; dup {
			m.trouble(y, fault.Newf(fault.Conflict, "", "the hive %s is on the list twice, at %s and %s", name, at, y.Name).
				WithHint("each hive has a name of its own in the whole book"))
			continue
		}
		m.taken[name] = y.Name
		if len(name) > maxName { // numbers go on after those that are there
			m.trouble(y, tooLongForNames(y.ID))
			continue
		}
		c, there := m.st.Colony(name)
		switch {
		case there && c.Told && c.State == apiary.Alive && c.Yard == y.ID:
			m.refit(c)
			continue
		case there && c.Told:
			m.trouble(y, taken(c))
			continue
		}
		stand++
		kind := apiary.KindOf(m.usual.Stack, catalogue())
		m.out.Bodies = append(m.out.Bodies, apiary.Placed{Colony: apiary.Colony{
			ID: name, Yard: y.ID, Stand: stand, Kind: kind, Stack: m.usual.Stack, Feeder: m.usual.Feeder}})
		m.out.Hives++
	}
	if slices.Contains(m.was.Yards, y.ID) {
		for _, c := range m.st.Colonies() {
			if c.Yard == y.ID && c.State == apiary.Alive && !want[c.ID] {
				m.takeBack(y, c)
			}
		}
	}
}

// taken says that a name is in use.
func taken(c *Colony) *fault.Error {
	switch c.State {
	case apiary.Alive:
		return fault.Newf(fault.Conflict, "", "there is a hive %s already, at %s", c.ID, c.Yard).WithHint("move that one, or give the new one another name")
	case apiary.Joined:
		return fault.Newf(fault.Conflict, "", "%s was the name of a colony joined into %s", c.ID, c.Into).WithHint("a name is used once: give the new one another")
	}
	return fault.Newf(fault.Conflict, "", "%s was the name of a colony that is %s now", c.ID, string(c.State)).WithHint("a name is used once: give the new one another")
}

// counted gives the names of so many hives: those that live there first, in
// walking order, then new numbers that were never used.
func (m *making) counted(y NewYard) []string {
	var out []string
	for _, c := range m.st.Colonies() {
		if c.Yard == y.ID && c.State == apiary.Alive && c.Told && len(out) < y.Count {
			out = append(out, c.ID)
		}
	}
	for n := 1; len(out) < y.Count; n++ {
		name := HiveName(y.ID, n)
		if _, used := m.st.Colony(name); !used {
			out = append(out, name)
		}
	}
	return out
}

// refit puts a hive that is still as the list said before as it says now.
func (m *making) refit(c *Colony) {
	if len(m.was.Yards) == 0 || !slices.Contains(m.was.Yards, c.Yard) ||
		c.Stack.String() != m.was.Usual.Stack.String() || c.Feeder != m.was.Usual.Feeder {
		return
	}
	if c.Stack.String() == m.usual.Stack.String() && c.Feeder == m.usual.Feeder {
		return
	}
	n := c.Colony
	n.Stack, n.Feeder, n.FeederVolume, n.Kind = m.usual.Stack, m.usual.Feeder, 0, apiary.KindOf(m.usual.Stack, catalogue())
	m.out.Bodies = append(m.out.Bodies, apiary.Placed{Colony: n})
}

// takeBack strikes a hive that is no longer on the list.
func (m *making) takeBack(y NewYard, c *Colony) {
	ids, ok := c.OnlyPlaced()
	if !ok {
		m.trouble(y, fault.Newf(fault.Conflict, "", "%s has facts of its own and is not taken off by a shorter list", c.ID).
			WithHint("say under Yards and hives what became of it"))
		return
	}
	m.out.Strike = append(m.out.Strike, ids...)
	m.out.Gone++
}

// drop strikes a yard that is no longer on the list, with its hives.
func (m *making) drop(id string) {
	for _, c := range m.st.Colonies() {
		if c.Yard == id && c.State == apiary.Alive {
			m.takeBack(NewYard{Name: id, ID: id}, c)
		}
	}
	y, ok := m.st.Yard(id)
	if !ok || len(m.out.Trouble) > 0 {
		return
	}
	y.Closed = true
	m.out.Bodies = append(m.out.Bodies, y)
}

// OnlyPlaced tells whether nothing is known of a colony but where it stands, in
// what, what was seen of its bees and what was told for its whole yard at once;
// ids are those facts.
func (c *Colony) OnlyPlaced() (ids []ID, ok bool) {
	for _, f := range c.Events {
		switch b := f.Body.(type) {
		case apiary.Placed, apiary.Restacked, apiary.FeederSet, apiary.Look:
		case stores.Reading:
			if b.Note != wholeYard {
				return nil, false
			}
		default:
			return nil, false
		}
		ids = append(ids, f.ID)
	}
	return ids, true
}

// NextNumber gives the number after the highest used for a hive of a yard.
func (st *State) NextNumber(yard string) int {
	top := 0
	for id := range st.colonies {
		if prefix, n, ok := numbered(id); ok && prefix == yard+"-" {
			top = max(top, n)
		}
	}
	return top + 1
}

// AddHives works out the facts of more hives for one yard. A name in use is
// asked about (fault.Conflict), never moved or written over.
func (st *State) AddHives(yard string, names []string, usual Usual) ([]any, error) {
	stand := 0
	for _, c := range st.Colonies() {
		if c.Yard == yard {
			stand = max(stand, c.Stand)
		}
	}
	if err := usual.Stack.Check(catalogue(), usual.Feeder); err != nil {
		return nil, err
	}
	var out []any
	for _, name := range names {
		if c, used := st.Colony(name); used && c.Told {
			return nil, taken(c)
		}
		stand++
		out = append(out, apiary.Placed{Colony: apiary.Colony{ID: name, Yard: yard, Stand: stand,
			Kind: apiary.KindOf(usual.Stack, catalogue()), Stack: usual.Stack, Feeder: usual.Feeder}})
	}
	return out, nil
}

// HiveSet is what is told of many hives of a yard at once. What is not said stays
// with each as it is.
type HiveSet struct {
	Kind   apiary.Kind // of colony: only these; "" = all
	Stack  hive.Stack  // no boxes = not said
	Feeder *string     // nil = not said, "" = none
}

// SetHives works out the facts that change boxes or feeders of a yard's living
// colonies. Faults: fault.Missing when nothing is said, or there is none of the
// kind; those of [hive.Stack.Check], naming the hive that does not take the feeder.
func (st *State) SetHives(yard string, set HiveSet) ([]any, error) {
	if len(set.Stack.Boxes) == 0 && set.Feeder == nil {
		return nil, fault.New(fault.Missing, "", "nothing to change is told").WithHint("choose a feeder, or say the boxes")
	}
	var out []any
	found := false
	for _, c := range st.HivesAt(yard) {
		if set.Kind != "" && c.Kind != set.Kind {
			continue
		}
		found = true
		want := c.Colony
		if len(set.Stack.Boxes) > 0 {
			if apiary.KindOf(c.Stack, catalogue()) == c.Kind { // told by its boxes, and not otherwise
				want.Kind = apiary.KindOf(set.Stack, catalogue())
			}
			want.Stack = set.Stack
		}
		if set.Feeder != nil && *set.Feeder != want.Feeder {
			want.Feeder, want.FeederVolume = *set.Feeder, 0 // a size of its own was the old one's
		}
		if err := want.Stack.Check(catalogue(), want.Feeder); err != nil {
			var e *fault.Error
			if errors.As(err, &e) {
				named := *e
				named.Thing = c.ID
				return nil, &named
			}
			return nil, err
		}
		out = append(out, c.Changes(want)...)
	}
	if !found {
		return nil, fault.New(fault.Missing, "", "no such hive stands in this yard").WithHint("choose all hives, or another kind")
	}
	return out, nil
}

// HivesEnd is what became of many hives of a yard at once.
type HivesEnd struct {
	Names string       // see [State.EndHives]
	All   bool         // without names: all there are
	Kind  apiary.Kind  // without names: all of this kind
	State apiary.State // Dead or Sold
	Cause string       // of death
}

// EndHives works out the facts of colonies of a yard that died or were sold. Names
// have commas, semicolons or lines between; "m1-m9", "oak-1-oak-9" and "oak-1-9" are
// those from the first to the last. Faults: fault.Missing when it is not said which
// or what, or there is none of the kind; fault.NotFound for a name of no living colony
// of this yard; fault.Conflict for one that two may have.
func (st *State) EndHives(yard string, end HivesEnd) ([]any, error) {
	if end.State != apiary.Dead && end.State != apiary.Sold {
		return nil, fault.New(fault.Missing, "", "it is not said what became of the hives").WithHint("dead, or sold")
	}
	if end.State != apiary.Dead {
		end.Cause = ""
	}
	end.Names = strings.TrimSpace(end.Names)
	if end.Names == "" && !end.All && end.Kind == "" {
		return nil, fault.New(fault.Missing, "", "it is not said which hives").WithHint("their names with commas between; or choose all, or a kind")
	}
	here := st.HivesAt(yard)
	if end.Names != "" {
		var err error
		if here, err = hivesMeant(here, end.Names); err != nil {
			return nil, err
		}
	}
	var out []any
	for _, c := range here {
		if end.Names == "" && end.Kind != "" && c.Kind != end.Kind {
			continue
		}
		out = append(out, apiary.Ended{Colony: c.ID, State: end.State, Cause: end.Cause})
	}
	if len(out) == 0 {
		return nil, fault.New(fault.Missing, "", "no such hive stands in this yard").WithHint("choose all hives, or another kind")
	}
	return out, nil
}

// hivesMeant gives those of a yard's living colonies that are named: by names with
// commas, semicolons or lines between, or from one to another, "m1-m9", "oak-1-oak-9"
// or "oak-1-9". Of a range its ends have to be there; who is gone between them is.
func hivesMeant(here []*Colony, typed string) ([]*Colony, error) {
	var out []*Colony
	take := func(c *Colony) {
		if !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	for _, part := range strings.FieldsFunc(typed, betweenNames) {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		c, err := called(here, part)
		if err == nil {
			take(c)
			continue
		}
		first, last, ok := rangeOf(here, part)
		if !ok {
			return nil, err
		}
		prefix, from, _ := numbered(first.ID)
		_, to, _ := numbered(last.ID)
		for _, c := range here {
			if p, n, ok := numbered(c.ID); ok && p == prefix && from <= n && n <= to {
				take(c)
			}
		}
	}
	return out, nil
}

// called gives the one of these colonies that has a name, as it is written or, if
// that is only one, in large or small letters.
func called(here []*Colony, name string) (*Colony, error) {
	var found []*Colony
	for _, c := range here {
		if c.ID == name {
			return c, nil
		}
		if strings.EqualFold(c.ID, name) {
			found = append(found, c)
		}
	}
	switch len(found) {
	case 0:
		return nil, fault.New(fault.NotFound, name, "no living hive of this name stands in this yard").WithHint("names as they stand on the page of the yard, with commas between")
	case 1:
		return found[0], nil
	}
	return nil, fault.New(fault.Conflict, name, "more than one hive of this yard may be meant").WithHint("its name as it stands on the page of the yard, in large and small letters")
}

// rangeOf reads "m1-m9", "oak-1-oak-9" or "oak-1-9" as its first and last hive.
func rangeOf(here []*Colony, part string) (first, last *Colony, ok bool) {
	for i, r := range part {
		if r != '-' {
			continue
		}
		a, err := called(here, strings.TrimSpace(part[:i]))
		if err != nil {
			continue
		}
		prefix, from, numberedA := numbered(a.ID)
		end := strings.TrimSpace(part[i+1:])
		b, err := called(here, end)
		if err != nil {
			b, err = called(here, prefix+end)
		}
		if err != nil {
			continue
		}
		if p, to, numberedB := numbered(b.ID); numberedA && numberedB && p == prefix && from <= to {
			return a, b, true
		}
	}
	return nil, nil, false
}

// HivesAt gives the living colonies of a yard in walking order.
func (st *State) HivesAt(yard string) []*Colony {
	var out []*Colony
	for _, c := range st.Colonies() {
		if c.Yard == yard && c.State == apiary.Alive {
			out = append(out, c)
		}
	}
	return out
}
