package fleet

import "undertray.example/undertray/units"

// Run is one belt with the pulleys it goes over, in order of travel. What is
// not known is left out: the run is then worked out as far as it goes.
type Run struct {
	ID   string `yaml:"id" json:"id"`
	Name string `yaml:"name" json:"name"`
	// Belt is the position of the belt. In a file that holds a run alone it is
	// what is printed on the belt, such as 6PK1874, or nothing.
	Belt string `yaml:"belt" json:"belt"`
	// Typical says that its pulleys stand where such pulleys commonly do, in their
	// order: nothing of it was measured.
	Typical bool `yaml:"typical,omitempty" json:"typical,omitempty"`

	// Section, Ribs and Length describe the belt where no designation does:
	// PK, PJ, AV10, AV13 or flat, how many ribs, and the effective length.
	Section string          `yaml:"section,omitempty" json:"section,omitempty"`
	Ribs    int             `yaml:"ribs,omitempty" json:"ribs,omitempty"`
	Length  *units.Quantity `yaml:"length,omitempty" json:"length,omitempty" of:"length"`
	Stretch bool            `yaml:"stretch,omitempty" json:"stretch,omitempty"` // a stretch-fit belt
	// Mass is the weight of the whole belt. Without it the tones of spans and
	// the tensions read from them rest on an estimate.
	Mass *units.Quantity `yaml:"mass,omitempty" json:"mass,omitempty" of:"mass,positive"`

	// clockwise or anticlockwise, as drawn; empty: follows from the order
	Turns string `yaml:"turns,omitempty" json:"turns,omitempty"`
	// coefficient slip is judged with; 0: the usual
	Friction float64 `yaml:"friction,omitempty" json:"friction,omitempty"`

	// Engine speeds the run is worked out at.
	Idle    *units.Quantity `yaml:"idle,omitempty" json:"idle,omitempty" of:"speed of rotation,positive"`
	Usual   *units.Quantity `yaml:"usual,omitempty" json:"usual,omitempty" of:"speed of rotation,positive"`
	Maximum *units.Quantity `yaml:"maximum,omitempty" json:"maximum,omitempty" of:"speed of rotation,positive"`

	Tensioner *Tensioner `yaml:"tensioner,omitempty" json:"tensioner,omitempty"`
	Pulleys   []Pulley   `yaml:"pulleys" json:"pulleys"`

	// Measures are lengths taken on the run, from which its pulleys were placed.
	Measures []Measure `yaml:"measures,omitempty" json:"measures,omitempty"`
}

// Measure is one length taken on a run, by tape or calliper over the rims.
type Measure struct {
	// diameter, centres (of two pulleys), over (the outsides of both), gap (between
	// their rims), or belt: the effective length of the one that is on
	Kind  string         `yaml:"kind" json:"kind"`
	Of    string         `yaml:"of,omitempty" json:"of,omitempty"`   // a pulley
	And   string         `yaml:"and,omitempty" json:"and,omitempty"` // the other
	Reads units.Quantity `yaml:"reads" json:"reads" of:"length,positive"`
	// Within is its standard error; nil: the usual one of its kind.
	Within *units.Quantity `yaml:"within,omitempty" json:"within,omitempty" of:"length,positive"`
}

// Pulley is one pulley of a run, seen from the front of the engine: X to the
// right, Y upwards, from any origin.
type Pulley struct {
	Name     string         `yaml:"name" json:"name"`
	Position string         `yaml:"position,omitempty" json:"position,omitempty"` // position of the part it belongs to
	X        units.Quantity `yaml:"x" json:"x" of:"length"`
	Y        units.Quantity `yaml:"y" json:"y" of:"length"`
	Diameter units.Quantity `yaml:"diameter" json:"diameter" of:"length,positive"`
	// Measured says how the diameter was taken: outside (a caliper over the
	// groove tips), effective, over balls, plain (a smooth rim). Empty:
	// effective on the ribs, plain on the back.
	Measured string          `yaml:"measured,omitempty" json:"measured,omitempty"`
	Groove   *units.Quantity `yaml:"groove,omitempty" json:"groove,omitempty" of:"angle"` // full groove angle
	// ribs or back: what touches it
	Side   string `yaml:"side" json:"side"`
	Driver bool   `yaml:"driver,omitempty" json:"driver,omitempty"`

	// Power or Torque is what it takes out of the belt, one of them; neither
	// for a pulley that idles. Power is asked for at every speed, so torque
	// rises as speed falls.
	Power  *units.Quantity `yaml:"power,omitempty" json:"power,omitempty" of:"power"`
	Torque *units.Quantity `yaml:"torque,omitempty" json:"torque,omitempty" of:"torque,positive"`

	Alternator bool `yaml:"alternator,omitempty" json:"alternator,omitempty"`
	// fastest it may turn
	Maximum *units.Quantity `yaml:"maximum,omitempty" json:"maximum,omitempty" of:"speed of rotation,positive"`
	// of its plane, towards the viewer
	Offset  *units.Quantity `yaml:"offset,omitempty" json:"offset,omitempty" of:"length"`
	Bearing *Bearing        `yaml:"bearing,omitempty" json:"bearing,omitempty"`
}

