package syrup

import (
	"embed"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"larder/internal/figure"
	"larder/internal/units"
)

//go:embed testdata/*.csv
var testdata embed.FS

// table is a printed table: rows of named cells.
type table []map[string]string

// load reads a table; lines with # are its citation, which every file must
// carry.
func load(t testing.TB, name string) table {
	t.Helper()
	b, err := testdata.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(b), "# ") {
		t.Fatalf("%s does not say where it comes from", name)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	recs, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var out table
	for _, rec := range recs[1:] {
		row := map[string]string{}
		for i, col := range recs[0] {
			row[col] = rec[i]
		}
		out = append(out, row)
	}
	if len(out) == 0 {
		t.Fatalf("%s is empty", name)
	}
	return out
}

// num reads a cell.
func num(t testing.TB, row map[string]string, col string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[col], 64)
	if err != nil {
		t.Fatalf("column %s: %v in %v", col, err, row)
	}
	return v
}

// brix reads a strength in percent; 66.667 means 2/3.
func brix(t testing.TB, row map[string]string, col string) units.Strength {
	t.Helper()
	return strengthOf(num(t, row, col))
}

func strengthOf(b float64) units.Strength {
	if b == 66.667 {
		return 2.0 / 3
	}
	return units.Strength(b / 100)
}

// must unwraps a result that may not fail.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// worst keeps the largest deviation of a comparison, for the log.
type worst struct {
	dev   float64
	where string
}

func (w *worst) add(dev float64, where string) {
	if math.Abs(dev) >= math.Abs(w.dev) {
		w.dev, w.where = dev, where
	}
}

var published figure.Set // the zero Set stands for the published figures

func TestDensityAgainstCRC(t *testing.T) {
	// Bounds are those the docstring promises.
	for _, row := range load(t, "density_crc20.csv") {
		s := brix(t, row, "brix")
		got := float64(must(Density(s, 20)))
		limit := 0.31
		if s > 0.74 {
			limit = 0.82
		}
		if dev := got - num(t, row, "kg_m3"); math.Abs(dev) > limit+0.005 {
			t.Errorf("%v: %.2f kg/m³, table %s, off by %.2f", s, got, row["kg_m3"], dev)
		}
		// The density's error times the strength, on a table rounded to 0.1.
		sugar := must(SugarIn(1, s, 20)).Kg() * 1000
		if dev := sugar - num(t, row, "g_l"); math.Abs(dev) > limit*float64(s)+0.051 {
			t.Errorf("%v: %.1f g of sugar per litre, table %s", s, sugar, row["g_l"])
		}
	}
}

func TestDensityAnchors(t *testing.T) {
	for _, row := range load(t, "density_computed.csv") {
		got := float64(must(Density(brix(t, row, "brix"), units.Temp(num(t, row, "t_c")))))
		if want := num(t, row, "kg_m3"); math.Abs(got-want) > 0.0501 {
			t.Errorf("%s %% at %s °C: %.2f, want %.1f", row["brix"], row["t_c"], got, want)
		}
	}
}

func TestRecipes(t *testing.T) {
	for _, row := range load(t, "recipes_computed.csv") {
		s := must(Density(brix(t, row, "brix"), 20))
		near := func(what string, got, want, tol float64) {
			t.Helper()
			if math.Abs(got-want) > tol {
				t.Errorf("%s: %s %.4f, want %v", row["recipe"], what, got, want)
			}
		}
		b := brix(t, row, "brix")
		perGal := must(MassOf(units.USGallon, b, 20)) / units.Pound
		sugar := must(SugarIn(1, b, 20)).Kg()
		// The strength is printed to 0.01 %: that is 0.06 kg/m³ and 0.15 g/L.
		near("density", float64(s), num(t, row, "kg_m3"), 0.12)
		near("lb per US gal", float64(perGal), num(t, row, "lb_usgal"), 0.0011)
		near("sugar per litre", 1000*sugar, num(t, row, "sugar_g_l"), 0.2)
		near("sugar per US gal", float64(must(SugarIn(units.USGallon, b, 20))/units.Pound), num(t, row, "sugar_lb_usgal"), 0.0015)
		near("litres per kg", 1/sugar, num(t, row, "l_per_kg_sugar"), 0.0003)
		near("US gal per 10 lb", 10*float64(units.Pound)/sugar/float64(units.USGallon), num(t, row, "usgal_per_10lb_sugar"), 0.0006)
	}
}

