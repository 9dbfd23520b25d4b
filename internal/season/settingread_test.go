package season_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

func TestReadSetting(t *testing.T) {
	us, metric := units.Style{}, units.Style{System: units.Metric, Decimal: ',', Lang: "es"}
	today := units.DayOf(2026, time.September, 4)
	for _, c := range []struct {
		key, text string
		s         units.Style
		want      string
	}{
		{"rig.tank", "275", us, "275 US gal"},
		{"rig.tank", "1000", metric, "1000 L"},
		{"rig.tank", "40 gal", us, "40 US gal"},
		{"rig.payload", "900", us, "900 lb"},
		{"rig.pump", "2,5", metric, "2.5 L/min"},
		{"crew.per_day", "8", us, "8 h"},
		{"kitchen.mixing", "90", us, "90 min"},
		{"home.lat", "-42,5", metric, "-42.5"},
		{"plan.start", "12 Sep", us, "2026-09-12"},
		{"figure.hive.comb_g_dm2", "170,5", metric, "170.5"},
		{"house.name", "  Ridge Road Bees ", us, "Ridge Road Bees"},
		{"rig.tank", "  ", us, ""},
	} {
		got, err := season.ReadSetting(c.key, c.text, c.s, today)
		if err != nil || got != c.want {
			t.Errorf("%s %q: %q, %v; want %q", c.key, c.text, got, err, c.want)
		}
	}
	for _, c := range [][2]string{{"rig.tank", "plenty"}, {"rig.tank", "12 lb"}, {"crew.loads_per_day", "2.5"}, {"home.lat", "95"}, {"house.units", "imperial"}, {"plan.start", "some day"}} {
		if got, err := season.ReadSetting(c[0], c[1], us, today); err == nil || fault.KindOf(err) == fault.Internal {
			t.Errorf("%s %q: %q, %v", c[0], c[1], got, err)
		}
	}
}

// foreign are units a metric keeper does not have.
var foreign = regexp.MustCompile(`\d (in|ft|lb|psi|US gal|US gal/min|F|AWG)( *[;=]|$)`)

// Every setting can be typed as its example says, and the example is in the units
// the keeper thinks in.
func TestExamplesOfSettingsCanBeTyped(t *testing.T) {
	for _, k := range season.SettingKeys() {
		for _, s := range []units.Style{{}, {System: units.Metric}, {System: units.UK}} {
			for _, text := range []string{k.Example, k.ExampleIn(s.System)} {
				if _, err := season.ReadSetting(k.Key, text, s, at.Day()); err != nil {
					t.Errorf("%s %q: %v", k.Key, text, err)
				}
			}
		}
		if x := k.ExampleIn(units.Metric); foreign.MatchString(x) {
			t.Errorf("%s: %q is no example for a metric keeper", k.Key, x)
		}
		if x := k.ExampleIn(units.UK); strings.Contains(x, "US gal") {
			t.Errorf("%s: %q is no example for a UK keeper", k.Key, x)
		}
	}
}

func TestReadComingDay(t *testing.T) {
	for _, c := range []struct {
		today units.Day
		text  string
		want  string
	}{
		{units.DayOf(2026, time.September, 4), "1 Oct", "2026-10-01"},
		{units.DayOf(2026, time.September, 4), "2025-10-01", "2025-10-01"},
		{units.DayOf(2026, time.September, 4), "Oct 1, 2025", "2025-10-01"},
		{units.DayOf(2026, time.November, 25), "1 Oct", "2026-10-01"},
		{units.DayOf(2026, time.February, 3), "1 Oct", "2026-10-01"},
		{units.DayOf(2026, time.September, 4), "today", "2026-09-04"},
	} {
		got, err := season.ReadComingDay(c.text, c.today)
		if err != nil || got.String() != c.want {
			t.Errorf("%q on %s: %s, %v; want %s", c.text, c.today, got, err, c.want)
		}
	}
}

func TestFigureText(t *testing.T) {
	for x, want := range map[float64]string{0.35: "0.35", 12: "12", 1250: "1250", -4: "-4", 0: "0", 1.0 / 3: "0.333333", 25000: "25,000"} {
		if got := season.FigureText(x, units.Style{}); got != want {
			t.Errorf("%v is %q, want %q", x, got, want)
		}
	}
}

// A figure typed with a unit is told in which unit its number is wanted.
func TestFigureSaysItsUnit(t *testing.T) {
	for key, f := range map[string]string{"stores.wet_kg": "kg", "feeding.step_l": "L"} {
		_, err := season.ReadSetting("figure."+key, "7 lb", units.Style{}, 0)
		if !fault.Is(err, fault.NotUnderstood) || !strings.HasSuffix(fault.HintOf(err), "in "+f) {
			t.Errorf("%s: %v (%s)", key, err, fault.HintOf(err))
		}
	}
}
