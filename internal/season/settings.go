package season

import (
	"encoding"
	"slices"
	"strconv"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Settings are the keeper's choices in force. A zero field has not been told;
// what is needed and not told is asked for where it is needed.
type Settings struct {
	// House.
	Name     string       // of the apiary, for the head of sheets
	Units    units.System // what he thinks in
	Decimal  rune         // '.' or ','
	Language string       // "en", "es"
	Zone     string       // IANA name of the home's time zone, "UTC" by default
	Currency string       // ISO 4217

	// Home: where the truck starts.
	HasHome          bool
	HomeLat, HomeLon float64

	// Feed.
	Strength string         // "2:1 by weight", "66.7 %": as typed
	Syrup    units.Strength // what that is, by the figures in force
	Care     float64        // chance of being still short that he accepts, 0…1
	Target   string         // which target is used where he typed none: see UseModel

	// Rig.
	Truck   string
	Tank    units.Volume // usable
	Payload units.Mass   // for syrup, after tank, gear and people
	Pump    units.Flow
	PerHive units.Duration // lid to lid, without pumping; 0 = the figure
	Filling units.Duration // filling the tank at home; 0 = the figure
	Rig     RigSettings    // how it is built; see there

	// Kitchen.
	Mixer  units.Volume
	Mixing units.Duration
	OnHand units.Volume
	Store  units.Volume

	// Crew.
	PerDay      units.Duration
	LoadsPerDay int
	People      int            // at work in the yard; 0 = 1
	Begins      units.Duration // time of day at which work begins, from midnight; 0 = not told

	// Prices.
	SugarPerKg, PerKm, PerHour units.Money

	// Plan.
	Start units.Day // first day a round can be made; 0 = the day after as-of
	Days  int       // length of the calendar; 0 = the figure

	// Weather fetched over the network; see package weather/remote.
	Service string // address of an open service, with {lat} {lon} {from} {to}; "" = never fetch
	Nearby  bool   // the service may stand in the keeper's own network

	// Own figures, by key of package figure.
	Figures map[string]float64
}

// DefaultSettings are what holds before anything is set.
func DefaultSettings() Settings {
	return Settings{Units: units.US, Decimal: '.', Language: "en", Zone: "UTC", Strength: "2:1 by weight", Syrup: 2.0 / 3, Care: 0.1, Target: UseModel, Truck: "truck"}
}

// SettingKey documents one setting.
type SettingKey struct {
	Key     string
	What    string // for the manual and the House page
	Example string
	set     func(*Settings, string) error
	enter   func(text string, s units.Style, bare bool) (string, error) // nil = see readSetting
}

// SettingKeys lists the settings, in the order of the manual. Own figures are
// settings too, called "figure." and the figure's key.
func SettingKeys() []SettingKey { return settingKeys }

var settingKeys = slices.Concat(plainKeys(), rigKeys())

// plainKeys lists the settings of everything but how the rig is built.
func plainKeys() []SettingKey {
	var out []SettingKey
	for _, k := range plainSettings {
		out = append(out, SettingKey{Key: k.key, What: k.what, Example: k.example, set: k.set})
	}
	return out
}

var plainSettings = []struct {
	key, what, example string
	set                func(*Settings, string) error
}{
	{"house.name", "name of the apiary, printed on sheets", "Ridge Road Bees", text(func(s *Settings) *string { return &s.Name })},
	{"house.units", "units you think in: us, metric or uk", "us", func(s *Settings, v string) error {
		for _, u := range []units.System{units.US, units.Metric, units.UK} {
			if strings.EqualFold(v, u.String()) {
				s.Units = u
				return nil
			}
		}
		return fault.Newf(fault.NotUnderstood, "", "%q is none of our unit systems", v).WithHint("us, metric or uk")
	}},
	{"house.decimal", "decimal sign: point or comma", "point", func(s *Settings, v string) error {
		switch v {
		case "point", ".":
			s.Decimal = '.'
		case "comma", ",":
			s.Decimal = ','
		default:
			return fault.Newf(fault.NotUnderstood, "", "%q is not a decimal sign", v).WithHint("point or comma")
		}
		return nil
	}},
	{"house.language", "language of screens and sheets: en or es", "en", func(s *Settings, v string) error {
		s.Language = v
		return oneOf("language", v, "en", "es")
	}},
	{"house.zone", "time zone of your yards, by its IANA name", "America/New_York", func(s *Settings, v string) error {
		// Only the shape is checked: the core knows no zone database. The folder
		// and the book read times with it and say so if it does not exist.
		if v == "" || strings.ContainsAny(v, " \t") {
			return fault.Newf(fault.NotUnderstood, "", "%q is not a time zone", v).WithHint("for example America/New_York or Europe/London")
		}
		s.Zone = v
		return nil
	}},
	{"house.currency", "currency of prices, three letters", "USD", text(func(s *Settings) *string { return &s.Currency })},
	{"home.lat", "latitude of home, where the truck starts, degrees north", "42.44", coordinate(90, func(s *Settings) *float64 { s.HasHome = true; return &s.HomeLat })},
	{"home.lon", "longitude of home, degrees east", "-76.50", coordinate(180, func(s *Settings) *float64 { s.HasHome = true; return &s.HomeLon })},
	{"feed.strength", "strength of the syrup: sugar to water, or percent sugar by weight", "2:1 by weight", func(s *Settings, v string) error {
		_, err := strengthOf(v)
		s.Strength = v
		return err
	}},
	{"feed.care", "chance of still being short that you accept, for example 1 in 10", "1 in 10", func(s *Settings, v string) error {
		x, err := chance(v)
		if err == nil && (x < 0.01 || x > 0.5) {
			err = fault.Newf(fault.OutOfRange, "", "%s is not a chance one can plan with", v).WithHint("between 1 in 100 and 1 in 2")
		}
		s.Care = x
		return err
	}},
	{"feed.target", "which stores target is used where you typed none: model (worked out from the past winters of the yard), table (the published suggestion) or larger (of the two)", "model", func(s *Settings, v string) error {
		s.Target = v
		return oneOf("target", v, UseModel, UseTable, UseLarger)
	}},
	{"rig.truck", "what you call the truck", "pickup", text(func(s *Settings) *string { return &s.Truck })},
	{"rig.tank", "usable volume of the tank: what really comes out", "40 US gal", quantity(func(s *Settings) *units.Volume { return &s.Tank })},
	{"rig.payload", "what the truck may carry as syrup, after tank, gear and people", "900 lb", quantity(func(s *Settings) *units.Mass { return &s.Payload })},
	{"rig.pump", "flow at the nozzle with this syrup, by a bucket and a watch", "2.5 US gal/min", quantity(func(s *Settings) *units.Flow { return &s.Pump })},
	{"rig.per_hive", "time from lid to lid without the pumping", "1 min", quantity(func(s *Settings) *units.Duration { return &s.PerHive })},
	{"rig.filling", "time to fill the tank at home", "15 min", quantity(func(s *Settings) *units.Duration { return &s.Filling })},
	{"kitchen.mixer", "most syrup one mixing can make", "55 US gal", quantity(func(s *Settings) *units.Volume { return &s.Mixer })},
	{"kitchen.mixing", "time one mixing takes", "90 min", quantity(func(s *Settings) *units.Duration { return &s.Mixing })},
	{"kitchen.on_hand", "mixed syrup in store when this was told; batches and gifts written down since are counted with it", "0 L", quantity(func(s *Settings) *units.Volume { return &s.OnHand })},
	{"kitchen.store", "mixed syrup your store holds", "110 US gal", quantity(func(s *Settings) *units.Volume { return &s.Store })},
	{"crew.per_day", "working time on a feeding day", "8 h", quantity(func(s *Settings) *units.Duration { return &s.PerDay })},
	{"crew.loads_per_day", "most loads driven out in a day", "3", func(s *Settings, v string) error {
		n, err := strconv.Atoi(v)
		if err != nil || n < 0 || n > 50 {
			return fault.Newf(fault.NotUnderstood, "", "%q is not a number of loads", v).WithHint("a whole number from 1 to 50")
		}
		s.LoadsPerDay = n
		return nil
	}},
	{"crew.people", "people at work in the yard", "2", func(s *Settings, v string) error {
		n, err := strconv.Atoi(v)
		if err != nil || n < 1 || n > 12 {
			return fault.Newf(fault.NotUnderstood, "", "%q is not a number of people", v).WithHint("a whole number from 1 to 12")
		}
		s.People = n
		return nil
	}},
	{"crew.begins", "time of day at which work begins; it counts where a yard's gate opens and shuts", "07:30", func(s *Settings, v string) (err error) {
		s.Begins, err = ReadClock(v)
		return err
	}},
	{"price.sugar_per_kg", "price of one kilogram of sugar", "1.30 USD", money(func(s *Settings) *units.Money { return &s.SugarPerKg })},
	{"price.per_km", "cost of driving one kilometre", "0.45 USD", money(func(s *Settings) *units.Money { return &s.PerKm })},
	{"price.per_hour", "what an hour of work is worth to you", "20 USD", money(func(s *Settings) *units.Money { return &s.PerHour })},
	{"plan.start", "first day a round can be made", "2026-09-12", func(s *Settings, v string) (err error) {
		s.Start, err = units.ParseDay(v)
		return err
	}},
	{"plan.days", "how many days ahead to plan", "45", func(s *Settings, v string) error {
		n, err := strconv.Atoi(v)
		if err != nil || n < 1 || n > 200 {
			return fault.Newf(fault.NotUnderstood, "", "%q is not a number of days", v).WithHint("a whole number from 1 to 200")
		}
		s.Days = n
		return nil
	}},
	{"weather.service", "address of a weather service of your choice that answers in the open JSON form, with {lat} {lon} {from} {to} where it wants place and days; nothing is fetched without it, and then only when you ask", "https://weather.example/daily?latitude={lat}&longitude={lon}&start_date={from}&end_date={to}", func(s *Settings, v string) error {
		s.Service = v
		return checkService(v)
	}},
	{"weather.nearby", "the weather service may stand on this machine or in your own network: yes or no", "no", func(s *Settings, v string) error {
		s.Nearby = v == "yes"
		return oneOf("answer", v, "yes", "no")
	}},
}

// Settle reads a value as it stands in a file and gives the spelling that is
// kept: the same whatever house it is read in. ok is false where values of this
// setting need no such spelling, or have another way to it.
func (k SettingKey) Settle(value string, l units.Locale) (spelling string, ok bool, err error) {
	if k.enter == nil {
		return value, false, nil
	}
	v, err := k.enter(strings.TrimSpace(value), units.Style{System: l.System, Decimal: l.Decimal}, false)
	return v, true, err
}

func settingKey(key string) (SettingKey, bool) {
	if f, ok := strings.CutPrefix(key, "figure."); ok && f != "" {
		return SettingKey{Key: key, What: "own figure", set: func(s *Settings, v string) error {
			x, err := strconv.ParseFloat(v, 64)
			if err != nil || x != x || x-x != 0 {
				return fault.Newf(fault.NotUnderstood, "", "%q is not a number", v).WithHint("a plain number in the figure's own unit; see `larder figures`")
			}
			if s.Figures == nil {
				s.Figures = map[string]float64{}
			}
			s.Figures[f] = x
			return nil
		}}, true
	}
	for _, k := range settingKeys {
		if k.Key == key {
			return k, true
		}
	}
	return SettingKey{}, false
}

func checkSetting(b Setting) error {
	k, ok := settingKey(b.Key)
	if !ok {
		return fault.Newf(fault.NotFound, b.Key, "there is no setting of this name").WithHint("the manual lists them: House and rig")
	}
	if b.Value == "" {
		return nil // takes it back
	}
	var s Settings
	if err := k.set(&s, b.Value); err != nil {
		e := *err.(*fault.Error)
		e.Thing = b.Key
		if e.Hint == "" && k.Example != "" {
			e.Hint = "for example " + k.Example
		}
		return &e
	}
	return nil
}

// settingsFrom reads the values in force. They were checked when they came in;
// one that a newer version no longer understands is passed over.
func settingsFrom(values map[string]string) Settings {
	s := DefaultSettings()
	for _, key := range sortedKeys(values) {
		k, ok := settingKey(key)
		if !ok {
			continue
		}
		t := s
		if s.Figures != nil {
			t.Figures = make(map[string]float64, len(s.Figures))
			for k, v := range s.Figures {
				t.Figures[k] = v
			}
		}
		if k.set(&t, values[key]) == nil {
			s = t
		}
	}
	figs, _ := s.FigureSet()
	if r, err := ReadRecipe(s.Strength, figs); err == nil {
		s.Syrup = r.Strength
	}
	return s
}

// FigureSet gives the published figures with the keeper's own over them.
// Figures he set that no longer exist are listed in unknown.
func (s Settings) FigureSet() (set figure.Set, unknown []string) {
	set = DefaultFigures()
	for _, k := range sortedKeys(s.Figures) {
		next, err := set.With(k, s.Figures[k])
		if err != nil {
			unknown = append(unknown, k)
			continue
		}
		set = next
	}
	return set, unknown
}

// Style gives how amounts are written for this keeper.
func (s Settings) Style() units.Style {
	return units.Style{System: s.Units, Decimal: s.Decimal, Lang: s.Language}
}

// Location gives the home's time zone, loaded by the caller (the core has no
// zone database).
func (s Settings) Location(load func(string) (*time.Location, error)) (*time.Location, error) {
	loc, err := load(s.Zone)
	if err != nil {
		return time.UTC, fault.Newf(fault.NotFound, "house.zone", "there is no time zone %q", s.Zone).
			WithHint("for example America/New_York or Europe/London")
	}
	return loc, nil
}

func text(field func(*Settings) *string) func(*Settings, string) error {
	return func(s *Settings, v string) error {
		*field(s) = v
		return goodName("setting", v)
	}
}

func coordinate(limit float64, field func(*Settings) *float64) func(*Settings, string) error {
	return func(s *Settings, v string) error {
		x, err := strconv.ParseFloat(v, 64)
		if err != nil {
			return fault.Newf(fault.NotUnderstood, "", "%q is not a coordinate", v).WithHint("decimal degrees, south and west negative")
		}
		*field(s) = x
		return between("coordinate", x, -limit, limit)
	}
}

// chance reads "1 in 10", "10 %" or "0.1".
func chance(v string) (float64, error) {
	bad := fault.Newf(fault.NotUnderstood, "", "%q is not a chance", v).WithHint("for example 1 in 10")
	if a, b, ok := strings.Cut(v, " in "); ok {
		x, err1 := strconv.ParseFloat(strings.TrimSpace(a), 64)
		y, err2 := strconv.ParseFloat(strings.TrimSpace(b), 64)
		if err1 != nil || err2 != nil || y <= 0 || x < 0 {
			return 0, bad
		}
		return x / y, nil
	}
	if p, ok := strings.CutSuffix(v, "%"); ok {
		x, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil {
			return 0, bad
		}
		return x / 100, nil
	}
	x, err := strconv.ParseFloat(v, 64)
	if err != nil {
		return 0, bad
	}
	return x, nil
}

func quantity[Q any](field func(*Settings) *Q) func(*Settings, string) error {
	return func(s *Settings, v string) error {
		return any(field(s)).(encoding.TextUnmarshaler).UnmarshalText([]byte(v))
	}
}

func money(field func(*Settings) *units.Money) func(*Settings, string) error {
	return quantity(field)
}
