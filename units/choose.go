package units

import (
	"maps"

	"undertray.example/undertray/internal/message"
)

// Choice is one thing that a reader chooses a unit for.
type Choice struct {
	Of    Dimension
	Says  message.Text // what is measured in it
	Units []string     // to choose from, the metric one first
}

// Choices lists what a reader chooses units for. What goes with each follows it: road
// speeds go by distances, forces by torques, counts per length by lengths.
func Choices() []Choice {
	return []Choice{
		{Distance, "Distances driven", []string{"km", "mi"}},
		{Length, "Sizes and gaps", []string{"mm", "in"}},
		{Volume, "Fluids", []string{"l", "US gal", "US qt", "imp gal", "imp pt"}},
		{Torque, "Torques", []string{"N·m", "lbf·ft"}},
		{Pressure, "Pressures", []string{"kPa", "bar", "psi"}},
		{Temperature, "Temperatures", []string{"°C", "°F"}},
		{Mass, "Weights", []string{"kg", "lb"}},
	}
}

// follows are the dimensions that go by the unit of another, and in which unit where
// that is not the metric one.
var follows = map[Dimension]map[Dimension]string{
	Distance: {RoadSpeed: "mph"},
	Torque:   {Force: "lbf"},
	Length:   {Density: "per 3 in"},
}

// Chosen are the preferences of a reader who chose a unit for each of some of Choices;
// the others are metric. A unit that is none of a choice is passed over.
func Chosen(by map[Dimension]string) Preferences {
	p, us := Preferences{Units: map[Dimension]string{}}, Preferences{System: USCustomary}
	american := true
	for _, c := range Choices() {
		unit := by[c.Of]
		american = american && unit == us.Preferred(c.Of)
		if row := lookup(unit); row == nil || row.dim != c.Of || row.symbol == c.Units[0] {
			continue
		}
		p.Units[c.Of] = unit
		for d, other := range follows[c.Of] {
			if lookup(unit).systems&metric == 0 {
				p.Units[d] = other
			}
		}
	}
	switch {
	case american:
		return us
	case len(p.Units) == 0:
		return Preferences{}
	}
	return p
}

// Same reports whether two readers are shown everything alike.
func (p Preferences) Same(other Preferences) bool {
	return p.System == other.System && maps.Equal(p.Units, other.Units)
}

// Named names a unit in a word or two for whoever chooses: "miles"; "" for one that is not
// known.
func Named(symbol string) message.Text {
	row := lookup(symbol)
	if row == nil {
		return ""
	}
	names := map[string]message.Text{"km": "kilometres", "mi": "miles", "mm": "millimetres", "in": "inches",
		"l":      "litres",
		"US gal": "gallons of the United States", "US qt": "quarts",
		"imp gal": "imperial gallons", "imp pt": "imperial pints",
		"N·m": "newton metres", "lbf·ft": "pound feet",
		"kPa": "kilopascals", "bar": "bar", "psi": "pounds to the square inch",
		"°C": "degrees Celsius", "°F": "degrees Fahrenheit", "kg": "kilograms", "lb": "pounds"}
	return names[row.symbol]
}
