package units

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/internal/message"
)

// System is a family of units that a reader is at home in.
type System uint8

// The systems. USCustomary differs from Imperial in its volumes.
const (
	Metric System = iota
	Imperial
	USCustomary
)

// String returns "metric", "imperial" or "US customary".
func (s System) String() string {
	switch s {
	case Metric:
		return "metric"
	case Imperial:
		return "imperial"
	case USCustomary:
		return "US customary"
	default:
		return "unknown"
	}
}

// MarshalText writes the name.
func (s System) MarshalText() ([]byte, error) {
	if s > USCustomary {
		return nil, fmt.Errorf("units: no system of units has the number %d", uint8(s))
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads a name in any case; empty text gives Metric.
func (s *System) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*s = Metric
		return nil
	}
	for _, known := range [...]System{Metric, Imperial, USCustomary} {
		if strings.EqualFold(known.String(), string(text)) {
			*s = known
			return nil
		}
	}
	return fmt.Errorf("%q is no system of units: write metric, imperial or US customary", text)
}

// Preferences say in which units a reader wants to see quantities. The zero
// value is metric.
type Preferences struct {
	System System `json:"system" yaml:"system"`
	// a unit for single dimensions, before the system
	Units map[Dimension]string `json:"units,omitempty" yaml:"units,omitempty"`
	// Counts is what the vehicle counts that is read about: EngineHours, or none for
	// Distance.
	Counts Dimension `json:"counts,omitzero" yaml:"-"`
}

// Counter is what is counted of what runs: Distance or EngineHours.
func (p Preferences) Counter() Dimension { return cmp.Or(p.Counts, Distance) }

// CounterUnit is the unit that is shown in: "km", "mi" or "h".
func (p Preferences) CounterUnit() string { return p.Preferred(p.Counter()) }

// Meter is how the instrument that counts it is called.
func (p Preferences) Meter() string {
	if p.Counts == EngineHours {
		return "hour meter"
	}
	return "odometer"
}

// Run shows so many kilometres or engine hours, whichever is counted, to the whole.
func (p Preferences) Run(x float64) string {
	return p.Show(Must(math.Floor(x+0.5), metricUnit(p.Counter())))
}

// Validate reports the first unit that does not belong to its dimension.
func (p Preferences) Validate() error {
	for _, d := range Dimensions() {
		symbol, set := p.Units[d]
		if !set {
			continue
		}
		if row := lookup(symbol); row == nil || row.dim != d || d == Money {
			return &Error{Text: symbol, Problem: message.Of("is no unit to show %s in", d.withArticle()), Want: want(d),
				Suggestion: offerUnits(d)}
		}
	}
	return nil
}

// Preferred returns the unit that quantities of a dimension are shown in when
// they have to be converted; empty where there is nothing to choose (Number,
// Money).
func (p Preferences) Preferred(d Dimension) string {
	if symbol, ok := p.override(d); ok {
		return symbol
	}
	if p.System == Metric {
		return metricUnit(d)
	}
	switch d {
	case Distance:
		return "mi"
	case Length:
		return "in"
	case Torque:
		return "lbf·ft"
	case Temperature:
		return "°F"
	case Pressure:
		return "psi"
	case Force:
		return "lbf"
	case RoadSpeed:
		return "mph"
	case Mass:
		return "lb"
	case Density:
		return "per 3 in"
	case Volume:
		if p.System == USCustomary {
			return "US qt"
		}
		return "imp pt"
	default:
		return metricUnit(d)
	}
}

// metricUnit returns the metric unit of a dimension for a reader.
func metricUnit(d Dimension) string {
	switch d {
	case TimeSpan:
		return "days"
	case Mass:
		return "kg"
	case Density:
		return "per 75 mm"
	case Money, Number:
		return ""
	default:
		if t := traitOf(d); len(t.suggest) > 0 {
			return t.suggest[0]
		}
		return ""
	}
}

// override returns the unit set for a single dimension, if it fits.
func (p Preferences) override(d Dimension) (string, bool) {
	row := lookup(p.Units[d])
	if row == nil || row.dim != d || d == Money {
		return "", false
	}
	return row.symbol, true
}

// Show writes a quantity for a reader. It is converted when its unit is foreign
// to the reader's system, or when a unit is set for its dimension; otherwise it
// keeps the unit it was typed in. Figures are rounded to what a reader needs
// (three or four significant digits, whole kilometres, whole degrees), never in
// front of the point and never to more digits than were typed. None gives empty
// text.
func (p Preferences) Show(q Quantity) string { return p.show(q, q.num.significant()) }

// ShowNominal is Show for what somebody has set, such as an interval: zeros that
// end a whole figure are taken as rounding and not as read, so that 30 000 mi is
// 48 300 km to a metric reader.
func (p Preferences) ShowNominal(q Quantity) string { return p.show(q, q.num.nominal()) }

// show writes a quantity whose figure claims so many significant digits.
func (p Preferences) show(q Quantity, digits int) string {
	if q.IsZero() {
		return ""
	}
	if target := p.unitFor(q); target != q.unit {
		q = q.to(target, digits)
	}
	if q.dim == Money {
		return dress(moneyText(q), q.unit)
	}
	if q.num.isFraction() {
		return dress(q.num.text, q.unit)
	}
	places := readerPlaces(q)
	if places >= q.num.decimals() {
		return dress(q.num.text, q.unit)
	}
	text := decimalText(q.num.rat(), places)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return dress(text, q.unit)
}

// unitFor returns the unit to show a quantity in.
func (p Preferences) unitFor(q Quantity) string {
	if symbol, ok := p.override(q.dim); ok {
		return symbol
	}
	if q.dim == Money || q.row().systems&(1<<p.System) != 0 {
		return q.unit
	}
	if q.dim != Length {
		return p.Preferred(q.dim)
	}
	const longFrom = 914.4 // mm, one yard: read in metres or feet from here on
	switch isLong := math.Abs(q.Base()) >= longFrom; {
	case isLong && p.System == Metric:
		return "m"
	case isLong:
		return "ft"
	default:
		return p.Preferred(Length)
	}
}

// UnitFor returns the unit that a reader is asked for figures in where a unit is
// usual; that unit itself where the reader is at home in it, or nobody knows it.
func (p Preferences) UnitFor(usual string) string {
	row := lookup(usual)
	if row == nil {
		return usual
	}
	return p.unitFor(Quantity{num: number{text: "1", value: 1}, unit: row.symbol, dim: row.dim})
}

// readerPlaces returns how many decimals a reader needs of a quantity.
func readerPlaces(q Quantity) int {
	size := math.Abs(q.num.value)
	switch {
	case q.dim == Temperature, q.dim == Speed, (q.dim == Distance || q.dim == EngineHours) && size >= 10:
		return 0
	case size == 0:
		return 0
	}
	_, exponent := leading(size)
	return min(max(0, traitOf(q.dim).digits-1-exponent), maxDecimals)
}

// moneyText returns an amount with all decimals of its currency, or with none
// when it was typed without.
func moneyText(q Quantity) string {
	if q.num.decimals() == 0 {
		return q.num.text
	}
	return decimalText(q.num.rat(), minorDigits(q.unit))
}