// Tensioner is the pulley of a run that moves. Positions count from where the
// pulley is drawn: degrees anticlockwise for an arm, lengths along the slide.
type Tensioner struct {
	// spring arm, spring slider, sliding adjuster, swinging adjuster or fixed
	Kind string `yaml:"kind" json:"kind"`
	// name of the pulley that moves; none where all centres are fixed
	Pulley string `yaml:"pulley,omitempty" json:"pulley,omitempty"`

	PivotX *units.Quantity `yaml:"pivot_x,omitempty" json:"pivot_x,omitempty" of:"length"` // of an arm
	PivotY *units.Quantity `yaml:"pivot_y,omitempty" json:"pivot_y,omitempty" of:"length"`
	// direction of a slide, anticlockwise from the x axis
	Slide *units.Quantity `yaml:"slide,omitempty" json:"slide,omitempty" of:"angle"`

	Low  *units.Quantity `yaml:"low,omitempty" json:"low,omitempty"`   // stop on the clockwise or lower side, 0 or less
	High *units.Quantity `yaml:"high,omitempty" json:"high,omitempty"` // stop on the other side, 0 or more

	// as drawn: a torque about the pivot, a force along the slide
	Spring *units.Quantity `yaml:"spring,omitempty" json:"spring,omitempty" of:"any,positive"`
	// of the spring for each degree or mm towards a tighter spring
	Rise *units.Quantity `yaml:"rise,omitempty" json:"rise,omitempty"`
	// of an adjuster: tension of each span when set
	Set *units.Quantity `yaml:"set,omitempty" json:"set,omitempty" of:"force"`

	Marks []Mark `yaml:"marks,omitempty" json:"marks,omitempty"`
}

// Mark is an indicator mark of a tensioner.
type Mark struct {
	Name string         `yaml:"name" json:"name"`
	At   units.Quantity `yaml:"at" json:"at"`
}

// Bearing is the rolling bearing of a pulley, as a bearing list gives it.
type Bearing struct {
	Number string `yaml:"number,omitempty" json:"number,omitempty"` // as stamped on it
	// dynamic load rating C
	Rating   *units.Quantity `yaml:"rating,omitempty" json:"rating,omitempty" of:"force,positive"`
	Roller   bool            `yaml:"roller,omitempty" json:"roller,omitempty"` // rollers instead of balls
	Elements int             `yaml:"elements,omitempty" json:"elements,omitempty"`
	// diameter of a ball or roller
	Ball *units.Quantity `yaml:"ball,omitempty" json:"ball,omitempty" of:"length,positive"`
	// diameter of the circle of their centres
	Pitch      *units.Quantity `yaml:"pitch,omitempty" json:"pitch,omitempty" of:"length,positive"`
	OuterTurns bool            `yaml:"outer_turns,omitempty" json:"outer_turns,omitempty"`
	Share      float64         `yaml:"share,omitempty" json:"share,omitempty"` // of the hub load it takes; 0: all
}

// Run returns the run with this id, or nil.
func (v *Vehicle) Run(id string) *Run {
	for i := range v.Runs {
		if v.Runs[i].ID == id {
			return &v.Runs[i]
		}
	}
	return nil
}

// RunOf returns the run on which the position is the belt or one of the
// pulleys, or nil.
func (v *Vehicle) RunOf(position string) *Run {
	for i := range v.Runs {
		if v.Runs[i].Has(position) {
			return &v.Runs[i]
		}
	}
	return nil
}

// Has reports whether the position is the run's belt or one of its pulleys.
func (r *Run) Has(position string) bool {
	if r.Belt == position {
		return true
	}
	for _, p := range r.Pulleys {
		if p.Position == position {
			return true
		}
	}
	return false
}
