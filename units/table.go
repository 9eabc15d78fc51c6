package units

// unit is one row of the table: 1 unit = num/den base units, exactly, after
// shift hundredths have been added to the value (temperatures only).
type unit struct {
	symbol   string
	dim      Dimension
	num, den int64
	shift    int64
	systems  systems
	aliases  []string // besides the symbol; compared as key makes them
}

// systems is the set of systems of units that a reader of which finds the unit
// natural; its bits are numbered by System.
type systems uint8

const (
	metric    systems = 1 << Metric
	imperial  systems = 1 << Imperial
	customary systems = 1 << USCustomary
	inchPound         = imperial | customary
	everyone          = metric | inchPound
)

// Factors are those of NIST Special Publication 811 (2008), Guide for the Use
// of the International System of Units, Appendix B.8 "Factors for units listed
// alphabetically". The entry is named beside each row ("SI" where the unit is
// an SI unit or a decimal multiple of one). Where B.8 prints seven digits of a
// longer factor, the row holds the product of the exact factors it comes from:
// 1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, standard gravity 9.806 65 m/s².

// lengthUnits returns the rows for distances and lengths.
func lengthUnits() []unit {
	return []unit{
		{symbol: "km", dim: Distance, num: 1, den: 1, systems: metric, // SI
			aliases: []string{"kms", "kilometre", "kilometres", "kilometer", "kilometers"}},
		// "mile (mi)": 1.609 344 E+03 m, exact
		{symbol: "mi", dim: Distance, num: 1609344, den: 1000000, systems: inchPound,
			aliases: []string{"mile", "miles"}},

		{symbol: "mm", dim: Length, num: 1, den: 1, systems: metric, // SI
			aliases: []string{"millimetre", "millimetres", "millimeter", "millimeters"}},
		{symbol: "µm", dim: Length, num: 1, den: 1000, systems: metric, // "micron (µ)": 1.0 E-06 m, exact
			aliases: []string{"μm", "um", "micron", "microns", "micrometre", "micrometres"}},
		{symbol: "cm", dim: Length, num: 10, den: 1, systems: metric, // SI
			aliases: []string{"centimetre", "centimetres", "centimeter", "centimeters"}},
		{symbol: "m", dim: Length, num: 1000, den: 1, systems: metric, // SI
			aliases: []string{"metre", "metres", "meter", "meters"}},
		{symbol: "in", dim: Length, num: 254, den: 10, systems: inchPound, // "inch (in)": 2.54 E-02 m, exact
			aliases: []string{"inch", "inches", "ins", `"`, "″", "”", "''", "′′"}},
		{symbol: "ft", dim: Length, num: 3048, den: 10, systems: inchPound, // "foot (ft)": 3.048 E-01 m, exact
			aliases: []string{"foot", "feet", "'", "′", "’"}},
		{symbol: "thou", dim: Length, num: 254, den: 10000, systems: inchPound, // "mil (0.001 in)": 2.54 E-05 m, exact
			aliases: []string{"mil", "mils", "thous"}},
	}
}