func TestIndexAgainstICUMSA(t *testing.T) {
	for _, row := range load(t, "index_icumsa.csv") {
		s, n := brix(t, row, "brix"), num(t, row, "n")
		if got := must(RefractiveIndex(s)); math.Abs(got-n) > 1.1e-5 {
			t.Errorf("%v: n %.6f, table %.5f", s, got, n)
		}
		if got := must(FromIndex(n)); math.Abs(got.Brix()-s.Brix()) > 0.0075 {
			t.Errorf("n %.5f: %v, table %v", n, got, s)
		}
	}
}

func TestRefractometerAgainstOIV(t *testing.T) {
	for _, row := range load(t, "refractometer_oiv.csv") {
		got := must(RefractometerCorrection(brix(t, row, "reads_brix"), units.Temp(num(t, row, "t_c")))).Brix()
		// The fit is within 0.006 from 10 to 16 °C; at 5 °C it is carried on.
		limit := 0.006
		if row["t_c"] == "5" {
			limit = 0.009
		}
		if dev := got - num(t, row, "add_brix"); math.Abs(dev) > limit {
			t.Errorf("%s °Bx at %s °C: %.3f, table %s", row["reads_brix"], row["t_c"], got, row["add_brix"])
		}
	}
}

func TestHoneyAgainstChataway(t *testing.T) {
	for _, row := range load(t, "honey_chataway.csv") {
		got := 100 * must(HoneyMoisture(num(t, row, "n"), 20))
		if dev := got - num(t, row, "percent"); math.Abs(dev) > 0.025 {
			t.Errorf("n %s: %.3f %%, table %s", row["n"], got, row["percent"])
		}
	}
}

func TestSolubilityAgainstOlderTable(t *testing.T) {
	var w worst
	for _, row := range load(t, "solubility_older.csv") {
		got := must(Solubility(units.Temp(num(t, row, "t_c")))).Brix()
		dev := got - num(t, row, "percent")
		w.add(dev, row["t_c"])
		if math.Abs(dev) > 0.52 {
			t.Errorf("%s °C: %.2f, table %s", row["t_c"], got, row["percent"])
		}
	}
	t.Logf("largest deviation %.2f points at %s °C", w.dev, w.where)
}

func TestSolubilityAnchors(t *testing.T) {
	for _, row := range load(t, "solubility_computed.csv") {
		at := units.Temp(num(t, row, "t_c"))
		s := must(Solubility(at))
		if math.Abs(s.Brix()-num(t, row, "percent")) > 0.0051 {
			t.Errorf("%v: %v, want %s %%", at, s, row["percent"])
		}
		if g := 100 * float64(s) / (1 - float64(s)); math.Abs(g-num(t, row, "g_100g")) > 0.051 {
			t.Errorf("%v: %.2f g per 100 g of water, want %s", at, g, row["g_100g"])
		}
		if c := must(SolubilityCharles(at)).Brix(); math.Abs(c-num(t, row, "charles")) > 0.0051 {
			t.Errorf("%v: Charles %.3f, want %s", at, c, row["charles"])
		}
	}
	for _, row := range load(t, "supersaturation_computed.csv") {
		got := must(Supersaturation(brix(t, row, "brix"), units.Temp(num(t, row, "t_c"))))
		if math.Abs(got-num(t, row, "sigma")) > 0.00051 {
			t.Errorf("%s %% at %s °C: %.4f, want %s", row["brix"], row["t_c"], got, row["sigma"])
		}
	}
}

func TestViscosityAgainstTables(t *testing.T) {
	check := func(s units.Strength, at units.Temp, want float64) {
		t.Helper()
		got := float64(must(Viscosity(s, at)))
		if dev := got/want - 1; math.Abs(dev) > ViscosityBand(at) {
			t.Errorf("%v at %v: %.3f mPa·s, table %.3f: off by %.1f %%, band %.0f %%", s, at, got, want, 100*dev, 100*ViscosityBand(at))
		}
	}
	for _, row := range load(t, "viscosity_crc20.csv") {
		check(brix(t, row, "brix"), 20, 1.002*num(t, row, "relative"))
	}
	for _, row := range load(t, "viscosity_bingham.csv") {
		if row["note"] == "low" { // the series contradicts its own handbook there
			continue
		}
		check(brix(t, row, "brix"), units.Temp(num(t, row, "t_c")), num(t, row, "mpa_s"))
	}
	for _, row := range load(t, "viscosity_nbs1958.csv") {
		check(brix(t, row, "brix"), units.Temp(num(t, row, "t_c")), num(t, row, "mpa_s"))
	}
}

