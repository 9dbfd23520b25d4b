package verify

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/units"
)

var day0 = units.DayOf(2026, time.September, 7)

var nan = units.Volume(math.NaN())

// good is a plan worked out with pencil and paper, every figure below by hand:
// four days, all of them warm; two yards; syrup of 60 % at 1250 kg/m³, so that
// a litre is 0.75 kg of sugar and 0.5 kg of water.
//
//	a1 has 1 L in a feeder of 5, takes 2 L a day and needs 8: 4 L on day 0 fill
//	   it; on the morning of day 2 there is 1 L left (5-2-2) and 3 L more make
//	   4, two days' uptake up to the stop day: 1+4+3 = 8
//	a2 takes 1 L a day, 3 L on day 0
//	b1 gets a feeder full of 5 L of the 6 it needs: 1 L is not served
//	b2 may not be fed: 2 L not served; b3 needs nothing
//
// Load 1: 12 L = 15 kg; 10 + 5 + 12 km; 15 min filling, 10 + 5 + 12 min driving,
// stops of 10 + 2 + 7/6 and 10 + 1 + 5/6 min. Load 2: 3 L, 20 km. Of the 15 L 2
// are in hand; 8 + 2 are mixed that morning, 3 the day before.
func good() (Facts, Schedule) {
	warm, feed := []float64{1, 1, 1, 1}, []bool{true, false, true, false}
	f := Facts{
		Start: day0, Days: 4,
		Hives: []Hive{
			{ID: "a1", Yard: "A", Need: 8, In: 1, Feeder: 5, Uptake: 2},
			{ID: "a2", Yard: "A", Need: 3, Feeder: 4, Room: 3, RoomTold: true, Uptake: 1},
			{ID: "b1", Yard: "B", Need: 6, Feeder: 5, Uptake: 2},
			{ID: "b2", Yard: "B", Need: 2, Feeder: 5, Uptake: 2, Held: "super"},
			{ID: "b3", Yard: "B", Feeder: 5, Uptake: 2},
		},
		Yards: []Yard{
			{ID: "A", Feed: feed, Factor: warm, Stop: day0 + 3, Setup: 600},
			{ID: "B", Feed: feed, Factor: warm, Stop: day0 + 3, Setup: 600},
		},
		Trucks:  []Truck{{Name: "van", Tank: 12, Payload: 15, Pump: 0.1, PerHive: 60, Fill: 900}},
		Kitchen: Kitchen{Strength: 0.6, Density: 1250, Mixer: 8, Mixing: 1800, OnHand: 2, Store: 5},
		Crew:    Crew{PerDay: 7620, Loads: 1},
		Legs: map[Way]Leg{{"", "A"}: {10_000, 600}, {"A", "B"}: {5_000, 300}, {"B", ""}: {12_000, 720}, {"A", ""}: {10_000, 600},
			{"", "B"}: {12_000, 720}, {"B", "A"}: {5_000, 300}},
		Price: Price{SugarPerKg: units.MustMoney("1.00 EUR"), PerKm: units.MustMoney("0.50 EUR"), PerHour: units.MustMoney("20 EUR")},
	}
	s := Schedule{
		Colonies: []Colony{{"a1", "A", 8, 7, 7, 2, 0}, {"a2", "A", 3, 3, 3, 1, 0}, {"b1", "B", 6, 5, 5, 1, 0}, {"b2", "B", 2, 0, 0, 0, 0}, {"b3", "B", 0, 0, 0, 0, 0}},
		Batches:  []Batch{{day0, 8, 6, 4 / 0.9982}, {day0, 2, 1.5, 1 / 0.9982}, {day0 + 1, 3, 2.25, 1.5 / 0.9982}},
		Loads: []Load{
			{N: 1, Day: day0, Truck: "van", Syrup: 12, Dist: 27_000, Time: 4020, Stops: []Call{
				{Yard: "A", Fills: []Fill{{"a1", 4}, {"a2", 3}}, Dist: 10_000, Time: 790},
				{Yard: "B", Fills: []Fill{{"b1", 5}}, Dist: 5_000, Time: 710}}},
			{N: 2, Day: day0 + 2, Truck: "van", Syrup: 3, Dist: 20_000, Time: 2790, Stops: []Call{
				{Yard: "A", Fills: []Fill{{"a1", 3}}, Dist: 10_000, Time: 690}}},
		},
		Unmet: []Short{{"b1", "B", 1}, {"b2", "B", 2}},
		Totals: Totals{Loads: 2, Visits: 3, Fills: 4, Syrup: 15, Dist: 47_000, Time: 6810, Mixing: 5400, Sugar: 9.75, Water: 6.5 / 0.9982,
			Cost: units.MustMoney("101.08 EUR"),
			CostParts: map[string]units.Money{"sugar": units.MustMoney("9.75 EUR"), "km": units.MustMoney("23.50 EUR"),
				"hours": units.MustMoney("37.83 EUR"), "mixing": units.MustMoney("30.00 EUR")}},
		Bounds: Bounds{Loads: 2, Visits: 3, Dist: 23_500, Time: 6105, Gap: Gap{Dist: 0.5, Time: 0.5}},
	}
	return f, s
}

