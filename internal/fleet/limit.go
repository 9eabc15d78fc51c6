package fleet

import (
	"cmp"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Limit says where a check's answer changes the verdict, and who says so.
// Exactly one condition is set: Is for a check answered in words, or a bound
// for a check answered by a figure. With AtLeast and LessThan both set the
// limit is a band.
type Limit struct {
	// Check is the id of the check it belongs to. In the catalogue it is
	// filled in by the loader, since a limit stands inside its check there;
	// in a vehicle sheet it is written.
	Check string `yaml:"check,omitempty" json:"check,omitempty"`

	Is       string          `yaml:"is,omitempty" json:"is,omitempty"`
	AtLeast  *units.Quantity `yaml:"at_least,omitempty" json:"at_least,omitempty"`
	MoreThan *units.Quantity `yaml:"more_than,omitempty" json:"more_than,omitempty"`
	AtMost   *units.Quantity `yaml:"at_most,omitempty" json:"at_most,omitempty"`
	LessThan *units.Quantity `yaml:"less_than,omitempty" json:"less_than,omitempty"`

	// Materials restricts the limit to parts of these materials; empty means
	// all. A part of unknown material is held to every material's limits.
	Materials []string `yaml:"materials,omitempty" json:"materials,omitempty"`

	Verdict   Verdict   `yaml:"verdict" json:"verdict"`
	Authority Authority `yaml:"authority" json:"authority"`
	Source    Sources   `yaml:"source" json:"source"`                   // keys of sources, or a handbook page, in words
	Says      string    `yaml:"says" json:"says"`                       // the rule in one plain sentence
	Again     *Again    `yaml:"again,omitempty" json:"again,omitempty"` // for watch: when to look again
	Do        Action    `yaml:"do,omitempty" json:"do,omitempty"`       // what puts it right
	By        *Deadline `yaml:"by,omitempty" json:"by,omitempty"`       // for put right: by when
	// Driven says that the verdict is meant for a belt the vehicle cannot do
	// without, and follows what the belt of the run turns: BeltFails or BeltGone.
	Driven string `yaml:"driven,omitempty" json:"driven,omitempty"`
	// Turned is the rule with what the belt of the run turns, where it follows that.
	Turned message.Text `yaml:"-" json:"-"`
}

// Rule is the rule in words.
func (l *Limit) Rule() message.Text { return cmp.Or(l.Turned, message.Name(l.Says)) }

// What a limit that follows the belt's run tells of the belt.
const (
	BeltFails = "fails" // it may break or come off any moment
	BeltGone  = "gone"  // it is not there
)

// Again says when to look at a part again: after a distance, a time, or
// whichever comes first.
type Again struct {
	Distance *units.Quantity `yaml:"distance,omitempty" json:"distance,omitempty" of:"distance,positive"`
	// Hours stands in the place of Distance in the sheet of a vehicle that counts hours,
	// and is put there once it is read.
	Hours *units.Quantity `yaml:"hours,omitempty" json:"hours,omitempty" of:"engine hours,positive"`
	Time  *units.Quantity `yaml:"time,omitempty" json:"time,omitempty" of:"time span,positive"`
}

func (a *Again) inHours() { a.Distance, a.Hours = a.Hours, nil }

// MarshalYAML writes hours where a sheet says them.
func (a Again) MarshalYAML() (any, error) {
	type plain Again
	a.Distance, a.Hours = sheetHours(a.Distance, a.Hours)
	return plain(a), nil
}

// sheetHours are a distance and hours as a sheet says them: what counts hours holds those in
// the place of its distance once it is read.
func sheetHours(distance, hours *units.Quantity) (_, _ *units.Quantity) {
	if distance != nil && distance.Dimension() == units.EngineHours {
		return nil, distance
	}
	return distance, hours
}

// Interval is a distance and/or a time after which something is due.
type Interval struct {
	// Do is what is due: "replace" or "inspect".
	Do string `yaml:"do" json:"do"`
	// Distance and Time are the earliest figures the authority gives; the
	// part is due at whichever comes first.
	Distance *units.Quantity `yaml:"distance,omitempty" json:"distance,omitempty" of:"distance,positive"`
	Time     *units.Quantity `yaml:"time,omitempty" json:"time,omitempty" of:"time span,positive"`
	// Hours is the figure for a vehicle that counts hours, for which it stands in the
	// place of Distance, as HoursTo does of DistanceTo (see InHours); an interval with
	// Hours and without Distance is for such vehicles alone.
	Hours   *units.Quantity `yaml:"hours,omitempty" json:"hours,omitempty" of:"engine hours,positive"`
	HoursTo *units.Quantity `yaml:"hours_to,omitempty" json:"hours_to,omitempty" of:"engine hours,positive"`
	// NoHours says that the authority's distance was left out for a vehicle that counts
	// hours, and that none in hours is known.
	NoHours bool `yaml:"-" json:"no_hours,omitempty"`
	// DistanceTo and TimeTo are the far ends where the authority gives a
	// range; they are shown, and the near ends count.
	DistanceTo *units.Quantity `yaml:"distance_to,omitempty" json:"distance_to,omitempty" of:"distance,positive"`
	TimeTo     *units.Quantity `yaml:"time_to,omitempty" json:"time_to,omitempty" of:"time span,positive"`
	// NotBefore is the vehicle's distance before which it is not due: "at
	// 150,000 km, unless changed within 100,000" is a distance of 100,000 km
	// that is not due before 150,000 km.
	NotBefore *units.Quantity `yaml:"not_before,omitempty" json:"not_before,omitempty" of:"distance,positive"`
	// EachOilChange makes an inspection due with every oil change of the
	// vehicle sheet.
	EachOilChange bool `yaml:"each_oil_change,omitempty" json:"each_oil_change,omitempty"`
	// OnCondition says that the authority names no figure: the part is
	// changed when a check says so.
	OnCondition bool      `yaml:"on_condition,omitempty" json:"on_condition,omitempty"`
	Materials   []string  `yaml:"materials,omitempty" json:"materials,omitempty"`
	Authority   Authority `yaml:"authority" json:"authority"`
	Source      Sources   `yaml:"source" json:"source"`
	Says        string    `yaml:"says,omitempty" json:"says,omitempty"`
}

// InHours turns the interval into what it says to a vehicle that counts hours. A distance
// is no measure of hours: where there is no figure in hours the time alone counts, and
// without that the part is changed on condition. It returns false for an inspection of
// which nothing is left.
func (iv *Interval) InHours() bool {
	iv.NoHours = iv.Distance != nil && iv.Hours == nil
	iv.Distance, iv.DistanceTo, iv.NotBefore = iv.Hours, iv.HoursTo, nil
	iv.Hours, iv.HoursTo = nil, nil
	if !iv.NoHours || iv.Time != nil || iv.EachOilChange {
		return true
	}
	iv.OnCondition = iv.Do == DoReplace
	return iv.OnCondition
}

// MarshalYAML writes hours where a sheet says them.
func (iv Interval) MarshalYAML() (any, error) {
	type plain Interval
	iv.Distance, iv.Hours = sheetHours(iv.Distance, iv.Hours)
	iv.DistanceTo, iv.HoursTo = sheetHours(iv.DistanceTo, iv.HoursTo)
	return plain(iv), nil
}

// InHours leaves out the distances of a limit for a vehicle that counts hours: its times
// count. A deadline without one is then before the next drive.
func (l *Limit) InHours() {
	if l.Again != nil {
		l.Again.inHours()
	}
	if l.By != nil && l.By.Distance != nil && l.By.Distance.Dimension() == units.Distance {
		l.By.Distance = nil
		if l.By.Time == nil {
			l.By.Occasion = BeforeNextDrive
		}
	}
}

// The two things an Interval may ask for.
const (
	DoReplace = "replace"
	DoInspect = "inspect"
)

// DoPutRight is what a job sheet does about a part that is neither changed nor
// only looked at: it is topped up, tightened, found out about.
const DoPutRight = "put right"
