// Package units holds one type per physical dimension, SI (or the SI unit the
// trade speaks) inside, and the reading and printing of what a keeper types.
//
// A value of one type cannot be passed for another: a mass for a volume does
// not compile. Values are plain float64, small and comparable; zero is a real
// quantity ("0 kg"), never "not known": what may be unknown says so beside it.
//
// Inside we use: kilogram, litre, degree Celsius, metre, pascal, watt, volt,
// ampere, second, joule, kg/m³, and strength as a mass fraction (0.667 for
// 2:1). US, UK and other units exist only in tables.go and style.go.
//
// # Reading
//
// Parse… functions take what people type: "40gal", "40 gal", "3 qt",
// "2½ gal", "1/2in", "25 lb 4 oz", "66,7 %", "68F". What can be read in two
// ways is refused with a question, never guessed. See [Locale].
//
// # Writing
//
// String gives the exact value in the inside unit, so that Parse(x.String())
// is x to the last bit. For people use [Style], which picks the unit and
// rounds to what the spread deserves.
package units

// Mass is a mass in kilograms.
type Mass float64

// Volume is a volume in litres (1 L = 1e-3 m³).
type Volume float64

// Temp is a temperature in degrees Celsius.
type Temp float64

// Strength is grams of sugar (or dry solids) per gram of syrup: 0.6667 for 2:1
// by weight. Times 100 it is °Brix. Range 0…1.
type Strength float64

// Length is a length in metres; distances on the road too.
type Length float64

// Pressure is in pascal.
type Pressure float64

// Power is in watt.
type Power float64

// Energy is in joule.
type Energy float64

// Voltage is in volt.
type Voltage float64

// Current is in ampere.
type Current float64

// Duration is a span of time in seconds.
type Duration float64

// Density is in kg/m³ (= g/L).
type Density float64

// Viscosity is dynamic viscosity in mPa·s.
type Viscosity float64

// Area is an area in dm² (the unit comb is counted in).
type Area float64

// Flow is in litres per second.
type Flow float64

// Exact and conventional factors. Source: NIST Special Publication 811 (2008),
// Appendix B: pound, ounce, inch, foot, US gallon; NIST Handbook 44, Appendix C;
// imperial gallon: UK Weights and Measures Act 1985, Schedule 1. All exact.
const (
	Kilogram Mass = 1
	Gram     Mass = 1e-3
	Pound    Mass = 0.45359237
	Ounce    Mass = Pound / 16

	Litre      Volume = 1
	Millilitre Volume = 1e-3
	USGallon   Volume = 3.785411784
	USQuart    Volume = USGallon / 4
	USPint     Volume = USGallon / 8
	USCup      Volume = USGallon / 16
	USFluidOz  Volume = USGallon / 128
	UKGallon   Volume = 4.54609
	UKQuart    Volume = UKGallon / 4
	UKPint     Volume = UKGallon / 8
	UKFluidOz  Volume = UKGallon / 160

	Metre      Length = 1
	Millimetre Length = 1e-3
	Centimetre Length = 1e-2
	Kilometre  Length = 1e3
	Inch       Length = 0.0254
	Foot       Length = 0.3048
	Mile       Length = 1609.344

	Second Duration = 1
	Minute Duration = 60
	Hour   Duration = 3600

	Pascal     Pressure = 1
	Kilopascal Pressure = 1e3
	Bar        Pressure = 1e5
	// PSI is one pound-force per square inch: 0.45359237 × 9.80665 / 0.0254².
	PSI Pressure = 0.45359237 * 9.80665 / (0.0254 * 0.0254)

	Watt      Power = 1
	Kilowatt  Power = 1e3
	Joule           = Energy(1)
	Kilojoule       = Energy(1e3)
	Megajoule       = Energy(1e6)
	KWh             = Energy(3.6e6)
)

// Kg gives m in kilograms as a bare number.
func (m Mass) Kg() float64 { return float64(m) }

// L gives v in litres as a bare number.
func (v Volume) L() float64 { return float64(v) }

// C gives t in degrees Celsius as a bare number.
func (t Temp) C() float64 { return float64(t) }

// Brix gives s in percent by mass.
func (s Strength) Brix() float64 { return float64(s) * 100 }

// Min gives d in minutes.
func (d Duration) Min() float64 { return float64(d / Minute) }

// Km gives l in kilometres.
func (l Length) Km() float64 { return float64(l / Kilometre) }

// System is a set of units a keeper thinks in.
type System uint8

// The systems. US is the default for en-US.
const (
	US System = iota
	Metric
	UK
)

func (s System) String() string {
	switch s {
	case US:
		return "us"
	case Metric:
		return "metric"
	case UK:
		return "uk"
	}
	return "?"
}