// away has load 2 filled at a store 2 km and 3 min beyond home, 8 km and 8 min
// from A: a minute more of driving than from home, 3 + 8 - 10.
func away(f *Facts, s *Schedule) {
	f.Sources = []Source{{Place: "coop", OnHand: 3}}
	f.Legs[Way{"", "coop"}], f.Legs[Way{"coop", "A"}] = Leg{2000, 180}, Leg{8000, 480}
	l := &s.Loads[1]
	l.From, l.Dist, l.Stops[0].Dist = "coop", 20_000, 8000 // 2 + 8 + 10 km
	l.Time += 180 + 480 - 600
	s.Batches = s.Batches[:2]
	t := &s.Totals
	t.Time, t.Mixing, t.Sugar, t.Water = t.Time+60, 3600, 7.5, 5/0.9982
	t.Cost = units.MustMoney("89.16 EUR") // 7.50 + 23.50 + 38.1667 + 20
	t.CostParts = map[string]units.Money{"sugar": units.MustMoney("7.50 EUR"), "km": units.MustMoney("23.50 EUR"),
		"hours": units.MustMoney("38.17 EUR"), "mixing": units.MustMoney("20.00 EUR")}
	s.Bounds.Time = 5235 // half of 6870 + 3600
}

// gate has work begin at 8, two batches mixed before load 1 leaves at 9, and yard A
// open when it gets there: 9:25.
func gate(f *Facts, s *Schedule) {
	f.Crew.Begins = 8 * 3600
	f.Yards[0].Opens, f.Yards[0].Shuts = 9*3600+25*60, 12*3600
	s.Loads[0].Leave, s.Loads[1].Leave = 9*3600, 9*3600+900
}

func TestGoodPlanIsClean(t *testing.T) {
	f, s := good()
	for _, x := range Plan(&f, &s) {
		t.Error(x)
	}
	for _, change := range []func(*Facts, *Schedule){away, gate} {
		f, s := good()
		change(&f, &s)
		for _, x := range Plan(&f, &s) {
			t.Error(x)
		}
	}
	if x := Plan(&Facts{}, &Schedule{}); x != nil {
		t.Errorf("nothing at all: %v", x)
	}
}

