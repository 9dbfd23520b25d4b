package web

import (
	"net/http"
	"strconv"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

type yardPage struct {
	Base
	Yard   apiary.Yard
	Called string
	Rows   []*season.Short // its colonies, in walking order
	Stop   season.YardStop
	Winter apiary.Climate
	Fold   string // the form that is open: "edit", "add", "all", "look" or ""
	Kept   string // boxes whose empty weight was asked about

	Edit    yardForm
	Gate    season.GateText
	GateNow string // its hours and shut days in words, "" = none told
	Height  string // above the sea, "" = not told
	Day     season.FeedableText
	Typed   []typedDay // days to come that count as they were typed
	History []factLine
	// More hives, as typed.
	Hives, Stack, Feeder string
	// Boxes or feeder of all hives here.
	All allForm
	End endForm
	// A look told for the whole yard.
	Bees string
	Safe bool
	Ask  int // colonies that wait for an answer
}

// yardForm is what can be told of a yard, as typed.
type yardForm struct {
	Name, Place, Height, Winter, Stop, Station, Setup, Road, RoadTime string
	Windy, Wrapped                                                    bool
}

// allForm is what is told of many hives of the yard at once, as typed.
type allForm struct{ Kind, Stack, Feeder string }

// endForm is what became of many hives, as typed.
type endForm struct{ Kind, Names, State, Cause string }

// allOfThem stands in a form for every hive of a yard.
const allOfThem = "all"

// EndKinds lists which hives are meant where none is named: none of them, as long
// as nobody says so.
func (p *yardPage) EndKinds() []Option {
	return []Option{{"", p.T("yard.end.named")}, {allOfThem, p.T("yard.all.every")}, {string(apiary.Full), p.T("kind.full")}, {string(apiary.Nuc), p.T("kind.nuc")}}
}

// States lists what may become of hives, Causes of what.
func (p *yardPage) States() []Option { return p.endStates() }

// Causes lists them.
func (p *yardPage) Causes() []Option { return p.endCauses() }

// AllKinds lists which of the hives are meant.
func (p *yardPage) AllKinds() []Option {
	return []Option{{"", p.T("yard.all.every")}, {string(apiary.Full), p.T("kind.full")}, {string(apiary.Nuc), p.T("kind.nuc")}}
}

// AllFeeders lists the feeders, after leaving them as they are.
func (p *yardPage) AllFeeders() []Option {
	return append([]Option{{sameAsItIs, p.T("yard.all.same")}}, p.feederOptions()...)
}

// Winters, Stacks and Feeders list what to choose from.
func (p *yardPage) Winters() []Option { return p.climateOptions(p.T("yard.winter.weather")) }

// Stacks lists the kinds of hive.
func (p *yardPage) Stacks() []Option { return p.stackOptions(p.Stack) }

// Feeders lists the kinds of feeder.
func (p *yardPage) Feeders() []Option { return p.feederOptions() }

// StackWords gives the words for a hive's boxes.
func (p *yardPage) StackWords(c *season.Colony) string { return p.stackWords(c.Stack.Bare().String()) }

// yard shows one yard: its colonies in walking order and what is told of it.
func (s *Server) yard(w http.ResponseWriter, r *http.Request) {
	p, err := s.yardPage(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	p.Fold = r.URL.Query().Get("fold")
	for _, d := range p.Typed {
		if d.Feedable.Day.String() == r.URL.Query().Get("day") {
			p.Day, p.Fold = d.Feedable.Text(p.S), "days"
		}
	}
	s.show(w, http.StatusOK, "yard", p)
}

// yardPage reads one yard; its forms hold what is in force.
func (s *Server) yardPage(r *http.Request) (*yardPage, error) {
	id := r.PathValue("id")
	p := &yardPage{Base: s.base(r, "yard", "title.yard"), Called: id}
	found := false
	s.house.view(func(st *season.State, at units.Moment) {
		for _, y := range st.Yards() { // also one that only colonies name
			if y.ID == id {
				p.Yard, found = y, true
			}
		}
		if !found {
			return
		}
		p.Winter = st.Winter(id, at)
		p.fillForm(st)
		p.fillDays(s.house.journal)
	})
	if !found {
		return nil, fault.Newf(fault.NotFound, "", "there is no yard %s", id).WithHint("Yards and hives lists them all")
	}
	p.Stop = s.stopDays()[id]
	shorts := s.shorts()
	for i := range shorts {
		x := &shorts[i]
		if x.Colony.Yard != id {
			continue
		}
		p.Rows = append(p.Rows, x)
		if season.NeedsAnswers(x) {
			p.Ask++
		}
	}
	if p.Yard.Name != "" {
		p.Called = p.Yard.Name
	}
	p.Name = p.Called
	p.Stack, p.Feeder, p.All.Feeder = firstStack(p.S.System), firstFeeder(p.S.System), sameAsItIs
	s.house.view(func(st *season.State, _ units.Moment) {
		if stack, feeder, ok := st.UsualHive(id); ok {
			p.Stack, p.Feeder = stack.String(), feeder
		}
	})
	return p, nil
}

// fillForm puts what is in force into the form.
func (p *yardPage) fillForm(st *season.State) {
	y := p.Yard
	p.Edit = yardForm{Name: y.Name, Winter: string(y.Climate), Stop: y.Stop.String(), Station: y.Station, Height: season.HeightText(y.Elev, p.S), Windy: y.Windy, Wrapped: y.Wrapped}
	p.Gate, p.GateNow, p.Height = season.GateOf(y, p.S), p.gateWords(y), p.Edit.Height
	if y.HasPlace {
		p.Edit.Place = strconv.FormatFloat(y.Lat, 'f', -1, 64) + ", " + strconv.FormatFloat(y.Lon, 'f', -1, 64)
	}
	if y.Setup > 0 {
		p.Edit.Setup = p.S.Duration(y.Setup)
	}
	if road, ok := st.Road("", y.ID); ok {
		if road.Dist > 0 {
			p.Edit.Road = p.S.Road(road.Dist)
		}
		if road.Time > 0 {
			p.Edit.RoadTime = p.S.Duration(road.Time)
		}
	}
}
