// Package remote fetches weather from an open service over the network, and is
// the only part of the program that calls out.
//
// # What it knows
//
//   - Service: the address of a service the keeper chose, asked for one place and
//     a span of days, answering in the open JSON form that weather reads.
//   - Kept answers: the last one for each place, with its age.
//
// # Rules
//
// Nothing is fetched unless the keeper has named a service and asks. The place
// is told to a hundredth of a degree, about a kilometre: no service needs to know
// where hives stand. No proxy, no cookie, no password is used.
//
// An answer is whole and fits the question, or it is refused: right kind,
// under its size limit, in time, for this place and these days, every number
// possible. Redirects are followed three times and never from https to http. An
// address inside this machine or the own network is refused unless allowed;
// this is looked at when the connection is made, on the address that is then
// really called, so neither a redirect nor a name that changes its address
// gets past it.
//
// # What it refuses to know
//
// Any service by name, keys and accounts, yards, facts.
package remote

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"mime"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
	"larder/internal/weather"
)

// Limits of one question. A forecast is a few kilobytes and comes in a second;
// these leave room for a slow line at the yard.
const (
	dialTime     = 10 * time.Second
	headTime     = 15 * time.Second
	wholeTime    = 30 * time.Second
	mostHead     = 64 << 10
	mostRedirect = 3
)

// mostAway is how far the place of an answer may lie from the one asked for, in
// degrees: the coarsest open models have boxes of about half a degree.
const mostAway = 1.0

// Service is a weather service of the keeper's choice.
type Service struct {
	Template string // address with {lat} {lon} {from} {to}
	Nearby   bool   // it may stand on this machine or in the own network
	Keep     string // folder for the last answers; "" = keep none
	Now      func() time.Time
	// Again is how old a kept answer may be to be used without asking; 0 = ask.
	Again time.Duration

	whole, head time.Duration // other limits, for tests; 0 = those above
}

// Ask is one question.
type Ask struct {
	Station  string // whose days they are to be
	Lat, Lon float64
	From, To units.Day // both included
	Today    units.Day // days from it on are forecast
}

// Answer is what came of it.
type Answer struct {
	File    weather.File
	Fetched time.Time
	Age     time.Duration // 0 for a fresh one
	Kept    bool          // it was not fetched now
	Host    string        // who answered
}

// Fetch asks for one place, or gives the kept answer when it is young enough.
// Errors are sentences for the keeper: fault.Missing when no service is chosen,
// fault.Usage for an address that is none, fault.Unreachable for one that may
// not be called or does not answer, fault.Busy when it wants to be left alone,
// fault.Stopped when the keeper stopped it, fault.Damaged and those of
// weather.Read for an answer that is none.
func (s Service) Fetch(ctx context.Context, a Ask) (Answer, error) {
	u, err := s.address(a)
	if err != nil {
		return Answer{}, err
	}
	if k, ok := s.kept(a); ok && k.Age < s.Again && k.covers(a) {
		return k.Answer, nil
	}
	ctx, stop := context.WithTimeout(ctx, or(s.whole, wholeTime))
	defer stop()
	body, err := s.get(ctx, u)
	if err != nil {
		return Answer{}, err
	}
	f, err := read(body, a, u.Hostname())
	if err != nil {
		return Answer{}, err
	}
	now := s.Now()
	s.keep(a, now, u.Hostname(), body)
	return Answer{File: f, Fetched: now, Host: u.Hostname()}, nil
}

func or(a, b time.Duration) time.Duration {
	if a > 0 {
		return a
	}
	return b
}

// address fills the template.
func (s Service) address(a Ask) (*url.URL, error) {
	if s.Template == "" {
		return nil, fault.New(fault.Missing, "weather.service", "no weather service is chosen, and none is asked without").
			WithHint("set weather.service to the address of one: in season.toml, or under House")
	}
	if !(math.Abs(a.Lat) <= 90 && math.Abs(a.Lon) <= 180) {
		return nil, fault.Newf(fault.OutOfRange, a.Station, "%g, %g is not a place on earth", a.Lat, a.Lon)
	}
	if a.From == 0 || a.To < a.From || a.To-a.From > 366 {
		return nil, fault.Newf(fault.OutOfRange, a.Station, "%s to %s is no span of days to ask for", a.From, a.To).WithHint("a year at most")
	}
	degrees := func(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100+0, 'f', -1, 64) }
	t := strings.NewReplacer("{lat}", degrees(a.Lat), "{lon}", degrees(a.Lon), "{from}", a.From.String(), "{to}", a.To.String()).Replace(s.Template)
	u, err := url.Parse(t)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Hostname() == "" || u.User != nil || strings.Contains(t, "{") {
		return nil, fault.New(fault.Usage, "weather.service", "this is not the address of a weather service").
			WithHint("https://…, with {lat} {lon} {from} {to} and no name or password in it")
	}
	return u, nil
}

// errAddress is how a refused address comes back out of the dialer.
type errAddress struct{ at string }

func (e errAddress) Error() string { return "address " + e.at + " is not allowed" }

// client makes the client of one question. It is made anew each time: nothing of
// one question is there in the next.
func (s Service) client() *http.Client {
	d := net.Dialer{Timeout: dialTime, ControlContext: s.mayCall}
	return &http.Client{
		Transport: &http.Transport{
			Proxy: nil, DialContext: d.DialContext, DisableKeepAlives: true, TLSHandshakeTimeout: dialTime,
			ResponseHeaderTimeout: or(s.head, headTime), MaxResponseHeaderBytes: mostHead, ForceAttemptHTTP2: true,
		},
		CheckRedirect: func(r *http.Request, via []*http.Request) error {
			switch {
			case len(via) > mostRedirect:
				return fault.New(fault.Unreachable, r.URL.Hostname(), "the weather service sends us on and on")
			case via[0].URL.Scheme == "https" && r.URL.Scheme != "https":
				return fault.New(fault.Unreachable, r.URL.Hostname(), "the weather service sends us from a safe address to an open one")
			case r.URL.Scheme != "https" && r.URL.Scheme != "http" || r.URL.User != nil:
				return fault.New(fault.Unreachable, r.URL.Hostname(), "the weather service sends us to an address that is none")
			}
			return nil
		},
	}
}