// TestEveryRuleCanBeBroken changes one thing of the good plan at a time, by a
// little, and wants it named by its rule, with the names and figures in say.
func TestEveryRuleCanBeBroken(t *testing.T) {
	seen := map[Rule]bool{}
	for name, c := range map[string]struct {
		rule   Rule
		say    []string
		change func(f *Facts, s *Schedule)
	}{
		"feeder smaller":              {Feeder, []string{"a1 at A", "2026-09-07", "5.00 L in a feeder of 4.99"}, func(f *Facts, s *Schedule) { f.Hives[0].Feeder = 4.99 }},
		"more in the feeder before":   {Feeder, []string{"5.01 L"}, func(f *Facts, s *Schedule) { f.Hives[0].In = 1.01 }},
		"no feeder on":                {Feeder, []string{"b1"}, func(f *Facts, s *Schedule) { f.Hives[2].Feeder = 0 }},
		"needs less":                  {Need, []string{"a2 at A needs 2.99 L and takes 3.00 L"}, func(f *Facts, s *Schedule) { f.Hives[1].Need, s.Colonies[1].Need = 2.99, 2.99 }},
		"feeder counts as need":       {Need, []string{"a1", "8.50"}, func(f *Facts, s *Schedule) { f.Hives[0].In, f.Hives[0].Feeder = 1.5, 9 }},
		"less room":                   {Room, []string{"a2 at A has comb for 2.99 L"}, func(f *Facts, s *Schedule) { f.Hives[1].Room = 2.99 }},
		"no room at all":              {Room, []string{"b1"}, func(f *Facts, s *Schedule) { f.Hives[2].RoomTold = true }},
		"slower bees":                 {Stop, []string{"a1 at A", "2026-09-09", "4.0"}, func(f *Facts, s *Schedule) { f.Hives[0].Uptake = 1.99 }},
		"a cold last day":             {Stop, []string{"a1", "3.9"}, func(f *Facts, s *Schedule) { f.Yards[0].Factor = []float64{1, 1, 1, 0.95} }},
		"an earlier stop day":         {Stop, []string{"stop day 2026-09-09"}, func(f *Facts, s *Schedule) { f.Yards[0].Stop-- }},
		"stop day not known":          {Stop, []string{"load 1", "B"}, func(f *Facts, s *Schedule) { f.Yards[1].Stop = 0 }},
		"a call after the stop day":   {Stop, []string{"load 2 calls at A on 2026-09-09", "2026-09-08"}, func(f *Facts, s *Schedule) { f.Yards[0].Stop = day0 + 1 }},
		"held":                        {Held, []string{"b1 at B may get no syrup (disease) and gets 5.00 L"}, func(f *Facts, s *Schedule) { f.Hives[2].Held = "disease" }},
		"no round on that day":        {Day, []string{"load 2 calls at A on 2026-09-09"}, func(f *Facts, s *Schedule) { f.Yards[0].Feed = []bool{true, true, false, true} }},
		"calendar too short":          {Day, []string{"load 2", "2 days"}, func(f *Facts, s *Schedule) { f.Days = 2 }},
		"a load before the calendar":  {Day, []string{"load 1 goes out on 2026-09-06"}, func(f *Facts, s *Schedule) { s.Loads[0].Day-- }},
		"a batch after the calendar":  {Day, []string{"batch 3"}, func(f *Facts, s *Schedule) { s.Batches[2].Day = day0 + 4 }},
		"smaller tank":                {Tank, []string{"load 1 on 2026-09-07: 12.00 L in a tank of 11.99 L"}, func(f *Facts, s *Schedule) { f.Trucks[0].Tank = 11.99 }},
		"smaller payload":             {Payload, []string{"15.0 kg of syrup where the truck may carry 14.9 kg"}, func(f *Facts, s *Schedule) { f.Trucks[0].Payload = 14.9 }},
		"heavier syrup":               {Payload, nil, func(f *Facts, s *Schedule) { f.Kitchen.Density = 1260 }},
		"a shorter day":               {Work, []string{"on 2026-09-07 2 batches of 30 min are to be mixed, beside the loads there is time for 1"}, func(f *Facts, s *Schedule) { f.Crew.PerDay = 7560 }},
		"no time for the load":        {Work, []string{`on 2026-09-07 truck "van" has 67 min of work and its crew's day has 66`}, func(f *Facts, s *Schedule) { f.Crew.PerDay = 3960 }},
		"nobody there to mix":         {Work, []string{"2026-09-08"}, func(f *Facts, s *Schedule) { f.Crew.Days = []CrewDay{{}, {Off: true}} }},
		"two loads in a day of one":   {Work, []string{"2 loads go out, 1 are allowed"}, func(f *Facts, s *Schedule) { s.Loads[1].Day = day0 }},
		"a slower mixing":             {Work, nil, func(f *Facts, s *Schedule) { f.Kitchen.Mixing, s.Totals.Mixing = 1802, 5406 }},
		"a way not known":             {Road, []string{"load 1 drives from A to B"}, func(f *Facts, s *Schedule) { delete(f.Legs, Way{"A", "B"}) }},
		"no way home":                 {Road, []string{"load 2 drives from A to home"}, func(f *Facts, s *Schedule) { delete(f.Legs, Way{"A", ""}) }},
		"a longer way":                {Road, []string{"from home to A it is 10100 m, the plan says 10000 m"}, func(f *Facts, s *Schedule) { f.Legs[Way{"", "A"}] = Leg{10_100, 600} }},
		"a load's road":               {Road, []string{"load 2", "20000 m", "20010"}, func(f *Facts, s *Schedule) { s.Loads[1].Dist += 10; s.Totals.Dist += 10 }},
		"calls the other way round":   {Road, nil, func(f *Facts, s *Schedule) { slices.Reverse(s.Loads[0].Stops) }},
		"mixed a day later":           {Stock, []string{"2026-09-07 12.00 L are driven out and 10.00 L are mixed"}, func(f *Facts, s *Schedule) { s.Batches[1].Day = day0 + 1 }},
		"less in hand":                {Stock, []string{"11.99 L are mixed"}, func(f *Facts, s *Schedule) { f.Kitchen.OnHand = 1.99 }},
		"mixed for nobody":            {Stock, []string{"0.10 L are mixed that nobody is given"}, func(f *Facts, s *Schedule) { f.Kitchen.OnHand = 2.1 }},
		"smaller mixer":               {Mixer, []string{"batch 1 on 2026-09-07: 8.00 L in a mixer of 7.90 L"}, func(f *Facts, s *Schedule) { f.Kitchen.Mixer = 7.9 }},
		"smaller store":               {Store, []string{"3.00 L are kept overnight on 2026-09-08 in a store of 2.90 L"}, func(f *Facts, s *Schedule) { f.Kitchen.Store = 2.9 }},
		"less sugar":                  {Mass, []string{"batch 1", "5.990 kg of sugar"}, func(f *Facts, s *Schedule) { s.Batches[0].Sugar -= 0.01; s.Totals.Sugar -= 0.01 }},
		"more water":                  {Mass, []string{"batch 2"}, func(f *Facts, s *Schedule) { s.Batches[1].Water += 0.01; s.Totals.Water += 0.01 }},
		"another strength":            {Mass, []string{"61.00 %"}, func(f *Facts, s *Schedule) { f.Kitchen.Strength = 0.61 }},
		"a fill more":                 {Sum, []string{"load 2: its fills come to 3.100 L, the plan says 3.000 L"}, func(f *Facts, s *Schedule) { s.Loads[1].Stops[0].Fills[0].Volume = 3.1 }},
		"a load's time":               {Sum, []string{"load 1: it takes 67.0 min, the plan says 66.0 min"}, func(f *Facts, s *Schedule) { s.Loads[0].Time -= 60; s.Totals.Time -= 60 }},
		"a stop's time":               {Sum, []string{"the stop at B takes 11.8 min"}, func(f *Facts, s *Schedule) { s.Loads[0].Stops[1].Time -= 60 }},
		"another pump":                {Sum, nil, func(f *Facts, s *Schedule) { f.Trucks[0].Pump = 0.08 }},
		"no pump":                     {Sum, nil, func(f *Facts, s *Schedule) { f.Trucks[0].Pump = 0 }},
		"a colony's need":             {Sum, []string{"a1 at A needs 8.00 L, the plan says 7.00 L"}, func(f *Facts, s *Schedule) { s.Colonies[0].Need = 7 }},
		"a colony's sum":              {Sum, []string{"a1 at A gets 7.000 L in 2 fills"}, func(f *Facts, s *Schedule) { s.Colonies[0].Given = 6.9 }},
		"a colony's fills":            {Sum, []string{"in 1,"}, func(f *Facts, s *Schedule) { s.Colonies[0].Fills = 1 }},
		"not all taken":               {Sum, []string{"6.500 L taken"}, func(f *Facts, s *Schedule) { s.Colonies[0].Taken = 6.5 }},
		"loads counted":               {Sum, []string{"the loads of the plan come to 2"}, func(f *Facts, s *Schedule) { s.Totals.Loads, s.Bounds.Loads = 1, 1 }},
		"stops counted":               {Sum, []string{"stops"}, func(f *Facts, s *Schedule) { s.Totals.Visits = 4 }},
		"fills counted":               {Sum, []string{"fills"}, func(f *Facts, s *Schedule) { s.Totals.Fills = 5 }},
		"total litres":                {Sum, []string{"syrup"}, func(f *Facts, s *Schedule) { s.Totals.Syrup += 0.1 }},
		"total road":                  {Sum, []string{"road"}, func(f *Facts, s *Schedule) { s.Totals.Dist += 100 }},
		"total time":                  {Sum, []string{"time"}, func(f *Facts, s *Schedule) { s.Totals.Time += 60 }},
		"total mixing":                {Sum, []string{"mixing"}, func(f *Facts, s *Schedule) { s.Totals.Mixing = 3600 }},
		"total sugar":                 {Sum, []string{"sugar"}, func(f *Facts, s *Schedule) { s.Totals.Sugar += 0.01 }},
		"total water":                 {Sum, []string{"water"}, func(f *Facts, s *Schedule) { s.Totals.Water += 0.01 }},
		"cost":                        {Sum, []string{"the cost comes to 101.08"}, func(f *Facts, s *Schedule) { s.Totals.Cost = units.MustMoney("101.18 EUR") }},
		"part of cost":                {Sum, []string{"the cost of km comes to 23.5"}, func(f *Facts, s *Schedule) { s.Totals.CostParts["km"] = units.MustMoney("23.40 EUR") }},
		"another currency":            {Sum, []string{"USD"}, func(f *Facts, s *Schedule) { s.Totals.Cost = units.MustMoney("101.08 USD") }},
		"cost without a price":        {Sum, []string{"no price is told"}, func(f *Facts, s *Schedule) { f.Price.PerKm = units.Money{} }},
		"cost left out":               {Sum, nil, func(f *Facts, s *Schedule) { s.Totals.Cost, s.Totals.CostParts = units.Money{}, nil }},
		"currencies added up":         {Sum, []string{"cannot be added up"}, func(f *Facts, s *Schedule) { f.Price.PerKm = units.MustMoney("0.50 USD") }},
		"a need dropped":              {Unmet, []string{"b1 at B lacks 1.000 L of its 6.000 L, the plan lists 0.000 L"}, func(f *Facts, s *Schedule) { s.Unmet = s.Unmet[1:] }},
		"a held hive dropped":         {Unmet, []string{"b2 at B lacks 2.000 L"}, func(f *Facts, s *Schedule) { s.Unmet = s.Unmet[:1] }},
		"a need made small":           {Unmet, []string{"0.950 L"}, func(f *Facts, s *Schedule) { s.Unmet[0].Volume = 0.95 }},
		"a need made up":              {Unmet, []string{"b3"}, func(f *Facts, s *Schedule) { s.Unmet = append(s.Unmet, Short{"b3", "B", 0.1}) }},
		"unmet twice":                 {Unmet, []string{"b1 at B is listed as not served twice"}, func(f *Facts, s *Schedule) { s.Unmet = append(s.Unmet, s.Unmet[0]) }},
		"unmet without litres":        {Unmet, []string{"b3"}, func(f *Facts, s *Schedule) { s.Unmet = append(s.Unmet, Short{"b3", "B", 0}) }},
		"bound of loads":              {Bound, []string{"less loads than 3, and this one has 2"}, func(f *Facts, s *Schedule) { s.Bounds.Loads = 3 }},
		"bound of stops":              {Bound, []string{"less stops than 4"}, func(f *Facts, s *Schedule) { s.Bounds.Visits = 4 }},
		"bound of road":               {Bound, []string{"48100 m"}, func(f *Facts, s *Schedule) { s.Bounds.Dist = 48_100 }},
		"bound of work":               {Bound, []string{"less work than 13000 s, and this one has 12210 s"}, func(f *Facts, s *Schedule) { s.Bounds.Time = 13_000 }},
		"a gap made small":            {Bound, []string{"0.5000 above its bound, the plan says 0.4900"}, func(f *Facts, s *Schedule) { s.Bounds.Gap.Dist = 0.49 }},
		"a gap of loads":              {Bound, nil, func(f *Facts, s *Schedule) { s.Bounds.Gap.Loads = 0.1 }},
		"a truck that may not go out": {Work, []string{"2026-09-09", "its crew's day has 0"}, func(f *Facts, s *Schedule) { f.Trucks[0].Out = []bool{true, true, false, true} }},
		"a truck told no day of":      {Work, []string{"2026-09-09"}, func(f *Facts, s *Schedule) { f.Trucks[0].Out = []bool{true, true} }},
		"a truck's crew":              {Work, []string{"2026-09-07"}, func(f *Facts, s *Schedule) { f.Trucks[0].PerDay = 4000 }},
		"a short day":                 {Work, []string{"2026-09-09"}, func(f *Facts, s *Schedule) { f.Crew.Days = []CrewDay{{}, {}, {PerDay: 2700}} }},
		"a truck's loads":             {Work, []string{`truck "van" drives 2 loads on 2026-09-07, 1 are allowed`}, func(f *Facts, s *Schedule) { f.Crew.Loads, f.Trucks[0].Loads, s.Loads[1].Day = 0, 1, day0 }},
		"fewer hands": {Sum, []string{"load 2"}, func(f *Facts, s *Schedule) {
			f.Crew.Hands, f.Trucks[0].Shared, f.Crew.Days = 2, 30, []CrewDay{{}, {}, {Hands: 1}}
		}},
		"syrup from nowhere":        {Row, []string{`load 2 is filled at "coop"`}, func(f *Facts, s *Schedule) { s.Loads[1].From = "coop" }},
		"to nowhere":                {Row, []string{`load 2 ends at "coop"`}, func(f *Facts, s *Schedule) { s.Loads[1].To = "coop" }},
		"too little there":          {Stock, []string{"3.00 L are taken from coop, which has 2.90 L"}, func(f *Facts, s *Schedule) { away(f, s); f.Sources[0].OnHand = 2.9 }},
		"not there yet":             {Stock, []string{"load 2 is filled at coop on 2026-09-09, and its syrup is there from 2026-09-10"}, func(f *Facts, s *Schedule) { away(f, s); f.Sources[0].From = day0 + 3 }},
		"mixed though filled there": {Stock, []string{"3.00 L are mixed that nobody is given"}, func(f *Facts, s *Schedule) { b := s.Batches; away(f, s); s.Batches = b }},
		"a longer filling there":    {Sum, []string{"load 2"}, func(f *Facts, s *Schedule) { away(f, s); f.Sources[0].Fill = 1000 }},
		"no way there":              {Road, []string{"load 2 drives from home to coop"}, func(f *Facts, s *Schedule) { away(f, s); delete(f.Legs, Way{"", "coop"}) }},
		"left there overnight":      {Road, []string{`truck "van" is left at coop on the evening of 2026-09-09`}, func(f *Facts, s *Schedule) { away(f, s); s.Loads[1].To = "coop" }},
		"sent there, filled at home": {Road, []string{"load 2 is filled at home, when its truck is sent to coop"}, func(f *Facts, s *Schedule) {
			away(f, s)
			f.Crew.Loads, s.Loads[0].To, s.Loads[1].Day, s.Loads[1].From = 0, "coop", day0, ""
		}},
		"a source that is a yard": {Row, []string{`"A"`}, func(f *Facts, s *Schedule) { away(f, s); f.Sources[0].Place = "A" }},
		"a gate that shuts early": {Gate, []string{"load 1 is done at A at 9:38, and the gate shuts at 9:37"}, func(f *Facts, s *Schedule) { gate(f, s); f.Yards[0].Shuts = 9*3600 + 37*60 }},
		"a gate that opens late":  {Sum, []string{"load 1: it takes 67.3 min, the plan says 67.0"}, func(f *Facts, s *Schedule) { gate(f, s); f.Yards[0].Opens = 9*3600 + 25*60 + 20 }},
		"out before work begins":  {Gate, []string{"load 1 leaves at 9:00 on 2026-09-07, when its crew is free from 9:01"}, func(f *Facts, s *Schedule) { gate(f, s); f.Crew.Begins += 3660 }},
		"home too late": {Gate, []string{`truck "van" is home at 10:08 on 2026-09-07, and its crew's day ends at 10:07`}, func(f *Facts, s *Schedule) {
			gate(f, s)
			s.Loads[0].Leave += 60
			f.Yards[0].Opens = 0
		}},
		"in two places at once": {Gate, []string{"load 2 leaves at 10:06", "free from 10:07"}, func(f *Facts, s *Schedule) {
			gate(f, s)
			f.Crew.Loads, s.Loads[1].Day, s.Loads[1].Leave = 0, day0, 10*3600+6*60
		}},
		"runs empty unsaid": {Empty, []string{"a1 at A", "runs so on 1 days", "says on 0"}, func(f *Facts, s *Schedule) { f.Hives[0].Never, f.Hives[0].Uptake = true, 2.6 }},
		"said to run empty": {Empty, []string{"runs so on 0 days", "says on 1"}, func(f *Facts, s *Schedule) { f.Hives[0].Never, s.Colonies[0].Dry = true, 1 }},
		"out before it is mixed": {Ready, []string{"load 1 leaves on 2026-09-07 when 0 batches can be mixed", "12.00 L, which takes 2"}, func(f *Facts, s *Schedule) {
			gate(f, s)
			s.Loads[0].Leave = 8 * 3600
		}},
		"out when one is mixed": {Ready, []string{"load 1 leaves on 2026-09-07 when 1 batches can be mixed"}, func(f *Facts, s *Schedule) {
			gate(f, s)
			s.Loads[0].Leave = 8*3600 + 1900
		}},
		"mixed by another crew meanwhile": {Ready, []string{"load 1 leaves on 2026-09-07 when 0 batches can be mixed"}, func(f *Facts, s *Schedule) {
			f.Crew.PerDay = 4020
			f.Trucks = append(f.Trucks, Truck{Name: "second", PerDay: 3600})
		}},
		"a hive left out":              {Row, []string{"the plan does not speak of b3 at B"}, func(f *Facts, s *Schedule) { s.Colonies = s.Colonies[:4] }},
		"a hive twice":                 {Row, []string{"b3 at B is in the plan twice"}, func(f *Facts, s *Schedule) { s.Colonies = append(s.Colonies, s.Colonies[4]) }},
		"a hive nobody has":            {Row, []string{"x at B"}, func(f *Facts, s *Schedule) { s.Colonies = append(s.Colonies, Colony{"x", "B", 0, 0, 0, 0, 0}) }},
		"a hive in another yard":       {Row, []string{`load 1 fills "b1" at A`}, func(f *Facts, s *Schedule) { s.Loads[0].Stops[0].Fills[1].Colony = "b1" }},
		"a fill of nothing":            {Row, []string{"gives a2 0 L"}, func(f *Facts, s *Schedule) { s.Loads[0].Stops[0].Fills[1].Volume = 0 }},
		"a fill that is no number":     {Row, []string{"gives a2 NaN L"}, func(f *Facts, s *Schedule) { s.Loads[0].Stops[0].Fills[1].Volume = nan }},
		"filled twice on a day":        {Row, []string{"a2 at A is filled twice on 2026-09-07"}, func(f *Facts, s *Schedule) { s.Loads[0].Stops[0].Fills = []Fill{{"a1", 4}, {"a2", 1}, {"a2", 2}} }},
		"a yard nobody has":            {Row, []string{`yard "C"`}, func(f *Facts, s *Schedule) { s.Loads[1].Stops[0].Yard = "C" }},
		"a stop without fills":         {Row, []string{"fills nothing"}, func(f *Facts, s *Schedule) { s.Loads[1].Stops[0].Fills = nil }},
		"a load without stops":         {Row, []string{"load 2 on 2026-09-09 calls at no yard"}, func(f *Facts, s *Schedule) { s.Loads[1].Stops = nil }},
		"a truck nobody has":           {Row, []string{`truck "lorry"`}, func(f *Facts, s *Schedule) { s.Loads[1].Truck = "lorry" }},
		"two loads of one number":      {Row, []string{"two loads of number 1"}, func(f *Facts, s *Schedule) { s.Loads[1].N = 1 }},
		"a batch of nothing":           {Row, []string{"batch 4"}, func(f *Facts, s *Schedule) { s.Batches = append(s.Batches, Batch{Day: day0}) }},
		"facts with a hive twice":      {Row, []string{"a1 twice"}, func(f *Facts, s *Schedule) { f.Hives = append(f.Hives, f.Hives[0]) }},
		"facts with a yard twice":      {Row, []string{`yard "A" twice`}, func(f *Facts, s *Schedule) { f.Yards = append(f.Yards, f.Yards[0]) }},
		"facts with a truck twice":     {Row, []string{`truck "van" twice`}, func(f *Facts, s *Schedule) { f.Trucks = append(f.Trucks, f.Trucks[0]) }},
		"facts with a hive in no yard": {Row, []string{`yard "C"`}, func(f *Facts, s *Schedule) { f.Hives[4].Yard = "C" }},
	} {
		f, s := good()
		c.change(&f, &s)
		seen[c.rule] = true
		faults := Plan(&f, &s)
		k := slices.IndexFunc(faults, func(x Fault) bool {
			return x.Rule == c.rule && !slices.ContainsFunc(c.say, func(w string) bool { return !strings.Contains(x.Say, w) })
		})
		if k < 0 {
			t.Errorf("%s: no fault of rule %q that says %q, but %v", name, c.rule, c.say, faults)
		}
	}
	for _, r := range []Rule{Row, Day, Feeder, Need, Room, Stop, Held, Tank, Payload, Work, Gate, Road, Stock, Mixer, Store, Mass, Sum, Unmet, Bound, Ready, Empty} {
		if !seen[r] {
			t.Errorf("nothing breaks the rule %q", r)
		}
	}
}

