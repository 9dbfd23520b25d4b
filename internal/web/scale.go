package web

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

// scaleBytes is the largest log a form may bring: a year of a weight every ten
// minutes.
const scaleBytes = 4 << 20

// firstNights is how many readings of a log are shown before it is kept.
const firstNights = 8

type scalePage struct {
	Base
	Text    string // the log, as pasted
	Colony  string
	Unit    string // told: "", kg, lb
	AskUnit bool
	Hives   []string // alive, in walking order
	Log     weather.ScaleLog
	Taken   *season.ScaleTaken
	Last    []scaleNight // the latest readings
}

// scaleNight is a reading of a log.
type scaleNight struct {
	Day    units.Day
	Weight string
}

// UnitOptions lists the units to choose from.
func (p *scalePage) UnitOptions() []Option {
	return []Option{{"", p.T("scale.unit.none")}, {"kg", "kg"}, {"lb", "lb"}}
}

// HiveOptions lists the hives a scale may stand under.
func (p *scalePage) HiveOptions() []Option {
	out := []Option{{"", p.T("scale.hive.none")}}
	for _, h := range p.Hives {
		out = append(out, Option{h, h})
	}
	return out
}

// scale asks for the log of an automatic scale.
func (s *Server) scale(w http.ResponseWriter, r *http.Request) {
	p := s.scalePage(r)
	p.Colony = r.URL.Query().Get("hive")
	s.show(w, http.StatusOK, "scale", p)
}

func (s *Server) scalePage(r *http.Request) *scalePage {
	p := &scalePage{Base: s.base(r, "scale", "title.scale")}
	p.Path = "/readings/scale"
	s.house.view(func(st *season.State, _ units.Moment) {
		for _, c := range st.Colonies() {
			if c.State == apiary.Alive {
				p.Hives = append(p.Hives, c.ID)
			}
		}
	})
	return p
}

// lookScale shows what a log comes to. Nothing is kept.
func (s *Server) lookScale(w http.ResponseWriter, r *http.Request) {
	p, err := s.readScale(w, r)
	code := http.StatusOK
	if err != nil {
		p.Trouble = append(p.Trouble, s.scaleTrouble(p, err))
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "scale", p)
}

// saveScale keeps the readings that are not known yet.
func (s *Server) saveScale(w http.ResponseWriter, r *http.Request) {
	p, err := s.readScale(w, r)
	if err != nil {
		p.Trouble = append(p.Trouble, s.scaleTrouble(p, err))
		s.show(w, http.StatusUnprocessableEntity, "scale", p)
		return
	}
	act, err := s.house.append(r.Context(), "scale", p.Taken.Facts...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/hives/"+url.PathEscape(p.Colony), act)
}

// scaleTrouble puts what is wrong beside the box where it can be put right.
func (s *Server) scaleTrouble(p *scalePage, err error) Trouble {
	field := "text"
	switch {
	case p.Colony == "":
		field = "colony"
	case fault.Is(err, fault.Missing) && p.Log.Column != "" && p.Log.Unit == "":
		field, p.AskUnit = "unit", true
	}
	return s.troubleOf(&p.Base, err, field)
}

// readScale reads the form and the log in it. Its page is there even when there is
// an error.
func (s *Server) readScale(w http.ResponseWriter, r *http.Request) (*scalePage, error) {
	r.Body = http.MaxBytesReader(w, r.Body, 3*scaleBytes)
	tooBig := fault.Newf(fault.OutOfRange, "", "the file has more than %d MB", scaleBytes>>20).WithHint("cut it by years, or take it in with `larder scale`")
	formErr := parseUpload(r, 3*scaleBytes, tooBig)
	p := s.scalePage(r)
	if formErr != nil {
		return p, formErr
	}
	p.Text, p.Unit, p.Colony = r.PostFormValue("text"), r.PostFormValue("unit"), r.PostFormValue("colony")
	if b, ok, err := uploaded(r, "file", tableBytes); err != nil {
		return p, err
	} else if ok {
		if p.Text, err = tableText(b); err != nil {
			return p, err
		}
	}
	if len(p.Text) > scaleBytes {
		p.Text = ""
		return p, tooBig
	}
	if p.Colony == "" {
		return p, fault.New(fault.Missing, "", "it is not said which hive stands on the scale")
	}
	if strings.TrimSpace(p.Text) == "" {
		return p, fault.New(fault.Missing, "", "there is no log to read").WithHint("choose the file the scale wrote, or paste its rows")
	}
	var err error
	if p.Log, err = weather.ReadScale([]byte(p.Text), weather.ScaleOptions{Unit: p.Unit}); err != nil {
		return p, err
	}
	p.AskUnit = p.Log.Told
	by := visitorIn(r.Context()).name()
	var got season.ScaleTaken
	s.house.journaled(func(j *season.Journal, at units.Moment) {
		zone, _ := j.Now().Settings.Location(time.LoadLocation) // UTC when unknown: House says so
		got, err = j.TakeScale(season.ScaleIn{Colony: p.Colony, Log: p.Log, Zone: zone, At: at, By: by})
	})
	if err != nil {
		return p, err
	}
	p.Taken = &got
	for _, f := range got.Facts[max(0, len(got.Facts)-firstNights):] {
		x := f.Body.(stores.Reading)
		p.Last = append(p.Last, scaleNight{f.Seen.Day(), p.S.Mass(x.Gross.Q)})
	}
	return p, nil
}