// get asks and reads the whole answer.
func (s Service) get(ctx context.Context, u *url.URL) ([]byte, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, u.String(), nil)
	if err != nil {
		return nil, &fault.Error{Kind: fault.Usage, Thing: "weather.service", Say: "this is not the address of a weather service", Err: err}
	}
	req.Header.Set("Accept", "application/json")
	req.Header.Set("User-Agent", "larder")
	resp, err := s.client().Do(req)
	if err != nil {
		return nil, trouble(u.Hostname(), err)
	}
	defer resp.Body.Close()
	host := resp.Request.URL.Hostname()
	if err := status(host, resp); err != nil {
		return nil, err
	}
	kind, _, _ := mime.ParseMediaType(resp.Header.Get("Content-Type"))
	if kind != "application/json" && kind != "text/json" && !strings.HasSuffix(kind, "+json") {
		return nil, fault.Newf(fault.Damaged, host, "the answer is not JSON but %.40q", kind).WithHint("the address may lead to a page for people: take that of the service for programs")
	}
	// The reader stands behind the unpacking: what is counted is what it becomes.
	body, err := io.ReadAll(io.LimitReader(resp.Body, weather.MaxJSONBytes+1))
	if err != nil {
		return nil, trouble(host, err)
	}
	if len(body) > weather.MaxJSONBytes {
		return nil, fault.New(fault.Damaged, host, "the answer is far too long for a forecast").WithHint("up to %d MB are read", weather.MaxJSONBytes>>20)
	}
	return body, nil
}

// status tells what an answer without weather means.
func status(host string, r *http.Response) error {
	later := "try again later; what the book has stays"
	switch {
	case r.StatusCode == http.StatusOK:
		return nil
	case r.StatusCode == http.StatusTooManyRequests:
		if n, err := strconv.Atoi(r.Header.Get("Retry-After")); err == nil && n > 0 && n < 7*86400 {
			later = fmt.Sprintf("try again in %d min", (n+59)/60)
		}
		return fault.New(fault.Busy, host, "the weather service has been asked too often").WithHint("%s", later)
	case r.StatusCode >= 500:
		return fault.Newf(fault.Unreachable, host, "the weather service has trouble of its own (%d)", r.StatusCode).WithHint("%s", later)
	}
	return fault.Newf(fault.Unreachable, host, "the weather service does not answer this question (%d)", r.StatusCode).
		WithHint("look at the address in weather.service: does it name the right fields?")
}

// trouble puts the ways a network fails into words.
func trouble(host string, err error) error {
	var told *fault.Error
	var refused errAddress
	var dns *net.DNSError
	var slow net.Error
	switch {
	case errors.As(err, &told):
		return told
	case errors.As(err, &refused):
		return fault.Newf(fault.Unreachable, host, "%s lies inside this machine or your own network, and is not called", refused.at).
			WithHint("if the service really stands there, set weather.nearby to yes")
	case errors.As(err, &dns):
		return &fault.Error{Kind: fault.Unreachable, Thing: host, Say: "the name of the weather service is not found", Hint: "is there a network here? is the address right?", Err: err}
	case errors.Is(err, context.Canceled):
		return &fault.Error{Kind: fault.Stopped, Thing: host, Say: "stopped", Err: err}
	case errors.Is(err, context.DeadlineExceeded) || errors.As(err, &slow) && slow.Timeout():
		return &fault.Error{Kind: fault.Unreachable, Thing: host, Say: "the weather service takes too long", Hint: "try again later; what the book has stays", Err: err}
	case errors.Is(err, io.ErrUnexpectedEOF):
		return &fault.Error{Kind: fault.Damaged, Thing: host, Say: "the answer broke off", Hint: "try again", Err: err}
	}
	return &fault.Error{Kind: fault.Unreachable, Thing: host, Say: "the weather service cannot be reached", Hint: "is there a network here? what the book has stays", Err: err}
}

// read reads an answer and holds it against the question.
func read(body []byte, a Ask, host string) (weather.File, error) {
	f, err := weather.Read(body, weather.Options{File: host, Format: weather.JSON, As: a.Station, Issued: a.Today})
	if err != nil {
		return f, err
	}
	if len(f.Series) != 1 {
		return f, fault.New(fault.Damaged, host, "the answer is not the weather of one place")
	}
	first, last, _ := f.Series[0].Span()
	if first < a.From-1 || last > a.To+1 { // a day over, for the time zone of the service
		return f, fault.Newf(fault.Damaged, host, "the answer is for %s to %s, asked was %s to %s", first, last, a.From, a.To).
			WithHint("look at the address in weather.service: does it pass {from} and {to} on?")
	}
	for _, p := range f.Stations {
		away := math.Abs(math.Remainder(p.Lon-a.Lon, 360)) * math.Cos(a.Lat*math.Pi/180)
		if math.Abs(p.Lat-a.Lat) > mostAway || away > mostAway {
			return f, fault.Newf(fault.Damaged, host, "the answer is for another place, %.2f, %.2f", p.Lat, p.Lon).
				WithHint("look at the address in weather.service: are {lat} and {lon} in their places?")
		}
	}
	return f, nil
}
