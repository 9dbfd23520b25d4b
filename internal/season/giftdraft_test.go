package season_test

import (
	"reflect"
	"testing"

	"larder/internal/hive"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

func TestDraftGifts(t *testing.T) {
	sheet := season.GiftSheet{Feed: ledger.Syrup, FeedUnit: "US gal", MassUnit: "lb", Batch: "b26-01", Plan: "p1", Locale: units.Locale{Decimal: '.', System: units.US}}
	gal := func(as string, x float64) units.Entered[units.Volume] {
		return units.Entered[units.Volume]{Q: units.Volume(x) * units.USGallon, As: as}
	}
	given := func(v units.Entered[units.Volume]) ledger.Given {
		return ledger.Given{Colony: "m1", Feed: ledger.Syrup, Volume: v, Batch: "b26-01", Plan: "p1"}
	}
	plan := 2 * units.USGallon
	for _, c := range []struct {
		name string
		all  bool
		feed ledger.Feed
		in   season.GiftCells
		want []any
		bad  string
	}{
		{"left as shown is no gift", false, "", season.GiftCells{Planned: plan, Was: "2.0", Given: "2.0"}, nil, ""},
		{"ticked", false, "", season.GiftCells{Planned: plan, Was: "2.0", Given: "2.0", Tick: true}, []any{given(units.In(plan))}, ""},
		{"all", true, "", season.GiftCells{Planned: plan, Was: "2.0", Given: "2.0"}, []any{given(units.In(plan))}, ""},
		{"all does not feed those without a plan", true, "", season.GiftCells{}, nil, ""},
		{"another amount", true, "", season.GiftCells{Planned: plan, Was: "2.0", Given: "1.5"}, []any{given(gal("1.5 US gal", 1.5))}, ""},
		{"its own unit", false, "", season.GiftCells{Given: "3 qt"}, []any{given(gal("3 US qt", 0.75))}, ""},
		{"cleared", false, "", season.GiftCells{Planned: plan, Was: "2.0"}, nil, ""},
		{"ticked without a plan", false, "", season.GiftCells{Tick: true}, nil, season.CellGiven},
		{"not fed", true, "", season.GiftCells{Planned: plan, Was: "2.0", Given: "2.0", Why: "wasps"}, []any{ledger.NotFed{Colony: "m1", Why: "wasps", Plan: "p1"}}, ""},
		{"full, seen", false, "", season.GiftCells{Left: "1 L", Why: "full", Holds: 7.5}, []any{ledger.Left{Colony: "m1", Volume: units.In(units.Volume(1))}, ledger.NotFed{Colony: "m1", Why: "full", Plan: "p1"}}, ""},
		{"full, not seen", false, "", season.GiftCells{Why: "full", Holds: 7.5}, []any{ledger.NotFed{Colony: "m1", Why: "full", Plan: "p1"}, ledger.Left{Colony: "m1", Volume: units.In(units.Volume(7.5))}}, ""},
		{"no such reason", false, "", season.GiftCells{Why: "because"}, nil, season.CellWhy},
		{"fed and not fed", false, "", season.GiftCells{Planned: plan, Was: "2.0", Given: "1.0", Why: "wasps"}, nil, season.CellWhy},
		{"left before given", false, "", season.GiftCells{Left: "0", Given: "1"}, []any{ledger.Left{Colony: "m1", Volume: gal("0 US gal", 0)}, given(gal("1 US gal", 1))}, ""},
		{"left alone", false, "", season.GiftCells{Left: "1 L"}, []any{ledger.Left{Colony: "m1", Volume: units.In(units.Volume(1))}}, ""},
		{"a bad amount takes nothing of the row", false, "", season.GiftCells{Left: "0", Given: "lots"}, nil, season.CellGiven},
		{"too much", false, "", season.GiftCells{Given: "100"}, nil, season.CellGiven},
		{"a comma forgotten", false, "", season.GiftCells{Given: "38 L", Holds: 3.8}, nil, season.CellGiven},
		{"filled again at once", false, "", season.GiftCells{Given: "7.6 L", Holds: 3.8}, []any{given(units.In(units.Volume(7.6)))}, ""},
		{"more left than it can hold", false, "", season.GiftCells{Left: "20 L", Holds: 3.8}, nil, season.CellLeft},
		{"zero", false, "", season.GiftCells{Given: "0"}, nil, season.CellGiven},
		{"bad left", false, "", season.GiftCells{Left: "half"}, nil, season.CellLeft},
		{"fondant in pounds", false, ledger.Fondant, season.GiftCells{Given: "5"}, []any{ledger.Given{Colony: "m1", Feed: ledger.Fondant, Mass: units.Entered[units.Mass]{Q: 5 * units.Pound, As: "5 lb"}}}, ""},
		{"frames from another", false, ledger.Comb, season.GiftCells{Given: "2 kg", From: "m3"}, []any{ledger.Given{Colony: "m1", Feed: ledger.Comb, Mass: units.In(units.Mass(2)), From: "m3"}}, ""},
		{"frames from itself", false, ledger.Comb, season.GiftCells{Given: "2 kg", From: "m1"}, nil, season.CellFrom},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := sheet
			s.All = c.all
			if c.feed != "" {
				s.Feed = c.feed
			}
			c.in.Colony = "m1"
			d := season.NewJournal().Now().DraftGifts(s, []season.GiftCells{c.in})[0]
			if len(d.Bodies)+len(c.want) > 0 && !reflect.DeepEqual(d.Bodies, c.want) {
				t.Errorf("facts %+v\nwant  %+v", d.Bodies, c.want)
			}
			if c.bad == "" && len(d.Trouble) > 0 || c.bad != "" && (len(d.Trouble) != 1 || d.Trouble[0].Cell != c.bad) {
				t.Errorf("trouble %+v", d.Trouble)
			}
		})
	}
}

