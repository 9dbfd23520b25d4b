package units

// The Parse… functions by name, for calls that read well. Each reads a number
// with its unit as people write it and refuses, with a question or a hint, what
// is not certain: see [Locale]. The …In variants take a number without a unit
// to be in the unit named. The Must… functions are for tests and constants and
// panic.

func must[Q any](q Q, err error) Q {
	if err != nil {
		panic("units: " + err.Error())
	}
	return q
}

// ParseMass reads "48 lb", "25 lb 4 oz", "11.3kg". It is never below zero.
func ParseMass(s string, l Locale) (Mass, error) { return Parse[Mass](s, l) }

// ParseMassIn is [ParseMass] with a unit for a bare number.
func ParseMassIn(s, unit string, l Locale) (Mass, error) { return ParseIn[Mass](s, unit, l) }

// MustMass is [ParseMass] in the zero Locale; it panics.
func MustMass(s string) Mass { return must(ParseMass(s, Locale{})) }

// ParseVolume reads "40gal", "2½ gal", "150 L". It is never below zero.
func ParseVolume(s string, l Locale) (Volume, error) { return Parse[Volume](s, l) }

// ParseVolumeIn is [ParseVolume] with a unit for a bare number.
func ParseVolumeIn(s, unit string, l Locale) (Volume, error) { return ParseIn[Volume](s, unit, l) }

// MustVolume is [ParseVolume] in the zero Locale; it panics.
func MustVolume(s string) Volume { return must(ParseVolume(s, Locale{})) }

// ParseTemp reads "68F", "-4 °C", "20C". Below absolute zero is refused.
func ParseTemp(s string, l Locale) (Temp, error) { return Parse[Temp](s, l) }

// ParseTempIn is [ParseTemp] with a unit for a bare number.
func ParseTempIn(s, unit string, l Locale) (Temp, error) { return ParseIn[Temp](s, unit, l) }

// MustTemp is [ParseTemp] in the zero Locale; it panics.
func MustTemp(s string) Temp { return must(ParseTemp(s, Locale{})) }

// MustStrength is [ParseStrength] in the zero Locale; it panics.
func MustStrength(s string) Strength { return must(ParseStrength(s, Locale{})) }

// ParseLength reads "3/4 in", "100ft", "5 ft 3 in". It is never below zero.
func ParseLength(s string, l Locale) (Length, error) { return Parse[Length](s, l) }

// ParseLengthIn is [ParseLength] with a unit for a bare number.
func ParseLengthIn(s, unit string, l Locale) (Length, error) { return ParseIn[Length](s, unit, l) }

// MustLength is [ParseLength] in the zero Locale; it panics.
func MustLength(s string) Length { return must(ParseLength(s, Locale{})) }

// ParsePressure reads "30 psi", "2 bar", "200 kPa". It is never below zero.
func ParsePressure(s string, l Locale) (Pressure, error) { return Parse[Pressure](s, l) }

// ParsePressureIn is [ParsePressure] with a unit for a bare number.
func ParsePressureIn(s, unit string, l Locale) (Pressure, error) {
	return ParseIn[Pressure](s, unit, l)
}

// MustPressure is [ParsePressure] in the zero Locale; it panics.
func MustPressure(s string) Pressure { return must(ParsePressure(s, Locale{})) }

// ParsePower reads "1.5 kW", "500 W", "2000 BTU/h". It is never below zero.
func ParsePower(s string, l Locale) (Power, error) { return Parse[Power](s, l) }

// ParsePowerIn is [ParsePower] with a unit for a bare number.
func ParsePowerIn(s, unit string, l Locale) (Power, error) { return ParseIn[Power](s, unit, l) }

// MustPower is [ParsePower] in the zero Locale; it panics.
func MustPower(s string) Power { return must(ParsePower(s, Locale{})) }

// ParseEnergy reads "1.2 kWh", "4 MJ", "500 Wh". It is never below zero.
func ParseEnergy(s string, l Locale) (Energy, error) { return Parse[Energy](s, l) }

// ParseEnergyIn is [ParseEnergy] with a unit for a bare number.
func ParseEnergyIn(s, unit string, l Locale) (Energy, error) { return ParseIn[Energy](s, unit, l) }

