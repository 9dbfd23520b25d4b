package season

import (
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/units"
)

// Truck is a further truck with a tank of its own, and a crew to drive it. The
// first is told by the settings rig and crew; a Truck called as rig.truck stands
// in its place. Zero fields are as with the first.
type Truck struct {
	Name    string         `json:"name,omitzero"`
	Tank    units.Volume   `json:"tank,omitzero"`     // usable
	Payload units.Mass     `json:"payload,omitzero"`  // as syrup; 0 = not told
	Pump    units.Flow     `json:"pump,omitzero"`     // at the nozzle
	PerHive units.Duration `json:"per_hive,omitzero"` // lid to lid, for the people at work
	Filling units.Duration `json:"filling,omitzero"`
	PerDay  units.Duration `json:"per_day,omitzero"`
	Loads   int            `json:"loads,omitzero"` // most in a day
	Gone    bool           `json:"gone,omitzero"`  // no longer used
}

// WorkingDay is a day of work unlike the others: helpers come, there is little
// time, or nobody works.
type WorkingDay struct {
	Day    units.Day      `json:"day,omitzero"`
	PerDay units.Duration `json:"per_day,omitzero"` // 0 = as usual
	People int            `json:"people,omitzero"`  // in each crew; 0 = as usual
	Off    bool           `json:"off,omitzero"`
	Note   string         `json:"note,omitzero"`
}

// mostTruck is the most that can be of each: beyond it a figure is a slip of the
// pen.
var mostTruck = Truck{Tank: 20000, Payload: 30000, PerHive: 120 * units.Minute, Filling: 600 * units.Minute, PerDay: 24 * units.Hour, Loads: 50}

// mostPeople is the most in one crew.
const mostPeople = 12

// needTank wants the tank of a truck in use told.
func needTank(t Truck) error {
	if t.Tank <= 0 && !t.Gone {
		return fault.New(fault.Missing, "tank", "it is not told what the tank holds").WithHint("what really comes out of it, for example 40 US gal")
	}
	return nil
}

func checkTruck(t Truck) error {
	return first(needName("truck", t.Name), needTank(t), between("tank", t.Tank.L(), 0, mostTruck.Tank.L()), between("payload", t.Payload.Kg(), 0, mostTruck.Payload.Kg()), notNegative("pump", float64(t.Pump)),
		between("per hive", t.PerHive.Min(), 0, mostTruck.PerHive.Min()), between("filling", t.Filling.Min(), 0, mostTruck.Filling.Min()), between("per day", t.PerDay.Min(), 0, mostTruck.PerDay.Min()), between("loads", float64(t.Loads), 0, float64(mostTruck.Loads)))
}

func checkWorkingDay(d WorkingDay) error {
	if d.Day == 0 {
		return fault.New(fault.Missing, "day", "it is not said which day")
	}
	return first(between("per day", d.PerDay.Min(), 0, mostTruck.PerDay.Min()), between("people", float64(d.People), 0, mostPeople))
}

// Trucks lists the further trucks in use, by name.
func (st *State) Trucks() []Truck {
	var out []Truck
	for _, t := range sorted(st.trucks) {
		if !t.Gone {
			out = append(out, t)
		}
	}
	return out
}

// WorkingDays lists the days unlike the others, by day.
func (st *State) WorkingDays() []WorkingDay { return sorted(st.workdays) }

// fleet puts the further trucks beside the first. Without a tank of its own the
// first is left out where there are others.
func (b *bench) fleet(first feeding.Rig, lag units.Duration) []feeding.Rig {
	var out []feeding.Rig
	own := first.Tank > 0
	for _, t := range b.st.Trucks() {
		r := feeding.Rig{Truck: t.Name, Tank: t.Tank, Payload: t.Payload, Pump: first.Pump, PerHive: first.PerHive, Shared: first.Shared, Fill: first.Fill, PerDay: t.PerDay, LoadsPerDay: t.Loads}
		if t.Pump > 0 {
			r.Pump = t.Pump
		}
		if t.PerHive > 0 {
			r.Shared = shared(t.PerHive, b.st.Settings.People)
			r.PerHive = r.Shared + lag
		}
		if t.Filling > 0 {
			r.Fill = t.Filling
		}
		out = append(out, r)
		own = own && t.Name != first.Truck
	}
	if own || len(out) == 0 {
		out = append([]feeding.Rig{first}, out...)
	}
	return out
}

// crewDays spreads the days unlike the others over the calendar; nil without.
func (b *bench) crewDays(start units.Day, days int) []feeding.CrewDay {
	var out []feeding.CrewDay
	for _, d := range b.st.WorkingDays() {
		if k := int(d.Day - start); k >= 0 && k < days {
			if out == nil {
				out = make([]feeding.CrewDay, days)
			}
			out[k] = feeding.CrewDay{PerDay: d.PerDay, Hands: d.People, Off: d.Off}
		}
	}
	return out
}
