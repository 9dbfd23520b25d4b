package units

// The units people write, by dimension. Factors are those of units.go; what is
// not there has its source beside it. The first unit of each is the inside
// unit. Units that mean different things to different people (ton, hundred-
// weight, horsepower, cup in the UK, tablespoon) are left out on purpose: they
// are asked about.
//
// These are fixed tables; nothing changes them after the program has started.

var massUnits = newDimension(dimension{
	what: "a weight", eg: "48 lb or 22 kg",
	units: []unit{
		{name: "kg", chain: 'k', also: "kgs|kilo|kilos|kilogram|kilograms|kilogramme|kilogrammes"},
		{name: "g", ten: -3, chain: 'k', also: "gr|gram|grams|gramme|grammes|gm"},
		{name: "mg", ten: -6, also: "milligram|milligrams"},
		{name: "t", ten: 3, chain: 'k', also: "tonne|tonnes"},
		{name: "lb", num: float64(Pound), chain: 'p', also: "lbs|pound|pounds|#"},
		{name: "oz", num: float64(Ounce), chain: 'p', also: "ozs|ounce|ounces"},
	},
})

var volumeUnits = newDimension(dimension{
	what: "a volume", eg: "40 gal, 3 qt or 150 L",
	units: []unit{
		{name: "L", chain: 'l', also: "ℓ|ltr|ltrs|lt|liter|liters|litre|litres|dm3|dm³"},
		{name: "dL", ten: -1, also: "deciliter|decilitre|deciliters|decilitres"},
		{name: "cL", ten: -2, also: "centiliter|centilitre|centiliters|centilitres"},
		{name: "mL", ten: -3, chain: 'l', also: "cc|cm3|cm³|milliliter|millilitre|milliliters|millilitres"},
		{name: "hL", ten: 2, also: "hectoliter|hectolitre|hectoliters|hectolitres"},
		{name: "m³", ten: 3, also: "m3|cubic meter|cubic metre|cubic meters|cubic metres"},
		{name: "US gal", num: float64(USGallon), chain: 'u', bare: bareGal,
			also: "US gals|US gallon|US gallons|U.S. gallon|gal US|gallon US|gallons US"},
		{name: "US qt", num: float64(USQuart), chain: 'u', bare: bareQt, also: "US qts|US quart|US quarts|qt US"},
		{name: "US pt", num: float64(USPint), chain: 'u', bare: barePt, also: "US pts|US pint|US pints|pt US"},
		{name: "US cup", num: float64(USCup), chain: 'u', bare: "cup|cups", also: "US cups"},
		{name: "US fl oz", num: float64(USFluidOz), chain: 'u', bare: bareFlOz, also: "US fluid ounce|US fluid ounces|fl oz US"},
		{name: "UK gal", num: float64(UKGallon), chain: 'i', bare: bareGal,
			also: "imp gal|imp gals|impgal|UK gals|UK gallon|UK gallons|imp gallon|imp gallons|imperial gal|imperial gallon|imperial gallons|gal UK|gal imp|gallon UK|gallons UK"},
		{name: "UK qt", num: float64(UKQuart), chain: 'i', bare: bareQt, also: "imp qt|imp qts|imp quart|imp quarts|UK quart|UK quarts|imperial quart|imperial quarts|qt UK"},
		{name: "UK pt", num: float64(UKPint), chain: 'i', bare: barePt, also: "imp pt|imp pts|imp pint|imp pints|UK pint|UK pints|imperial pint|imperial pints|pt UK"},
		{name: "UK fl oz", num: float64(UKFluidOz), chain: 'i', bare: bareFlOz, also: "imp fl oz|UK fluid ounce|UK fluid ounces|imperial fl oz|fl oz UK"},
	},
})

const (
	bareGal  = "gal|gals|gallon|gallons"
	bareQt   = "qt|qts|quart|quarts"
	barePt   = "pt|pts|pint|pints"
	bareFlOz = "fl oz|fluid ounce|fluid ounces|fluid oz"
)

var tempUnits = newDimension(dimension{
	what: "a temperature", eg: "68 F or 20 C", signed: true,
	units: []unit{
		{name: "C", also: "°C|degC|deg C|℃|Celsius|degrees C|degrees Celsius|Centigrade"},
		{name: "F", off: 32, num: 5, den: 9, also: "°F|degF|deg F|℉|Fahrenheit|degrees F|degrees Fahrenheit"},
	},
})

var strengthUnits = newDimension(dimension{
	what: "a strength of syrup", eg: "66.7 % or 2:1",
	units: []unit{
		{name: "%", ten: -2, also: "percent|per cent|pct|Bx|°Bx|Brix|°Brix|deg Brix|degrees Brix|% by weight|% w/w|% by mass"},
	},
})

var lengthUnits = newDimension(dimension{
	what: "a length", eg: "3/4 in, 100 ft or 30 m", feet: true,
	units: []unit{
		{name: "m", chain: 'm', also: "meter|meters|metre|metres|mtr"},
		{name: "mm", ten: -3, chain: 'm', also: "millimeter|millimeters|millimetre|millimetres"},
		{name: "cm", ten: -2, chain: 'm', also: "centimeter|centimeters|centimetre|centimetres"},
		{name: "km", ten: 3, chain: 'm', also: "kms|kilometer|kilometers|kilometre|kilometres"},
		{name: "in", num: float64(Inch), chain: 'f', also: `ins|inch|inches|"|''`},
		{name: "ft", num: float64(Foot), chain: 'f', also: "feet|foot|'"},
		// Yard: 3 ft, NIST SP 811 (2008), Appendix B.8.
		{name: "yd", num: 3 * float64(Foot), chain: 'f', also: "yds|yard|yards"},
		{name: "mi", num: float64(Mile), also: "mile|miles"},
	},
})