// MustEnergy is [ParseEnergy] in the zero Locale; it panics.
func MustEnergy(s string) Energy { return must(ParseEnergy(s, Locale{})) }

// ParseVoltage reads "12 V", "12.6V", "12". A bare number is in volt. It is never below zero.
func ParseVoltage(s string, l Locale) (Voltage, error) { return Parse[Voltage](s, l) }

// ParseVoltageIn is [ParseVoltage] with a unit for a bare number.
func ParseVoltageIn(s, unit string, l Locale) (Voltage, error) { return ParseIn[Voltage](s, unit, l) }

// MustVoltage is [ParseVoltage] in the zero Locale; it panics.
func MustVoltage(s string) Voltage { return must(ParseVoltage(s, Locale{})) }

// ParseCurrent reads "10 A", "7,5 A", "150 mA". It is never below zero.
func ParseCurrent(s string, l Locale) (Current, error) { return Parse[Current](s, l) }

// ParseCurrentIn is [ParseCurrent] with a unit for a bare number.
func ParseCurrentIn(s, unit string, l Locale) (Current, error) { return ParseIn[Current](s, unit, l) }

// MustCurrent is [ParseCurrent] in the zero Locale; it panics.
func MustCurrent(s string) Current { return must(ParseCurrent(s, Locale{})) }

// ParseDuration reads "45 min", "1 h 30 min", "3 days". It is never below zero.
func ParseDuration(s string, l Locale) (Duration, error) { return Parse[Duration](s, l) }

// ParseDurationIn is [ParseDuration] with a unit for a bare number.
func ParseDurationIn(s, unit string, l Locale) (Duration, error) {
	return ParseIn[Duration](s, unit, l)
}

// MustDuration is [ParseDuration] in the zero Locale; it panics.
func MustDuration(s string) Duration { return must(ParseDuration(s, Locale{})) }

// ParseDensity reads "1.33 kg/L", "1330 kg/m3", "11.1 lb/gal". It is never below zero.
func ParseDensity(s string, l Locale) (Density, error) { return Parse[Density](s, l) }

// ParseDensityIn is [ParseDensity] with a unit for a bare number.
func ParseDensityIn(s, unit string, l Locale) (Density, error) { return ParseIn[Density](s, unit, l) }

// MustDensity is [ParseDensity] in the zero Locale; it panics.
func MustDensity(s string) Density { return must(ParseDensity(s, Locale{})) }

// ParseViscosity reads "40 mPa·s", "40 cP", "0.04 Pa·s". It is never below zero.
func ParseViscosity(s string, l Locale) (Viscosity, error) { return Parse[Viscosity](s, l) }

// ParseViscosityIn is [ParseViscosity] with a unit for a bare number.
func ParseViscosityIn(s, unit string, l Locale) (Viscosity, error) {
	return ParseIn[Viscosity](s, unit, l)
}

// MustViscosity is [ParseViscosity] in the zero Locale; it panics.
func MustViscosity(s string) Viscosity { return must(ParseViscosity(s, Locale{})) }

// ParseArea reads "9 dm²", "140 sq in", "880 cm2". It is never below zero.
func ParseArea(s string, l Locale) (Area, error) { return Parse[Area](s, l) }

// ParseAreaIn is [ParseArea] with a unit for a bare number.
func ParseAreaIn(s, unit string, l Locale) (Area, error) { return ParseIn[Area](s, unit, l) }

// MustArea is [ParseArea] in the zero Locale; it panics.
func MustArea(s string) Area { return must(ParseArea(s, Locale{})) }

// ParseFlow reads "20 L/min", "5 gal/min", "5 gpm". It is never below zero.
func ParseFlow(s string, l Locale) (Flow, error) { return Parse[Flow](s, l) }

// ParseFlowIn is [ParseFlow] with a unit for a bare number.
func ParseFlowIn(s, unit string, l Locale) (Flow, error) { return ParseIn[Flow](s, unit, l) }

// MustFlow is [ParseFlow] in the zero Locale; it panics.
func MustFlow(s string) Flow { return must(ParseFlow(s, Locale{})) }
