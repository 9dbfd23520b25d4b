package season

import (
	"larder/internal/feeding"
	"larder/internal/units"
)

// LoadCard is one truck load of a plan with what it weighs and where it goes.
type LoadCard struct {
	feeding.Load
	Of      int // loads of the plan
	Mass    units.Mass
	Spare   units.Volume // room left in the tank
	Payload units.Mass   // what the truck may carry as syrup; 0 = not told
	Left    units.Mass   // payload left; below 0 = too heavy
	Yards   []LoadStop
	Next    int // load that is filled at To, 0 = it goes home
}

// Elsewhere tells whether the tank is not filled at home.
func (c *LoadCard) Elsewhere() bool { return c.From != "" }

// FirstYard names the yard the load is filled for first.
func (c *LoadCard) FirstYard() string {
	if len(c.Yards) == 0 {
		return ""
	}
	return c.Yards[0].Name
}

// LoadStop is one yard of a load.
type LoadStop struct {
	feeding.Stop
	Name   string
	Access string
	Syrup  units.Volume // put out here
	After  units.Volume // left in the tank when the truck drives on
}

// LoadCard gives load n of the plan (from 1), false if there is none.
func (p *Planned) LoadCard(n int) (LoadCard, bool) {
	if n < 1 || n > len(p.Loads) {
		return LoadCard{}, false
	}
	l := p.Loads[n-1]
	truck := p.Problem.RigOf(l.Truck)
	c := LoadCard{Load: l, Of: len(p.Loads), Payload: truck.Payload, Spare: truck.Tank - l.Syrup,
		Mass: units.Mass(l.Syrup.L() / 1000 * float64(p.Problem.Kitchen.Density))}
	if c.Payload > 0 {
		c.Left = c.Payload - c.Mass
	}
	if l.To != "" {
		for _, o := range p.Loads[n:] {
			if o.Day == l.Day && o.Truck == l.Truck {
				c.Next = o.N
				break
			}
		}
	}
	left := l.Syrup
	for _, s := range l.Stops {
		x := LoadStop{Stop: s, Name: s.Yard}
		for _, f := range s.Fills {
			x.Syrup += f.Volume
		}
		left -= x.Syrup
		x.After = left
		for _, y := range p.Stops {
			if y.Yard.ID == s.Yard {
				x.Access = y.Yard.Access
				if y.Yard.Name != "" {
					x.Name = y.Yard.Name
				}
			}
		}
		c.Yards = append(c.Yards, x)
	}
	return c, true
}