// mechanicalUnits returns the rows for torque, pressure, force, power and mass.
func mechanicalUnits() []unit {
	return []unit{
		{symbol: "N·m", dim: Torque, num: 1, den: 1, systems: metric, // SI
			aliases: []string{"Nm", "newton metre", "newton metres", "newton meter", "newton meters"}},
		// "pound-force foot (lbf · ft)": 1.355 818 E+00 N·m
		{symbol: "lbf·ft", dim: Torque, num: 13558179483314004, den: 1e16, systems: inchPound,
			aliases: []string{"lb ft", "ft lb", "ft lbf", "lbs ft", "ft lbs", "foot pound", "foot pounds",
				"pound foot", "pound feet"}},
		// "pound-force inch (lbf · in)": 1.129 848 E-01 N·m
		{symbol: "lbf·in", dim: Torque, num: 1129848290276167, den: 1e16, systems: inchPound,
			aliases: []string{"lb in", "in lb", "in lbf", "lbs in", "in lbs", "inch pound",
				"inch pounds", "pound inch"}},
		// "kilogram-force meter (kgf · m)": 9.806 65 E+00 N·m, exact
		{symbol: "kgf·m", dim: Torque, num: 980665, den: 100000, systems: metric,
			aliases: []string{"m kgf", "kg m", "m kg", "kp m"}},
		// "kilogram-force meter (kgf · m)" / 100
		{symbol: "kgf·cm", dim: Torque, num: 980665, den: 10000000, systems: metric,
			aliases: []string{"cm kgf", "kg cm", "cm kg"}},

		{symbol: "kPa", dim: Pressure, num: 1, den: 1, systems: metric, // SI
			aliases: []string{"kilopascal", "kilopascals"}},
		{symbol: "Pa", dim: Pressure, num: 1, den: 1000, systems: metric, // SI
			aliases: []string{"pascal", "pascals"}},
		{symbol: "MPa", dim: Pressure, num: 1000, den: 1, systems: metric, // SI
			aliases: []string{"megapascal", "megapascals", "N/mm²", "N/mm2"}},
		{symbol: "bar", dim: Pressure, num: 100, den: 1, systems: metric, // "bar (bar)": 1.0 E+05 Pa, exact
			aliases: []string{"bars"}},
		{symbol: "mbar", dim: Pressure, num: 1, den: 10, systems: metric, // "millibar (mbar)": 1.0 E+02 Pa, exact
			aliases: []string{"millibar", "millibars"}},
		// "psi (pound-force per square inch) (lbf/in²)": 6.894 757 E+03 Pa
		{symbol: "psi", dim: Pressure, num: 44482216152605, den: 6451600000000, systems: inchPound,
			aliases: []string{"lbf/in²", "lbf/in2", "lb/in²", "lb/in2"}},

		{symbol: "N", dim: Force, num: 1, den: 1, systems: metric, // SI
			aliases: []string{"newton", "newtons"}},
		{symbol: "kN", dim: Force, num: 1000, den: 1, systems: metric, // SI
			aliases: []string{"kilonewton", "kilonewtons"}},
		// "pound-force (lbf)": 4.448 222 E+00 N
		{symbol: "lbf", dim: Force, num: 44482216152605, den: 1e13, systems: inchPound,
			aliases: []string{"lb force", "lbs force", "pound force", "pounds force"}},
		// "kilogram-force (kgf)": 9.806 65 E+00 N, exact
		{symbol: "kgf", dim: Force, num: 980665, den: 100000, systems: metric,
			aliases: []string{"kg force", "kilogram force", "kp"}},

		{symbol: "W", dim: Power, num: 1, den: 1, systems: everyone, // SI
			aliases: []string{"watt", "watts"}},
		{symbol: "kW", dim: Power, num: 1000, den: 1, systems: everyone, // SI
			aliases: []string{"kilowatt", "kilowatts"}},
		// "horsepower (550 ft · lbf/s)": 7.456 999 E+02 W
		{symbol: "hp", dim: Power, num: 74569987158227022, den: 1e14, systems: inchPound,
			aliases: []string{"bhp", "horsepower"}},

		{symbol: "g", dim: Mass, num: 1, den: 1, systems: metric, // SI
			aliases: []string{"gram", "grams", "gramme", "grammes"}},
		{symbol: "kg", dim: Mass, num: 1000, den: 1, systems: metric, // SI
			aliases: []string{"kilogram", "kilograms", "kilo", "kilos"}},
		// "pound (avoirdupois) (lb)": 4.535 924 E-01 kg, exactly 0.453 592 37 by its footnote
		{symbol: "lb", dim: Mass, num: 45359237, den: 100000, systems: inchPound,
			aliases: []string{"lbs", "pound", "pounds"}},
		// "ounce (avoirdupois) (oz)": 2.834 952 E-02 kg, one sixteenth of a pound
		{symbol: "oz", dim: Mass, num: 45359237, den: 1600000, systems: inchPound,
			aliases: []string{"ounce", "ounces"}},
	}
}