func TestViscosityAnchors(t *testing.T) {
	for _, row := range load(t, "viscosity_computed.csv") {
		got, want := float64(must(Viscosity(brix(t, row, "brix"), units.Temp(num(t, row, "t_c"))))), num(t, row, "mpa_s")
		if math.Abs(got/want-1) > 0.006 { // three figures, some printed with two
			t.Errorf("%s %% at %s °C: %.3f, want %v", row["brix"], row["t_c"], got, want)
		}
	}
}

func TestFreezingAgainstLeighton(t *testing.T) {
	for _, row := range load(t, "freezing_leighton.csv") {
		g := num(t, row, "g_100g")
		f, _, err := Freezing(units.Strength(g / (100 + g)))
		if err != nil {
			t.Fatal(err)
		}
		// 0.01 K to 17 %, 0.14 K to 33 %, on a table rounded to 0.01.
		limit := 0.015
		if g > 20 {
			limit = 0.145
		}
		if dev := -f.C() - num(t, row, "depression_k"); math.Abs(dev) > limit {
			t.Errorf("%v g: %.3f K, table %s", g, -f.C(), row["depression_k"])
		}
	}
}

func TestActivityAnchors(t *testing.T) {
	water := must(Boiling(0, SeaLevel))
	for _, row := range load(t, "activity_computed.csv") {
		s := brix(t, row, "brix")
		near := func(what string, got, want, tol float64) {
			t.Helper()
			if math.Abs(got-want) > tol {
				t.Errorf("%v: %s %.4f, want %v", s, what, got, want)
			}
		}
		near("water activity", must(WaterActivity(s, 20)), num(t, row, "aw"), 0.00051)
		near("Norrish", must(WaterActivityNorrish(s)), num(t, row, "norrish"), 0.00051)
		near("boiling rise", float64(must(Boiling(s, SeaLevel))-water), num(t, row, "rise_k"), 0.0151)
		near("rule", must(BoilingRise(s)), num(t, row, "rule_k"), 0.0051)
		f, grains, err := Freezing(s)
		if err != nil {
			t.Fatal(err)
		}
		near("freezing", f.C(), num(t, row, "freezes_c"), 0.051)
		sat, ok, err := SaturationTemp(s)
		if err != nil {
			t.Fatal(err)
		}
		if ok != (row["saturates_c"] != "") || ok != grains {
			t.Errorf("%v: saturates %v, grains first %v, table %q", s, ok, grains, row["saturates_c"])
		}
		if ok {
			near("saturation", sat.C(), num(t, row, "saturates_c"), 0.051)
		}
	}
}

func TestVapourAgainstSteamTables(t *testing.T) {
	for _, row := range load(t, "steam.csv") {
		got, want := vapour(num(t, row, "t_c")), num(t, row, "pa")
		if math.Abs(got/want-1) > num(t, row, "rel_tol") {
			t.Errorf("%s °C: %.1f Pa, table %.1f", row["t_c"], got, want)
		}
	}
}

func TestMixTempAnchors(t *testing.T) {
	parts := map[string]units.Mass{"1:1": 1, "3:2": 1.5, "5:3": 5.0 / 3, "2:1": 2}
	for _, row := range load(t, "mixtemp_computed.csv") {
		got := must(MixTemp(parts[row["recipe"]], 15, 1, units.Temp(num(t, row, "water_c")), published))
		// Whole degrees, and the anchor takes dry sugar's specific heat at 25 °C
		// throughout: 0.1 K.
		if math.Abs(got.Mean-num(t, row, "mix_c")) > 0.6 {
			t.Errorf("%s with water at %s °C: %.2f, want %s", row["recipe"], row["water_c"], got.Mean, row["mix_c"])
		}
	}
}

func TestHFCSAgainstBuck(t *testing.T) {
	var w worst
	for _, row := range load(t, "hfcs_buck.csv") {
		k, at := Kind(row["kind"]), units.Temp((num(t, row, "t_f")-32)/1.8)
		d := must(FoodDensity(k, 0, at, published))
		want := num(t, row, "lb_usgal") * float64(units.Pound) / float64(units.USGallon) * 1000
		dev := d.Mean - want
		w.add(dev, row["kind"]+" "+row["t_f"]+" °F")
		if math.Abs(dev) > 2*d.SD {
			t.Errorf("%s at %s °F: %.1f, table %.1f kg/m³", k, row["t_f"], d.Mean, want)
		}
	}
	t.Logf("largest deviation %.2f kg/m³ at %s", w.dev, w.where)
}
