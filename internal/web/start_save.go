package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// saveStartPlace keeps units, language, zone and home, and carries winter and
// stop day on to the yards.
func (s *Server) saveStartPlace(w http.ResponseWriter, r *http.Request) {
	p := startPlacePage{startBase: s.startBase(r, 1)}
	f := r.PostFormValue
	p.Units, p.Place, p.Winter, p.Stop = f("units"), strings.TrimSpace(f("place")), f("winter"), strings.TrimSpace(f("stop"))
	if pick := f("pick"); pick != "" {
		p.Place = pick
	}
	set := map[string]string{"house.units": p.Units}
	if p.Language != "" {
		set["house.language"] = p.Language
	}
	if _, err := time.LoadLocation(f("zone")); err == nil && f("zone") != "" && f("zone") != "Local" {
		set["house.zone"] = f("zone")
	}
	var y apiary.Yard
	if p.Place != "" {
		at, choices, err := readPlace(p.Place)
		if err != nil {
			p.Choices = choices
			p.trouble(s.troubleOf(&p.Base, err, "place"))
		} else {
			y.HasPlace, y.Lat, y.Lon = true, at.Lat, at.Lon
			set["home.lat"], set["home.lon"] = strconv.FormatFloat(at.Lat, 'f', -1, 64), strconv.FormatFloat(at.Lon, 'f', -1, 64)
		}
	}
	if len(p.Trouble) == 0 {
		s.winterAndStop(&p, &y)
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, p.Screen, &p)
		return
	}
	bodies := s.changed(set, []string{"house.units", "house.language", "house.zone", "home.lat", "home.lon"})
	bodies = append(bodies, s.yardsAtHome(y)...)
	act, err := s.write(r.Context(), "start.place", bodies)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/start/hives?"+url.Values{"winter": {string(y.Climate)}, "stop": {y.Stop.String()}, "place": {p.Place}}.Encode(), act)
}

// winterAndStop works out the class of winter and the stop day where they were
// not told.
func (s *Server) winterAndStop(p *startPlacePage, y *apiary.Yard) {
	s.house.view(func(st *season.State, at units.Moment) {
		figs, _ := st.Settings.FigureSet()
		y.Climate = apiary.Climate(p.Winter)
		if y.Climate == "" {
			err := error(fault.New(fault.Missing, "", "without a place the class of winter is not known").WithHint("choose one, or give the place"))
			if y.HasPlace {
				y.Climate, _, err = season.ClimateNear(y.Lat, y.Lon, figs)
			}
			if err != nil {
				p.trouble(s.troubleOf(&p.Base, err, "winter"))
				return
			}
		}
		var err error
		if p.Stop != "" { // else it is by the weather, or the usual one of that class
			y.Stop, err = season.ReadComingDay(p.Stop, at.Day())
		}
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, "stop"))
		}
	})
}

// yardsAtHome puts the yards that the first run made where the place is now:
// those that stand at the home the book has so far, or nowhere.
func (s *Server) yardsAtHome(y apiary.Yard) []any {
	var out []any
	s.house.view(func(st *season.State, _ units.Moment) {
		for _, old := range st.Yards() {
			home := st.Settings.HasHome && old.HasPlace && old.Lat == st.Settings.HomeLat && old.Lon == st.Settings.HomeLon
			if old.Closed || old.HasPlace && !home {
				continue
			}
			now := old
			now.HasPlace, now.Lat, now.Lon, now.Climate, now.Stop = y.HasPlace, y.Lat, y.Lon, y.Climate, y.Stop
			if now != old {
				out = append(out, now)
			}
		}
	})
	return out
}