// volumeUnits returns the rows for volumes.
func volumeUnits() []unit {
	return []unit{
		{symbol: "l", dim: Volume, num: 1, den: 1, systems: metric, // "liter (L)": 1.0 E-03 m³, exact
			aliases: []string{"litre", "litres", "liter", "liters", "ltr", "dm³"}},
		{symbol: "ml", dim: Volume, num: 1, den: 1000, systems: metric, // "liter (L)" / 1000
			aliases: []string{"millilitre", "millilitres", "milliliter", "milliliters", "cc", "cm³", "cm3"}},
		// "gallon (U.S.) (gal)": 3.785 412 E-03 m³ (231 in³)
		{symbol: "US gal", dim: Volume, num: 3785411784, den: 1e9, systems: customary,
			aliases: []string{"gal US", "gal (US)", "US gallon", "US gallons", "gallons US", "gallons (US)"}},
		// "quart (U.S. liquid) (liq qt)": 9.463 529 E-04 m³
		{symbol: "US qt", dim: Volume, num: 946352946, den: 1e9, systems: customary,
			aliases: []string{"qt US", "qt (US)", "US quart", "US quarts"}},
		// "pint (U.S. liquid) (liq pt)": 4.731 765 E-04 m³
		{symbol: "US pt", dim: Volume, num: 473176473, den: 1e9, systems: customary,
			aliases: []string{"pt US", "pt (US)", "US pint", "US pints"}},
		// "ounce (U.S. fluid) (fl oz)": 2.957 353 E-05 m³
		{symbol: "US fl oz", dim: Volume, num: 295735295625, den: 1e13, systems: customary,
			aliases: []string{"fl oz US", "US fluid ounce", "US fluid ounces"}},
		// "gallon [Canadian and U.K. (Imperial)] (gal)": 4.546 09 E-03 m³, exact
		{symbol: "imp gal", dim: Volume, num: 454609, den: 100000, systems: imperial,
			aliases: []string{"gal imp", "gal (imp)", "UK gal", "gal UK", "imperial gallon",
				"imperial gallons", "imp gallons"}},
		// "gallon [Canadian and U.K. (Imperial)] (gal)" / 8
		{symbol: "imp pt", dim: Volume, num: 454609, den: 800000, systems: imperial,
			aliases: []string{"pt imp", "UK pt", "pt UK", "imperial pint", "imperial pints", "imp pint", "imp pints"}},
		// "ounce [Canadian and U.K. fluid (Imperial)] (fl oz)": 2.841 306 E-05 m³, gallon / 160
		{symbol: "imp fl oz", dim: Volume, num: 454609, den: 16000000, systems: imperial,
			aliases: []string{"fl oz imp", "UK fl oz", "imperial fluid ounce", "imperial fluid ounces"}},
	}
}

// temperatureUnits returns the rows for temperatures: base = (value + shift/100)·num/den.
func temperatureUnits() []unit {
	return []unit{
		{symbol: "°C", dim: Temperature, num: 1, den: 1, systems: metric, // SI
			aliases: []string{"C", "deg C", "degrees C", "celsius", "degrees celsius", "℃", "ºC", "˚C"}},
		// "degree Fahrenheit (temperature) (°F)": t/°C = (t/°F - 32)/1.8
		{symbol: "°F", dim: Temperature, num: 5, den: 9, shift: -3200, systems: inchPound,
			aliases: []string{"F", "deg F", "degrees F", "fahrenheit", "degrees fahrenheit", "℉", "ºF", "˚F"}},
		// "kelvin (K)": t/°C = T/K - 273.15
		{symbol: "K", dim: Temperature, num: 1, den: 1, shift: -27315, systems: metric,
			aliases: []string{"kelvin", "kelvins"}},
	}
}

// timeUnits returns the rows for time spans. A day is 86 400 s ("day (d)":
// 8.64 E+04 s). Years and months are those of the calendar, not the 365 days of
// the entry "year (365 days)": 400 Gregorian years are 146 097 days.
func timeUnits() []unit {
	return []unit{
		{symbol: "years", dim: TimeSpan, num: 146097, den: 400, systems: everyone, // mean Gregorian year
			aliases: []string{"year", "yr", "yrs", "y"}},
		{symbol: "months", dim: TimeSpan, num: 146097, den: 4800, systems: everyone, // one twelfth of it
			aliases: []string{"month", "mth", "mths", "mo", "mos"}},
		{symbol: "weeks", dim: TimeSpan, num: 7, den: 1, systems: everyone, // 7 days
			aliases: []string{"week", "wk", "wks"}},
		{symbol: "days", dim: TimeSpan, num: 1, den: 1, systems: everyone, // "day (d)": 8.64 E+04 s, exact
			aliases: []string{"day", "d"}},
		{symbol: "hours", dim: TimeSpan, num: 1, den: 24, systems: everyone, // "hour (h)": 3.6 E+03 s, exact
			aliases: []string{"hour", "hr", "hrs"}},
		{symbol: "minutes", dim: TimeSpan, num: 1, den: 1440, systems: everyone, // "minute (min)": 6.0 E+01 s, exact
			aliases: []string{"minute", "min", "mins"}},
		{symbol: "seconds", dim: TimeSpan, num: 1, den: 86400, systems: everyone, // SI
			aliases: []string{"second", "s", "sec", "secs"}},
		// what an engine has run, one hour of the entry each; no span of the calendar
		{symbol: "h", dim: EngineHours, num: 1, den: 1, systems: everyone,
			aliases: []string{"engine hours", "engine hour", "hours run"}},
	}
}

