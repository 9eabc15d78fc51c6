package units

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/message"
)

// Dimension is what a quantity measures. Every unit belongs to exactly one, so
// that text with a unit can be read without being told what is expected: km and
// mi are distances driven, mm, m and ft are lengths of things. The zero
// Dimension means "none" and belongs to the zero Quantity.
type Dimension uint8

// The dimensions, each with its base unit (see Quantity.Base).
const (
	Number          Dimension = iota + 1 // a pure count or figure, no unit
	Distance                             // driven distance; km
	Length                               // size of a thing; mm
	Torque                               // N·m
	Temperature                          // °C
	Pressure                             // kPa
	Force                                // N
	Money                                // the currency itself
	TimeSpan                             // days
	Voltage                              // V
	Current                              // A
	Resistance                           // Ω
	Angle                                // °
	Percent                              // %
	Frequency                            // Hz
	Speed                                // speed of rotation; rpm
	RoadSpeed                            // km/h
	Mass                                 // g
	Volume                               // l
	Density                              // count per length; per mm
	Concentration                        // ppm
	Hardness                             // Shore A
	SpecificGravity                      // SG
	Power                                // W
	EngineHours                          // what an hour meter counts; h
	lastDimension   = EngineHours
)

// trait holds what errors and forms say about a dimension.
type trait struct {
	name    message.Text // with its article left off
	one     message.Text // with its article, which hours do without
	example string       // a quantity as one would type it
	suggest []string     // units to offer, likeliest first
	digits  int          // significant digits a reader needs, see Preferences.Show
}

// traitOf returns the words of a dimension.
func traitOf(d Dimension) trait {
	switch d {
	case Number:
		return trait{"number", "a number", "3", nil, 4}
	case Distance:
		return trait{"distance", "a distance", "8200 mi", []string{"km", "mi"}, 2}
	case Length:
		return trait{"length", "a length", "9.5 mm", []string{"mm", "in"}, 4}
	case Torque:
		return trait{"torque", "a torque", "25 N·m", []string{"N·m", "lbf·ft"}, 3}
	case Temperature:
		return trait{"temperature", "a temperature", "90 °C", []string{"°C", "°F"}, 3}
	case Pressure:
		return trait{"pressure", "a pressure", "110 kPa", []string{"kPa", "psi"}, 3}
	case Force:
		return trait{"force", "a force", "45 N", []string{"N", "lbf"}, 3}
	case Money:
		return trait{"amount of money", "an amount of money", "24.50 GBP", []string{"GBP", "EUR", "USD"}, 0}
	case TimeSpan:
		return trait{"time span", "a time span", "4 years", []string{"years", "months", "days"}, 3}
	case Voltage:
		return trait{"voltage", "a voltage", "12.6 V", []string{"V", "mV"}, 4}
	case Current:
		return trait{"current", "a current", "50 mA", []string{"A", "mA"}, 3}
	default:
		return rarerTraitOf(d)
	}
}

// rarerTraitOf continues traitOf.
func rarerTraitOf(d Dimension) trait {
	switch d {
	case Resistance:
		return trait{"resistance", "a resistance", "0.8 Ω", []string{"Ω", "kΩ"}, 3}
	case Angle:
		return trait{"angle", "an angle", "12°", []string{"°", "rad"}, 3}
	case Percent:
		return trait{"percentage", "a percentage", "40 %", []string{"%"}, 3}
	case Frequency:
		return trait{"frequency", "a frequency", "120 Hz", []string{"Hz", "kHz"}, 4}
	case Speed:
		return trait{"speed of rotation", "a speed of rotation", "800 rpm", []string{"rpm"}, 4}
	case RoadSpeed:
		return trait{"road speed", "a road speed", "90 km/h", []string{"km/h", "mph"}, 3}
	case Mass:
		return trait{"mass", "a mass", "1.2 kg", []string{"kg", "lb"}, 3}
	case Volume:
		return trait{"volume", "a volume", "5.5 l", []string{"l", "US gal", "imp gal"}, 3}
	case Density:
		return trait{"count per length", "a count per length", "3 per 75 mm", []string{"per 75 mm", "per 3 in"}, 3}
	case Concentration:
		return trait{"concentration", "a concentration", "400 ppm", []string{"ppm"}, 3}
	case Hardness:
		return trait{"hardness", "a hardness", "70 Shore A", []string{"Shore A"}, 3}
	case SpecificGravity:
		return trait{"specific gravity", "a specific gravity", "1.265 SG", []string{"SG"}, 4}
	case Power:
		return trait{"power", "a power", "1.5 kW", []string{"kW", "W"}, 3}
	case EngineHours:
		return trait{"engine hours", "engine hours", "1240 h", []string{"h"}, 2}
	default:
		return trait{name: "quantity", one: "a quantity", example: "8200 mi"}
	}
}

// Dimensions returns every dimension in order of declaration.
func Dimensions() []Dimension {
	all := make([]Dimension, 0, lastDimension)
	for d := Number; d <= lastDimension; d++ {
		all = append(all, d)
	}
	return all
}

// IsValid reports whether d is one of the declared dimensions.
func (d Dimension) IsValid() bool { return d >= Number && d <= lastDimension }

// String returns the name in plain words, "specific gravity"; "none" for the
// zero Dimension.
func (d Dimension) String() string {
	if !d.IsValid() {
		return "none"
	}
	return traitOf(d).name.String()
}

// Message is the name in any language.
func (d Dimension) Message() message.Text { return traitOf(d).name }

// Example returns a quantity of the dimension as one would type it, for forms
// and messages: "8200 mi".
func (d Dimension) Example() string { return traitOf(d).example }

// MarshalText writes the name; the zero Dimension gives empty text.
func (d Dimension) MarshalText() ([]byte, error) {
	if d == 0 {
		return nil, nil
	}
	if !d.IsValid() {
		return nil, fmt.Errorf("units: no dimension has the number %d", uint8(d))
	}
	return []byte(d.String()), nil
}

// UnmarshalText reads a name as String writes it, in any case; empty text gives
// the zero Dimension.
func (d *Dimension) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = 0
		return nil
	}
	names := make([]string, 0, lastDimension)
	for _, known := range Dimensions() {
		if strings.EqualFold(known.String(), string(text)) {
			*d = known
			return nil
		}
		names = append(names, known.String())
	}
	return fmt.Errorf("%q is no dimension: write one of %s", text, strings.Join(names, ", "))
}

// withArticle is the name with its article.
func (d Dimension) withArticle() message.Text { return traitOf(d).one }