// TestWhatIsAllowed: nearness is no fault where a rule has an edge.
func TestWhatIsAllowed(t *testing.T) {
	for name, change := range map[string]func(f *Facts, s *Schedule){
		"no payload told":             func(f *Facts, s *Schedule) { f.Trucks[0].Payload = 0 },
		"any size of batch":           func(f *Facts, s *Schedule) { f.Kitchen.Mixer = 0 },
		"no store told":               func(f *Facts, s *Schedule) { f.Kitchen.Store = 0 },
		"loads as time allows":        func(f *Facts, s *Schedule) { f.Crew.Loads = 0 },
		"a stop day past the end":     func(f *Facts, s *Schedule) { f.Yards[1].Stop += 100 },
		"ten millilitres not served":  func(f *Facts, s *Schedule) { s.Unmet[0].Volume = 1.009 },
		"a rounded metre and a blink": func(f *Facts, s *Schedule) { s.Loads[0].Dist++; s.Loads[0].Time += 0.9 },
		"twice the hands, half the lid": func(f *Facts, s *Schedule) {
			f.Crew.Days, f.Trucks[0].Shared, f.Trucks[0].PerHive = []CrewDay{{Hands: 2}, {}, {Hands: 2}}, 60, 90 // 30 + 60/2
		},
		"two crews to mix": func(f *Facts, s *Schedule) {
			f.Crew.PerDay = 5820 // half an hour before the load, one batch each
			f.Trucks = append(f.Trucks, Truck{Name: "second", PerDay: 3600})
		},
		"a feeder never empty": func(f *Facts, s *Schedule) { f.Hives[0].Never, f.Hives[1].Never, f.Hives[2].Never = true, true, true },
		"filled on the way": func(f *Facts, s *Schedule) { // coop is 1 km and a minute from B, and B 12 km and 12 min from home
			away(f, s)
			f.Legs[Way{"B", "coop"}] = Leg{1000, 60}
			f.Crew.Loads, f.Crew.PerDay = 0, 10_000
			s.Loads[0].To, s.Loads[1].Day = "coop", day0
			s.Loads[0].Dist, s.Loads[0].Time = 15_000, 3300
			s.Loads[1].Dist, s.Loads[1].Time = 19_000, 2730 // 1 + 8 + 10 km; 120 s less than from home
			f.Hives[0].Feeder = 8                           // its second fill comes the same day now
			s.Loads[1].Stops[0].Fills[0].Colony = "a3"
			f.Hives[0].Need, f.Hives[0].In = 4, 0
			f.Hives = append(f.Hives, Hive{ID: "a3", Yard: "A", Need: 3, Feeder: 5, Uptake: 2})
			s.Colonies[0] = Colony{"a1", "A", 4, 4, 4, 1, 0}
			s.Colonies = append(s.Colonies, Colony{"a3", "A", 3, 3, 3, 1, 0})
			t := &s.Totals
			t.Dist, t.Time = 34_000, 6030
			s.Bounds = Bounds{Gap: Gap{1, 1, 1, 1}}
			f.Price = Price{}
			t.Cost, t.CostParts = units.Money{}, nil
		},
		"a gate open all day": func(f *Facts, s *Schedule) { gate(f, s); f.Yards[0].Shuts = 0 },
		"rows in another order": func(f *Facts, s *Schedule) {
			slices.Reverse(f.Hives)
			slices.Reverse(f.Yards)
			slices.Reverse(s.Colonies)
			slices.Reverse(s.Loads)
			slices.Reverse(s.Batches)
			slices.Reverse(s.Unmet)
		},
	} {
		f, s := good()
		change(&f, &s)
		for _, x := range Plan(&f, &s) {
			t.Errorf("%s: %v", name, x)
		}
	}
}