// saveStartHives makes yards and hives of the list.
func (s *Server) saveStartHives(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	p := startHivesPage{startBase: s.startBase(r, 2)}
	f := r.PostForm
	p.Yards, p.Stack, p.Feeder, p.Had = f.Get("yards"), f.Get("stack"), f.Get("feeder"), f["had"]
	p.WasStack, p.WasFeeder = f.Get("was_stack"), f.Get("was_feeder")
	p.Winter, p.Stop, p.Place = f.Get("winter"), f.Get("stop"), f.Get("place")
	usual := s.readUsual(&p.Base, p.Stack, p.Feeder)
	list, bad := season.ReadYards(p.Yards, p.S.Locale())
	var m season.Making
	s.house.view(func(st *season.State, _ units.Moment) {
		usual.Yard = apiary.Yard{Climate: apiary.Climate(p.Winter)}
		usual.Yard.Stop, _ = units.ParseDay(p.Stop) // ours: "" or a day
		if st.Settings.HasHome {
			usual.Yard.HasPlace, usual.Yard.Lat, usual.Yard.Lon = true, st.Settings.HomeLat, st.Settings.HomeLon
		}
		before := &season.Before{Yards: p.Had, Usual: season.Usual{Feeder: p.WasFeeder}}
		before.Usual.Stack, _ = hive.ParseStack(p.WasStack) // ours
		m = st.Make(list, usual, before)
	})
	s.lines(&p.Base, "yards", append(bad, m.Trouble...))
	if len(p.Trouble) > 0 {
		s.fillWinter(&p)
		s.show(w, http.StatusUnprocessableEntity, p.Screen, &p)
		return
	}
	act, err := s.write(r.Context(), "start.hives", m.Bodies, m.Strike...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/start/weigh", act)
}

// lines says what is wrong with the lines of a box, a few of them.
func (s *Server) lines(b *Base, field string, bad []season.LineTrouble) {
	for i, t := range bad {
		if i == 8 {
			b.trouble(Trouble{Field: field, Say: b.T("line.more", "N", len(bad)-i)})
			return
		}
		x := s.troubleOf(b, t.Err, field)
		if t.Line > 0 {
			x.Say = b.T("line.bad", "Line", t.Line, "Text", t.Text) + " " + x.Say
		}
		b.trouble(x)
	}
}

// saveStartWeigh keeps what was told of each yard and the weights typed.
func (s *Server) saveStartWeigh(w http.ResponseWriter, r *http.Request) {
	p := startWeighPage{startBase: s.startBase(r, 3)}
	s.fillWeigh(&p)
	p.Weights = r.PostFormValue("weights")
	var bodies []any
	var strikes []season.ID
	for i := range p.Rows {
		row := &p.Rows[i]
		row.Weight, row.Bees, row.Safe = r.PostFormValue(row.WeightID()), r.PostFormValue(row.BeesID()), r.PostFormValue(row.SafeID()) != ""
		whole, ok := s.readWhole(&p.Base, row)
		if !ok {
			continue
		}
		s.house.view(func(st *season.State, at units.Moment) {
			why, doubt, err := st.DoubtWhole(row.ID, whole, at)
			switch {
			case err != nil:
				p.trouble(s.troubleOf(&p.Base, err, row.WeightID()))
				return
			case doubt:
				p.trouble(Trouble{Field: row.WeightID(), Say: p.Say(why), Hint: p.T("start.weigh.odd"), No: fault.OutOfRange.Number()})
				return
			}
			for _, x := range st.TellWhole(row.ID, whole) {
				if x.Body == nil {
					strikes = append(strikes, x.Strike)
				} else {
					bodies = append(bodies, x.Body)
				}
			}
		})
	}
	s.house.view(func(st *season.State, at units.Moment) {
		read, bad := st.ReadWeights(p.Weights, season.Sheet{Way: stores.Full, Unit: p.Unit, FeedUnit: p.S.VolumeCol().Unit, Seen: at, Locale: p.S.Locale()})
		s.lines(&p.Base, "weights", bad)
		bodies = s.withoutGuess(bodies, read)
	})
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, p.Screen, &p)
		return
	}
	act, err := s.write(r.Context(), "start.weigh", bodies, strikes...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/start/feed", act)
}

// withoutGuess adds readings and leaves out the guesses for the same hives.
func (s *Server) withoutGuess(bodies, read []any) []any {
	own := map[string]bool{}
	for _, b := range read {
		if r, ok := b.(stores.Reading); ok {
			own[r.Colony] = true
		}
	}
	bodies = slices.DeleteFunc(bodies, func(b any) bool {
		r, ok := b.(stores.Reading)
		return ok && own[r.Colony]
	})
	return append(bodies, read...)
}

// readWhole reads what was told of one yard.
func (s *Server) readWhole(b *Base, row *startYard) (season.Whole, bool) {
	whole := season.Whole{Safe: row.Safe}
	var err error
	ok := true
	if whole.Reading, err = season.ReadWhole(row.Weight, b.S); err != nil {
		b.trouble(s.troubleOf(b, err, row.WeightID()))
		ok = false
	}
	if strings.TrimSpace(row.Bees) != "" {
		whole.BeesKnown = true
		if whole.Bees, err = season.ReadCount(row.Bees, b.S.Locale()); err != nil {
			b.trouble(s.troubleOf(b, err, row.BeesID()))
			ok = false
		}
	}
	return whole, ok
}

// saveStartFeed keeps feed, tank, mixer and payload.
func (s *Server) saveStartFeed(w http.ResponseWriter, r *http.Request) {
	p := startFeedPage{startBase: s.startBase(r, 4)}
	f := r.PostFormValue
	p.Strength, p.Tank, p.Mixer, p.Payload = f("strength"), f("tank"), f("mixer"), f("payload")
	set := map[string]string{}
	for _, x := range [][3]string{{"feed.strength", "strength", p.Strength}, {"rig.tank", "tank", p.Tank}, {"kitchen.mixer", "mixer", p.Mixer}, {"rig.payload", "payload", p.Payload}} {
		v, err := season.ReadSetting(x[0], x[2], p.S, p.Facts.Day())
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, x[1]))
			continue
		}
		set[x[0]] = v
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, p.Screen, &p)
		return
	}
	act, err := s.write(r.Context(), "start.feed", s.changed(set, []string{"feed.strength", "rig.tank", "kitchen.mixer", "rig.payload"}))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/start/plan", act)
}