// otherUnits returns the remaining rows.
func otherUnits() []unit {
	return []unit{
		// SI
		{symbol: "V", dim: Voltage, num: 1, den: 1, systems: everyone, aliases: []string{"volt", "volts"}},
		// SI
		{symbol: "mV", dim: Voltage, num: 1, den: 1000, systems: everyone,
			aliases: []string{"millivolt", "millivolts"}},
		// SI
		{symbol: "A", dim: Current, num: 1, den: 1, systems: everyone,
			aliases: []string{"amp", "amps", "ampere", "amperes"}},
		// SI
		{symbol: "mA", dim: Current, num: 1, den: 1000, systems: everyone, aliases: []string{"milliamp", "milliamps"}},
		// SI
		{symbol: "Ω", dim: Resistance, num: 1, den: 1, systems: everyone, aliases: []string{"ohm", "ohms"}},
		// SI
		{symbol: "kΩ", dim: Resistance, num: 1000, den: 1, systems: everyone,
			aliases: []string{"kohm", "kohms", "kilohm", "kilohms"}},
		// the base
		{symbol: "°", dim: Angle, num: 1, den: 1, systems: everyone,
			aliases: []string{"deg", "degree", "degrees", "º", "˚"}},
		// "degree (angle) (°)": 1.745 329 E-02 rad = π/180; 180/π to 16 digits
		{symbol: "rad", dim: Angle, num: 5729577951308232, den: 1e14, systems: everyone,
			aliases: []string{"radian", "radians"}},
		// one hundredth
		{symbol: "%", dim: Percent, num: 1, den: 1, systems: everyone, aliases: []string{"percent", "pct", "per cent"}},
		// SI
		{symbol: "Hz", dim: Frequency, num: 1, den: 1, systems: everyone, aliases: []string{"hertz"}},
		// SI
		{symbol: "kHz", dim: Frequency, num: 1000, den: 1, systems: everyone, aliases: []string{"kilohertz"}},
		// the base; "revolution per minute (rpm)": 1.047 198 E-01 rad/s
		{symbol: "rpm", dim: Speed, num: 1, den: 1, systems: everyone,
			aliases: []string{"r/min", "rev/min", "revs/min", "1/min", "min⁻¹"}},
		// "kilometer per hour (km/h)": 2.777 778 E-01 m/s
		{symbol: "km/h", dim: RoadSpeed, num: 1, den: 1, systems: metric, aliases: []string{"kph", "kmh", "kmph"}},
		// "mile per hour (mi/h)": 1.609 344 E+00 km/h, exact
		{symbol: "mph", dim: RoadSpeed, num: 1609344, den: 1000000, systems: inchPound,
			aliases: []string{"mi/h", "miles per hour"}},
		// SI
		{symbol: "m/s", dim: RoadSpeed, num: 36, den: 10, systems: metric, aliases: []string{"metres per second"}},
		// one millionth
		{symbol: "ppm", dim: Concentration, num: 1, den: 1, systems: everyone, aliases: []string{"parts per million"}},
		// ISO 48-4 durometer scale
		{symbol: "Shore A", dim: Hardness, num: 1, den: 1, systems: everyone,
			aliases: []string{"Sh A", "°Shore A", "° Shore A", "degrees Shore A"}},
		// relative to water
		{symbol: "SG", dim: SpecificGravity, num: 1, den: 1, systems: everyone,
			aliases: []string{"sp gr", "specific gravity", "s.g.", "rel. density"}},
	}
}

// allUnits returns the whole table.
func allUnits() []unit {
	var all []unit
	all = append(all, lengthUnits()...)
	all = append(all, mechanicalUnits()...)
	all = append(all, volumeUnits()...)
	all = append(all, temperatureUnits()...)
	all = append(all, timeUnits()...)
	return append(all, otherUnits()...)
}