// TestFillComesFirst: on the last day a fill is taken that day, not the next.
func TestFillComesFirst(t *testing.T) {
	f, s := good()
	f.Days, f.Yards[0].Factor, f.Yards[0].Feed = 3, []float64{1, 1, 1}, []bool{true, false, true}
	f.Yards[0].Stop = day0 + 2
	f.Hives[0].Need, s.Colonies[0].Need = 6, 6
	s.Loads[1].Stops[0].Fills[0].Volume = 1 // 5-2-2 and 1 more: 2 L, that day's uptake
	if k := slices.IndexFunc(Plan(&f, &s), func(x Fault) bool { return x.Rule == Stop || x.Rule == Feeder || x.Rule == Need }); k >= 0 {
		t.Errorf("%v", Plan(&f, &s))
	}
	s.Loads[1].Stops[0].Fills[0].Volume = 1.01
	if !slices.ContainsFunc(Plan(&f, &s), func(x Fault) bool { return x.Rule == Stop }) {
		t.Error("more than the last day's uptake is not named")
	}
}

// BenchmarkPlan100k works through the feeding of 100,000 hives in 4,000 yards.
func BenchmarkPlan100k(b *testing.B) {
	f := Facts{Start: day0, Days: 30, Trucks: []Truck{{Name: "van", Tank: 200, Pump: 1, PerHive: 1}}, Kitchen: Kitchen{Strength: 0.6, Density: 1250}, Legs: map[Way]Leg{}}
	var s Schedule
	f.Crew.PerDay = 1e9
	warm, feed := make([]float64, f.Days), make([]bool, f.Days)
	for d := range warm {
		warm[d], feed[d] = 1, true
	}
	for y := range 4000 {
		id := fmt.Sprintf("y%d", y)
		f.Yards = append(f.Yards, Yard{ID: id, Feed: feed, Factor: warm, Stop: day0 + 29})
		f.Legs[Way{"", id}], f.Legs[Way{id, ""}] = Leg{1000, 60}, Leg{1000, 60}
		for r := range 2 {
			l := Load{N: 2*y + r + 1, Day: day0 + units.Day(y%15+10*r), Truck: "van", Dist: 2000, Syrup: 125, Time: 120 + 25 + 125}
			c := Call{Yard: id, Dist: 1000, Time: 150}
			for h := range 25 {
				c.Fills = append(c.Fills, Fill{fmt.Sprintf("%s-%d", id, h), 5})
			}
			l.Stops = []Call{c}
			s.Loads = append(s.Loads, l)
			s.Totals.Dist, s.Totals.Time, s.Totals.Syrup = s.Totals.Dist+l.Dist, s.Totals.Time+l.Time, s.Totals.Syrup+l.Syrup
			s.Totals.Fills += 25
		}
		for h := range 25 {
			hive := fmt.Sprintf("%s-%d", id, h)
			f.Hives = append(f.Hives, Hive{ID: hive, Yard: id, Need: 10, Feeder: 7, Uptake: 1})
			s.Colonies = append(s.Colonies, Colony{hive, id, 10, 10, 10, 2, 0})
		}
	}
	s.Totals.Loads, s.Totals.Visits = len(s.Loads), len(s.Loads)
	f.Kitchen.OnHand = s.Totals.Syrup
	s.Bounds.Gap = Gap{1, 1, 1, 1}
	for b.Loop() {
		if x := Plan(&f, &s); len(x) > 0 {
			b.Fatal(x[0])
		}
	}
}