var pressureUnits = newDimension(dimension{
	what: "a pressure", eg: "30 psi or 2 bar",
	units: []unit{
		{name: "Pa", also: "pascal|pascals"},
		{name: "hPa", ten: 2, also: "mbar|mb|millibar|millibars"},
		{name: "kPa", ten: 3, also: "kilopascal|kilopascals"},
		{name: "MPa", ten: 6, mega: true, also: "megapascal|megapascals"},
		{name: "bar", ten: 5, also: "bars"},
		{name: "psi", num: float64(PSI), also: "lb/in²|lb/in2|lbf/in²|lbf/in2|psig"},
	},
})

// BTU (International Table): exactly 1055.05585262 J. NIST SP 811 (2008),
// Appendix B.8, footnote 9.
const btu = 1055.05585262

var powerUnits = newDimension(dimension{
	what: "a power", eg: "500 W or 1.5 kW",
	units: []unit{
		{name: "W", also: "watt|watts"},
		{name: "kW", ten: 3, also: "kilowatt|kilowatts"},
		{name: "BTU/h", num: btu, den: 3600, also: "BTU/hr|BTUH"},
	},
})

var energyUnits = newDimension(dimension{
	what: "an amount of energy", eg: "1.2 kWh or 4 MJ",
	units: []unit{
		{name: "J", also: "joule|joules"},
		{name: "kJ", ten: 3, also: "kilojoule|kilojoules"},
		{name: "MJ", ten: 6, mega: true, also: "megajoule|megajoules"},
		{name: "Wh", num: 3600, also: "watt hour|watt hours"},
		{name: "kWh", ten: 3, num: 3600, also: "kilowatt hour|kilowatt hours"},
		{name: "BTU", num: btu, also: "BTUs"},
	},
})

var voltageUnits = newDimension(dimension{
	what: "a voltage", eg: "12 V", only: true,
	units: []unit{{name: "V", also: "volt|volts|VDC|V DC"}},
})

var currentUnits = newDimension(dimension{
	what: "a current", eg: "10 A or 150 mA",
	units: []unit{
		{name: "A", also: "amp|amps|ampere|amperes"},
		{name: "mA", ten: -3, also: "milliamp|milliamps"},
	},
})

var durationUnits = newDimension(dimension{
	what: "a span of time", eg: "45 min or 1 h 30 min",
	units: []unit{
		{name: "s", chain: 't', also: "sec|secs|second|seconds"},
		{name: "min", num: float64(Minute), chain: 't', also: "m|mins|minute|minutes"},
		{name: "h", num: float64(Hour), chain: 't', also: "hr|hrs|hour|hours"},
		{name: "d", num: 24 * float64(Hour), chain: 't', also: "day|days|día|días|dia|dias"},
	},
})

var densityUnits = newDimension(dimension{
	what: "a density", eg: "1.33 kg/L or 11.1 lb/gal",
	units: []unit{
		{name: "kg/m³", also: "kg/m3|g/L|g/dm³|g/dm3"},
		{name: "kg/L", ten: 3, also: "g/mL|g/cm³|g/cm3|g/cc|kg/dm³|kg/dm3|t/m³|t/m3"},
		{name: "lb/US gal", ten: 3, num: float64(Pound), den: float64(USGallon), bare: "lb/gal"},
		{name: "lb/UK gal", ten: 3, num: float64(Pound), den: float64(UKGallon), bare: "lb/gal", also: "lb/imp gal"},
		{name: "lb/ft³", num: float64(Pound), den: float64(Foot * Foot * Foot), also: "lb/ft3|lb/cu ft"},
	},
})

var viscosityUnits = newDimension(dimension{
	what: "a viscosity", eg: "40 mPa·s or 40 cP",
	units: []unit{
		{name: "mPa·s", also: "mPas|mPa-s|cP|cps|centipoise"},
		{name: "Pa·s", ten: 3, also: "Pas|Pa-s"},
		{name: "P", ten: 2, also: "poise"},
	},
})

var areaUnits = newDimension(dimension{
	what: "an area", eg: "9 dm² or 140 in²",
	units: []unit{
		{name: "dm²", also: "dm2|sq dm"},
		{name: "cm²", ten: -2, also: "cm2|sq cm"},
		{name: "m²", ten: 2, also: "m2|sq m"},
		{name: "in²", ten: 2, num: float64(Inch * Inch), also: "in2|sq in|square inch|square inches"},
		{name: "ft²", ten: 2, num: float64(Foot * Foot), also: "ft2|sq ft|square foot|square feet"},
	},
})

var flowUnits = newDimension(dimension{
	what: "a flow", eg: "20 L/min or 5 gal/min",
	units: []unit{
		{name: "L/s", also: "Lps|L/sec"},
		{name: "L/min", den: 60, also: "Lpm|L/m"},
		{name: "L/h", den: 3600, also: "Lph|L/hr"},
		{name: "mL/s", ten: -3, also: "mL/sec"},
		{name: "m³/h", ten: 3, den: 3600, also: "m3/h|m³/hr|m3/hr"},
		{name: "US gal/min", num: float64(USGallon), den: 60, bare: "gal/min|gpm", also: "US gpm"},
		{name: "US gal/h", num: float64(USGallon), den: 3600, bare: "gal/h|gal/hr|gph", also: "US gph"},
		{name: "UK gal/min", num: float64(UKGallon), den: 60, bare: "gal/min|gpm", also: "imp gal/min|UK gpm"},
		{name: "UK gal/h", num: float64(UKGallon), den: 3600, bare: "gal/h|gal/hr|gph", also: "imp gal/h|UK gph"},
	},
})