// The sizes in which feeders of a kind are made stand in the table of feeders:
// frame feeders of 3.8 to 7.6 L, round ones of 1 to 6 L, trays up to 15 L.
// What is more than the feeder holds is told to be asked about, and kept with the
// rest; a size as it is printed is none, though the table has it in litres.
func TestOverFull(t *testing.T) {
	sheet := season.GiftSheet{Feed: ledger.Syrup, FeedUnit: "US qt", MassUnit: "lb", Locale: units.Locale{Decimal: '.', System: units.US}}
	for _, c := range []struct {
		given, left string
		feed        ledger.Feed
		holds       units.Volume
		want        []string
	}{
		{"16", "", ledger.Syrup, 15.14, nil},
		{"17", "", ledger.Syrup, 15.14, []string{season.CellGiven}},
		{"4 US gal", "3", ledger.Syrup, 15.14, nil},
		{"8", "5", ledger.Syrup, 3.785, []string{season.CellLeft, season.CellGiven}},
		{"8", "5", ledger.Syrup, 0, nil}, // what it holds is not known
		{"8", "", ledger.Fondant, 1, nil},
	} {
		sheet.Feed = c.feed
		d := new(season.State).DraftGifts(sheet, []season.GiftCells{{Colony: "m1", Given: c.given, Left: c.left, Holds: c.holds}})[0]
		var got []string
		for _, f := range d.Over {
			got = append(got, f.Cell)
		}
		if len(d.Trouble) > 0 || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%+v: %v %v", c, got, d.Trouble)
		}
	}
}

func TestFeederSizes(t *testing.T) {
	deep, err := hive.ParseStack("lang10-deep")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		feeder string
		l      units.Volume
		ok     bool
	}{{"frame", 3.8, true}, {"frame", 7.6, true}, {"frame", 38, false}, {"rapid", 6, true}, {"tray-2", 13, true}, {"tray-2", 130, false}, {"pail", 7.6, true}, {"pail", 76, false}, {"none such", 500, true}} {
		if err := season.CheckFeederSize(deep, c.feeder, c.l); (err == nil) != c.ok {
			t.Errorf("%s of %v L: %v", c.feeder, c.l, err)
		}
	}
}

func TestStruckAndFormerGiftsStayReadable(t *testing.T) {
	s := newSmall(t)
	wrong := s.add(2, syrupTo("m1", 40))
	right := s.add(2, syrupTo("m1", 4))
	s.facts[len(s.facts)-1].Replaces = wrong
	gone := s.add(3, ledger.Left{Colony: "m2", Volume: litres(1)})
	s.add(4, season.Strike{Fact: gone, Why: "wrong hive"})
	j := s.journal(t)
	if f := j.Former(right); len(f) != 1 || f[0].Fact != wrong || f[0].Volume.Q != 40 || f[0].Colony != "m1" {
		t.Errorf("former %+v", f)
	}
	if f := j.Former(gone); len(f) != 0 {
		t.Errorf("former of one never put right: %+v", f)
	}
	struck := j.StruckGifts(season.GiftFilter{})
	if len(struck) != 2 || struck[0].Fact != gone || struck[1].Fact != wrong {
		t.Errorf("struck %+v", struck)
	}
	if len(j.StruckGifts(season.GiftFilter{Colony: "m1"})) != 1 {
		t.Error("the filter does not hold for struck entries")
	}
}
