package fleet

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Counter is what the instrument of a vehicle counts: what its parts age by besides
// time. Empty: distance.
type Counter string

// The counters.
const (
	ByDistance Counter = "distance"
	ByHours    Counter = "hours" // of its engine: a tractor, boat or generator
)

// UnmarshalText reads a counter.
func (c *Counter) UnmarshalText(text []byte) error {
	if *c = Counter(text); *c != ByDistance && *c != ByHours {
		return message.Errorf("%q is not what a vehicle counts: write distance or hours", text)
	}
	return nil
}

// Dimension is what is counted, as a quantity.
func (c Counter) Dimension() units.Dimension {
	if c == ByHours {
		return units.EngineHours
	}
	return units.Distance
}

// Example is a reading as one would type it, in one unit or the other.
func (c Counter) Example() message.Text {
	if c == ByHours {
		return message.Name("1240 h")
	}
	return message.Of("%s or %s", message.Name("184310 km"), message.Name("114525 mi"))
}

// Meter is how the instrument is called.
func (c Counter) Meter() message.Text { return told.Meter(units.Preferences{Counts: c.Dimension()}) }

// unit is that in which totals are counted.
func (c Counter) unit() string {
	if c == ByHours {
		return "h"
	}
	return "km"
}

// Reads reports whether a quantity is one that the instrument shows.
func (c Counter) Reads(q units.Quantity) bool {
	return q.Dimension() == c.Dimension() && q.Value() >= 0
}

// Split hands so much of what is counted to the field that names its unit.
func (c Counter) Split(x float64) (km, hours *float64) {
	if c == ByHours {
		return nil, &x
	}
	return &x, nil
}

// maxDaily is how much of it in a day is taken for a slip of the pen.
func (c Counter) maxDaily() float64 {
	if c == ByHours {
		return 24
	}
	return MaxDailyDistance
}

// ReadIn says in which units the vehicle is read about.
func (v *Vehicle) ReadIn(p units.Preferences) {
	v.Reader = p
	v.Reader.Counts = 0
	if v.Counts == ByHours {
		v.Reader.Counts = units.EngineHours
	}
}

// InHours puts what the sheet of a vehicle that counts hours says in hours in the place of
// distances, so that all that asks for a distance is told hours.
func (v *Vehicle) InHours() {
	for _, a := range []*Again{&v.OilChange, &v.Look} {
		a.inHours()
	}
	for i := range v.Positions {
		p := &v.Positions[i]
		for j := range p.Intervals {
			p.Intervals[j].InHours()
		}
		for j := range p.Limits {
			p.Limits[j].InHours()
		}
	}
}
