package catalogue

import (
	"slices"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Kind is all that is known about one sort of part.
type Kind struct {
	ID     string `yaml:"kind" json:"kind"`
	Name   string `yaml:"name" json:"name"`
	Plural string `yaml:"plural,omitempty" json:"plural,omitempty"`
	// Also lists other words for it, British and American; search finds them.
	Also   []string `yaml:"also,omitempty" json:"also,omitempty"`
	System string   `yaml:"system" json:"system"`
	About  string   `yaml:"about,omitempty" json:"about,omitempty"`
	// Drawn is what is drawn at its positions on the plan of a vehicle; empty:
	// a mark alone. An heir has a look of its own.
	Drawn draw.Shape `yaml:"drawn,omitempty" json:"drawn,omitempty"`
	// Belt says that the kind is a belt, and of which section: ribbed, stretch
	// (a ribbed belt without a tensioner), v or toothed.
	Belt string `yaml:"belt,omitempty" json:"belt,omitempty"`
	// LoadedBy is the driver's switch that puts a load on it while it turns: air
	// conditioning.
	LoadedBy string `yaml:"loaded_by,omitempty" json:"loaded_by,omitempty"`
	// OilChange is "sets" for the part whose change is the vehicle's oil
	// change, to which visits keep time, and "joins" for one changed with it.
	OilChange string `yaml:"oil_change,omitempty" json:"oil_change,omitempty"`
	// Contradictions lists findings that cannot all be true.
	Contradictions []Contradiction `yaml:"contradictions,omitempty" json:"contradictions,omitempty"`
	// IfUnknown is set where a wrong guess at the age of a part hurts: one of
	// unknown history is dealt with at once. Others are looked at first.
	IfUnknown *IfUnknown `yaml:"if_unknown,omitempty" json:"if_unknown,omitempty"`
	// Until is what to mind while a part that is to be put right is still in.
	Until string `yaml:"until,omitempty" json:"until,omitempty"`
	// Inherits names a kind whose whole knowledge this one takes over; what
	// stands here is added, and an item with the same id replaces the other.
	Inherits string `yaml:"inherits,omitempty" json:"inherits,omitempty"`
	// Remove lists checks that are not taken over from the inherited kind, or
	// from the built-in one in an owner's own file.
	Remove []string `yaml:"remove,omitempty" json:"remove,omitempty"`

	// Materials lists what a part of the kind can be of, or the variants of it
	// that are judged differently. A kind without them takes any word.
	Materials []string `yaml:"materials,omitempty" json:"materials,omitempty"`
	// Spec names the figures of the part that checks are measured against.
	Spec []SpecFigure `yaml:"spec,omitempty" json:"spec,omitempty"`

	Checks    []Check          `yaml:"checks,omitempty" json:"checks,omitempty"`
	Intervals []fleet.Interval `yaml:"intervals,omitempty" json:"intervals,omitempty"`
	// Causes lists, for each symptom, what brings it about, likeliest first.
	Causes []Cause `yaml:"causes,omitempty" json:"causes,omitempty"`
	// First lists what is put right before the part is changed.
	First []First `yaml:"first,omitempty" json:"first,omitempty"`
	// With lists what is changed, or looked at, along with it.
	With []With `yaml:"with,omitempty" json:"with,omitempty"`
	// Set is what is sold and priced as one with it.
	Set *Set `yaml:"set,omitempty" json:"set,omitempty"`
	// Leaves says what changing it leaves undone on the machine until a later step
	// undoes it: the closing of an opening that leaves the same, or an Undoing.
	Leaves []machine.Undone `yaml:"leaves,omitempty" json:"leaves,omitempty"`
	// Emptied says what is best out when it is changed: where a sheet takes that
	// out anyway, this is changed before it is back.
	Emptied []machine.Undone `yaml:"emptied,omitempty" json:"emptied,omitempty"`
	// BatteryOff says that it is changed with the battery off.
	BatteryOff bool `yaml:"battery_off,omitempty" json:"battery_off,omitempty"`
	// Between is what its change is where a sheet takes it out and puts it in by steps
	// of their own.
	Between *Between `yaml:"between,omitempty" json:"between,omitempty"`
	// After lists what is done once the part is in and everything is closed:
	// a leak check, a hold test, a second look at the tension.
	After []After `yaml:"after,omitempty" json:"after,omitempty"`
	// Driven says what it means when this stands still, for what a belt turns
	// and for a belt that always turns the same.
	Driven *Driven `yaml:"driven,omitempty" json:"driven,omitempty"`
	// Life says how the kind fails, where it can let the owner down; without
	// it no chance is reckoned.
	Life     *Life    `yaml:"life,omitempty" json:"life,omitempty"`
	Cautions []string `yaml:"cautions,omitempty" json:"cautions,omitempty"`
	Never    []string `yaml:"never,omitempty" json:"never,omitempty"`
	Tips     []string `yaml:"tips,omitempty" json:"tips,omitempty"`
	Sources  []string `yaml:"sources,omitempty" json:"sources,omitempty"`

	glances []Check // the catalogue's, see Looks.AtAGlance
}

// SpecFigure names a figure of a part: "marked pressure", "free span".
type SpecFigure struct {
	ID   string `yaml:"id" json:"id"`
	Name string `yaml:"name" json:"name"`
	Unit string `yaml:"unit" json:"unit"` // unit it is usually given in
}

// AnswerType says how a check is answered.
type AnswerType string

// The types of answers.
const (
	Choice AnswerType = "choice" // one of the check's answers
	Figure AnswerType = "figure" // a quantity in the check's unit
	Count  AnswerType = "count"  // a figure that was counted, and scatters like one
)

// AnswerTypes lists every type of answer.
func AnswerTypes() []AnswerType { return []AnswerType{Choice, Figure, Count} }

// Check is one thing to look at, feel, listen to or measure.
type Check struct {
	ID string `yaml:"id" json:"id"`
	// Name is a short heading, "Cracks on one rib"; empty: made from ID.
	Name     string `yaml:"name,omitempty" json:"name,omitempty"`
	Sense    string `yaml:"sense" json:"sense"` // look, feel, listen, smell, measure, record
	Question string `yaml:"question" json:"question"`
	How      string `yaml:"how" json:"how"`
	Caution  string `yaml:"caution,omitempty" json:"caution,omitempty"`
	// HighVoltage says that it comes near the high-voltage cables of a hybrid or
	// electric vehicle.
	HighVoltage bool `yaml:"high_voltage,omitempty" json:"high_voltage,omitempty"`
	// Engine is the state the engine must be in; BeltOff says that the belt
	// must be off.
	Engine  fleet.EngineState `yaml:"engine,omitempty" json:"engine,omitempty"`
	BeltOff bool              `yaml:"belt_off,omitempty" json:"belt_off,omitempty"`
	// Needs is what the check does with the machine, where that is more than
	// Engine says: turning it on the starter.
	Needs machine.Use `yaml:"needs,omitempty" json:"needs,omitempty"`
	// Helper says that it takes a second person.
	Helper bool `yaml:"helper,omitempty" json:"helper,omitempty"`
	// Now and then: a check asked only when its part is open or when another
	// finding calls for it is marked, and left out of an ordinary round.
	OnDemand bool `yaml:"on_demand,omitempty" json:"on_demand,omitempty"`
	// OnTrip says that it is made each morning of a long trip, Sound that a
	// recording can answer it, Run what the answer tells of the belt's run:
	// one of RunTells.
	OnTrip bool   `yaml:"on_trip,omitempty" json:"on_trip,omitempty"`
	Sound  bool   `yaml:"sound,omitempty" json:"sound,omitempty"`
	Run    string `yaml:"run,omitempty" json:"run,omitempty"`

	// Type says how it is answered: by one of Answers, or by a figure in Unit.
	Type    AnswerType `yaml:"answer" json:"answer"`
	Answers []Answer   `yaml:"answers,omitempty" json:"answers,omitempty"`
	// NoPlates says why none of the answers is drawn.
	NoPlates string `yaml:"no_plates,omitempty" json:"no_plates,omitempty"`

	// Unit is the unit a figure is usually given in. Where Of names a spec
	// figure of the part, limits in % are shares of that figure.
	Unit string `yaml:"unit,omitempty" json:"unit,omitempty"`
	Of   string `yaml:"of,omitempty" json:"of,omitempty"`
	// Symptom is what a figure past a limit is a sign of.
	Symptom string `yaml:"symptom,omitempty" json:"symptom,omitempty"`

	// Possible bounds the figures that can be, Likely those that are seldom
	// mistaken: a figure outside is refused, or asked for again.
	Possible *Bounds `yaml:"possible,omitempty" json:"possible,omitempty"`
	Likely   *Bounds `yaml:"likely,omitempty" json:"likely,omitempty"`

	Limits []fleet.Limit `yaml:"limits,omitempty" json:"limits,omitempty"`
	// Wear says that the figure grows, or falls, as the part wears, so that
	// the day it meets a limit can be forecast.
	Wear *Wear `yaml:"wear,omitempty" json:"wear,omitempty"`
	// Photograph says that a photograph can answer the check.
	Photograph *Photograph `yaml:"photograph,omitempty" json:"photograph,omitempty"`

	reader units.Preferences // see For
}

// Bounds are the least and the greatest of some figures, both among them; nil
// for none. Says is why there is nothing beyond.
type Bounds struct {
	From   *units.Quantity `yaml:"from,omitempty" json:"from,omitempty"`
	To     *units.Quantity `yaml:"to,omitempty" json:"to,omitempty"`
	Says   string          `yaml:"says,omitempty" json:"says,omitempty"`
	Source fleet.Sources   `yaml:"source" json:"source"`
}

// Hold reports whether a figure lies within the bounds. One that cannot be
// compared with them, a share of a figure of the part, does; and so does any
// within no bounds.
func (b *Bounds) Hold(q units.Quantity) bool {
	if b == nil {
		return true
	}
	below := func(a, b *units.Quantity) bool {
		if a == nil || b == nil {
			return false
		}
		c, err := a.Compare(*b)
		return err == nil && c < 0
	}
	return !below(&q, b.From) && !below(b.To, &q)
}

// Span writes bounds on figures of the check: "0 V to 32 V", or the one there is.
func (c *Check) Span(b *Bounds) message.Text {
	switch {
	case b.From == nil:
		return message.Of("up to %s", c.Shown(*b.To))
	case b.To == nil:
		return message.Of("%s and up", c.Shown(*b.From))
	}
	return message.Of("%s to %s", c.Shown(*b.From), c.Shown(*b.To))
}

// Wear is what is believed of a figure's course before it has been measured.
type Wear struct {
	// Start is the figure of a new part.
	Start  *units.Quantity `yaml:"start,omitempty" json:"start,omitempty"`
	Source fleet.Sources   `yaml:"source" json:"source"`
}

// What a photograph shows.
const (
	OfCracks  = ""        // a belt's ribs from above: cracks are counted
	OfProfile = "profile" // a belt along its ribs: how much of them is worn off
	OfGauge   = "gauge"   // the same with a wear gauge in the grooves: whether it stands above the tips
	OfHose    = "hose"    // a hose from the side: how much thicker it is than its own sound part
)

// Photograph is what an answer by a photograph rests on: the pitch of a belt's ribs gives it its scale. A hose has
// none, and is compared with itself.
type Photograph struct {
	Of       string     `yaml:"of,omitempty" json:"of,omitempty"`
	Sections []RibPitch `yaml:"sections,omitempty" json:"sections,omitempty"` // the usual one first
	// New names the two figures of the part (spec) that say better what its rib measured when it was new: height and
	// width.
	New []string `yaml:"new,omitempty" json:"new,omitempty"`
	// Closest names the count of the same kind that cracks on 25 mm, where they stand closest, answer as well.
	Closest string        `yaml:"closest,omitempty" json:"closest,omitempty"`
	Source  fleet.Sources `yaml:"source" json:"source"`
}

// RibPitch is how far apart the ribs of a belt section are and, to tell what is worn off, what a new rib may measure:
// the least and the most.
type RibPitch struct {
	Name   string           `yaml:"name" json:"name"`
	Pitch  units.Quantity   `yaml:"pitch" json:"pitch"`
	Height []units.Quantity `yaml:"height,omitempty" json:"height,omitempty"`
	Width  []units.Quantity `yaml:"width,omitempty" json:"width,omitempty"` // half way up
}

// Section returns the section of that name, the usual one where there is none of it.
func (p *Photograph) Section(name string) (RibPitch, bool) {
	for _, s := range p.Sections {
		if strings.EqualFold(s.Name, name) {
			return s, true
		}
	}
	if len(p.Sections) == 0 {
		return RibPitch{}, false
	}
	return p.Sections[0], false
}

// Life says how an authority's interval is read as a life: as the age by which
// a share of parts has failed, with a shape (Weibull's: 1 chance, above 2
// wearing out), unless such parts fail at any age, which AnyAge says how likely it
// is. Fields left out are the catalogue's general ones.
type Life struct {
	// LetsDown says in a few words what happens when it fails.
	LetsDown string `yaml:"lets_down" json:"lets_down"`
	// Strands says that the vehicle cannot go on.
	Strands bool    `yaml:"strands,omitempty" json:"strands,omitempty"`
	Share   float64 `yaml:"share,omitempty" json:"share,omitempty"`
	Shape   float64 `yaml:"shape,omitempty" json:"shape,omitempty"`
	AnyAge  float64 `yaml:"any_age,omitempty" json:"any_age,omitempty"`
	// Carry lists what to have on board, and Roadside says what can be done
	// with it beside the road.
	Carry    []string      `yaml:"carry,omitempty" json:"carry,omitempty"`
	Roadside string        `yaml:"roadside,omitempty" json:"roadside,omitempty"`
	Mend     *Mend         `yaml:"mend,omitempty" json:"mend,omitempty"`
	Source   fleet.Sources `yaml:"source" json:"source"`
}

// Mend says how far all of Carry helps beside the road: in which share of
// failures the vehicle goes on, and what that takes, waiting until it is cold
// included. InPlace says that the part is mended where it is seen, not changed;
// Leaves what may be undone for it that is otherwise no work for the roadside.
type Mend struct {
	Holds   float64          `yaml:"holds" json:"holds"`
	Minutes float64          `yaml:"minutes" json:"minutes"`
	InPlace bool             `yaml:"in_place,omitempty" json:"in_place,omitempty"`
	Leaves  []machine.Undone `yaml:"leaves,omitempty" json:"leaves,omitempty"`
	Spare   *Spare           `yaml:"spare,omitempty" json:"spare,omitempty"`
}

// Spare is what of Carry is used up by mending once. FitsOne says that it is of a
// size that fits one part of a vehicle; Ages that it is such a part itself, which
// ages unused as the kind's interval of time says.
type Spare struct {
	Thing   string `yaml:"thing" json:"thing"`
	FitsOne bool   `yaml:"fits_one,omitempty" json:"fits_one,omitempty"`
	Ages    bool   `yaml:"ages,omitempty" json:"ages,omitempty"`
}

// IfUnknown says why a part of unknown history that would be past its interval
// if it were as old as the vehicle is dealt with at once, and what is done:
// a change where Do is empty. OnceLooked says that a look comes first, and that
// one which finds nothing does not tell its age.
type IfUnknown struct {
	Do         fleet.Action  `yaml:"do,omitempty" json:"do,omitempty"`
	OnceLooked bool          `yaml:"once_looked,omitempty" json:"once_looked,omitempty"`
	Says       string        `yaml:"says" json:"says"`
	Source     fleet.Sources `yaml:"source" json:"source"`
}

// Contradiction lists what cannot all be found on one part at one moment, and
// says why: it is asked again.
type Contradiction struct {
	All    []Claim       `yaml:"all" json:"all"`
	Says   string        `yaml:"says" json:"says"`
	Source fleet.Sources `yaml:"source" json:"source"`
}

// Claim is one side of a contradiction: one of some answers to a check, a
// figure within bounds, or what the arithmetic of the belt's run says. It is
// made of the part itself or, where Kinds names some, of another part of the
// vehicle of one of these kinds, which Where may want on the same run. Still
// wants it of the look before as well: what has only just begun may be true
// beside what it leads to.
type Claim struct {
	Kinds   []string        `yaml:"kinds,omitempty" json:"kinds,omitempty"`
	Where   string          `yaml:"where,omitempty" json:"where,omitempty"` // OnRun or empty
	Still   bool            `yaml:"still,omitempty" json:"still,omitempty"`
	Check   string          `yaml:"check,omitempty" json:"check,omitempty"`
	Is      []string        `yaml:"is,omitempty" json:"is,omitempty"`
	AtLeast *units.Quantity `yaml:"at_least,omitempty" json:"at_least,omitempty"`
	AtMost  *units.Quantity `yaml:"at_most,omitempty" json:"at_most,omitempty"`
	Run     string          `yaml:"run,omitempty" json:"run,omitempty"`
}

// RunMiddle is a claim of a run: with the belt that is fitted its tensioner
// stands well within its travel.
const RunMiddle = "middle"

// Made reports whether a finding makes the claim.
func (c *Claim) Made(f *fleet.Found) bool {
	switch {
	case f.Check != c.Check:
		return false
	case f.Value == nil:
		return slices.Contains(c.Is, f.Answer)
	case c.AtLeast == nil && c.AtMost == nil:
		return false
	}
	within := Bounds{From: c.AtLeast, To: c.AtMost}
	return within.Hold(*f.Value)
}

// Driven is what it means when a machine that a belt turns stands still. A belt
// that turns several means what the gravest of them does.
type Driven struct {
	// Failure is stop, drive-gently or cut-off-and-drive-on.
	Failure string `yaml:"failure" json:"failure"`
	// NoStart says that the engine is not even started while it stands still.
	NoStart bool          `yaml:"no_start,omitempty" json:"no_start,omitempty"`
	Says    string        `yaml:"says" json:"says"`
	Source  fleet.Sources `yaml:"source" json:"source"`
}

// What is done when a driven machine stands still, the gravest first.
const (
	Stop             = "stop"
	DriveGently      = "drive-gently"
	CutOffAndDriveOn = "cut-off-and-drive-on"
)

// Failures lists what is done when a driven machine stands still, the gravest
// first.
func Failures() []string { return []string{Stop, DriveGently, CutOffAndDriveOn} }

// Reading is how intervals are read as lives unless a kind says otherwise:
// Share of parts have failed by then, give or take LogSD (the standard
// deviation of the logarithm), with a Weibull shape of Shape, give or take
// ShapeLogSD, or of 1, as likely as AnyAge says.
type Reading struct {
	Share      float64       `yaml:"share" json:"share"`
	LogSD      float64       `yaml:"log_sd" json:"log_sd"`
	Shape      float64       `yaml:"shape" json:"shape"`
	ShapeLogSD float64       `yaml:"shape_log_sd" json:"shape_log_sd"`
	AnyAge     float64       `yaml:"any_age" json:"any_age"`
	Says       string        `yaml:"says" json:"says"`
	Source     fleet.Sources `yaml:"source" json:"source"`
}

// Answer is one of the words a check is answered in.
type Answer struct {
	ID  string `yaml:"id" json:"id"`
	Say string `yaml:"say" json:"say"`
	// Symptom is what the answer is a sign of: oil, coolant, heat, rub,
	// misalignment, slip, age ... Empty for a good answer.
	Symptom string `yaml:"symptom,omitempty" json:"symptom,omitempty"`
	// Plate is the drawing of what it looks or feels like, in short form: "ribs cracks=3
	// reach=cord"; empty: there is none, and NoPlate, or the check's, says why.
	Plate   plate.Spec `yaml:"plate,omitempty" json:"plate,omitempty"`
	NoPlate string     `yaml:"no_plate,omitempty" json:"no_plate,omitempty"`
}

// Cause lists what brings a symptom about, likeliest first.
type Cause struct {
	Of     string        `yaml:"of" json:"of"` // symptom
	Likely []string      `yaml:"likely" json:"likely"`
	Source fleet.Sources `yaml:"source" json:"source"`
}

// First is something to put right before a part is changed.
type First struct {
	When []string `yaml:"when,omitempty" json:"when,omitempty"` // symptoms; empty: always
	// Open says that it is done with the part's openings made; others are looked
	// for before anything is drained or taken apart.
	Open   bool          `yaml:"open,omitempty" json:"open,omitempty"`
	Do     string        `yaml:"do" json:"do"`
	Source fleet.Sources `yaml:"source" json:"source"`
}

// With is something changed or looked at along with a part. Either Kinds
// names kinds, which the judge turns into positions of the vehicle, or Say
// alone names something that has no position (new washers).
type With struct {
	When  []string `yaml:"when,omitempty" json:"when,omitempty"` // symptoms; empty: always
	Kinds []string `yaml:"kinds,omitempty" json:"kinds,omitempty"`
	// Where restricts Kinds to positions on the same run, in the same
	// system, declared neighbours, the same axle pair, or the whole vehicle.
	Where string `yaml:"where,omitempty" json:"where,omitempty"` // run, system, neighbour, vehicle
	// Age restricts Kinds to parts of the same age ("same": fitted within a
	// year of it or before it, or unknown), or older than a time.
	Age       string          `yaml:"age,omitempty" json:"age,omitempty"`
	OlderThan *units.Quantity `yaml:"older_than,omitempty" json:"older_than,omitempty"`
	// Only looks: inspect them, do not change them.
	Inspect bool          `yaml:"inspect,omitempty" json:"inspect,omitempty"`
	Say     string        `yaml:"say" json:"say"`
	Source  fleet.Sources `yaml:"source" json:"source"`
}

// Set names what is sold, priced and changed as one with a part: those of its
// companions that are of these kinds.
type Set struct {
	Name  string   `yaml:"name" json:"name"`
	Kinds []string `yaml:"kinds" json:"kinds"`
	// Whole says that none of it is changed without the others.
	Whole  bool          `yaml:"whole,omitempty" json:"whole,omitempty"`
	Source fleet.Sources `yaml:"source" json:"source"`
}

// Between is what is done between the draining of a fluid and its filling, or once
// a belt is off and before it is laid on. New stands before what is put in. Before
// says that it is done before the opening that lets the fluid out, which is not
// drained but follows through.
type Between struct {
	Do     string        `yaml:"do" json:"do"`
	New    string        `yaml:"new" json:"new"`
	Before bool          `yaml:"before,omitempty" json:"before,omitempty"`
	Source fleet.Sources `yaml:"source" json:"source"`
}

// After is a test or a second look once a part has been changed.
type After struct {
	// ID lets an heir put its own in the place of an inherited one.
	ID     string            `yaml:"id,omitempty" json:"id,omitempty"`
	Do     string            `yaml:"do" json:"do"`
	Engine fleet.EngineState `yaml:"engine,omitempty" json:"engine,omitempty"`
	// Needs is what it does with the machine, where that is more than Engine
	// says; Raised that the vehicle stays on its stands for it; Uncovered that it
	// is made at each such part once its belt lies and pulls as it is driven, and
	// before what hides it is put back; Starts that it is what the engine is first
	// run for, and in which place; Sight that the part is watched, so that it is left
	// out where a timing cover lies over it; Named that it says of which parts.
	Needs     machine.Use   `yaml:"needs,omitempty" json:"needs,omitempty"`
	Raised    bool          `yaml:"raised,omitempty" json:"raised,omitempty"`
	Uncovered bool          `yaml:"uncovered,omitempty" json:"uncovered,omitempty"`
	Starts    int           `yaml:"starts,omitempty" json:"starts,omitempty"`
	Sight     bool          `yaml:"sight,omitempty" json:"sight,omitempty"`
	Named     bool          `yaml:"named,omitempty" json:"named,omitempty"`
	Caution   string        `yaml:"caution,omitempty" json:"caution,omitempty"`
	Minutes   float64       `yaml:"minutes,omitempty" json:"minutes,omitempty"`
	Source    fleet.Sources `yaml:"source" json:"source"`
}

// Undoing is how something that work leaves undone is undone where no opening of
// the vehicle's sheet says so.
type Undoing struct {
	State machine.Undone `yaml:"state" json:"state"`
	// After names what brings it about when an opening that leaves it is put
	// back: the battery, connected again, leaves an idle to learn.
	After machine.Undone `yaml:"after,omitempty" json:"after,omitempty"`
	Do    string         `yaml:"do" json:"do"`
	Needs machine.Use    `yaml:"needs,omitempty" json:"needs,omitempty"`
	// Raised says that it is done before a raised vehicle is let down.
	Raised  bool          `yaml:"raised,omitempty" json:"raised,omitempty"`
	Caution string        `yaml:"caution,omitempty" json:"caution,omitempty"`
	Minutes float64       `yaml:"minutes,omitempty" json:"minutes,omitempty"`
	Source  fleet.Sources `yaml:"source" json:"source"`
	// Meanwhile is what is done for as long as an opening leaves it so, before any part
	// is changed there; nil: nothing.
	Meanwhile *Meanwhile `yaml:"meanwhile,omitempty" json:"meanwhile,omitempty"`
}

// Meanwhile is what is done while something is undone.
type Meanwhile struct {
	Do      string        `yaml:"do" json:"do"`
	Minutes float64       `yaml:"minutes,omitempty" json:"minutes,omitempty"`
	Source  fleet.Sources `yaml:"source" json:"source"`
}

// Source is one document or body of knowledge that limits rest on.
type Source struct {
	ID string `yaml:"id" json:"id"`
	// What names the document so that a reader can find it.
	What string `yaml:"what" json:"what"`
	// Seen says how well it is known: seen, second-hand, from memory,
	// common practice, computed.
	Seen string `yaml:"seen" json:"seen"`
}

// System is a group of kinds and how it is said.
type System struct {
	ID  string `yaml:"id" json:"id"`
	Say string `yaml:"say" json:"say"`
	// NeverLate says that none of its parts sets out past a limit.
	NeverLate bool `yaml:"never_late,omitempty" json:"never_late,omitempty"`
}

// Symptom is something that a part shows and how it is said.
type Symptom struct {
	ID  string `yaml:"id" json:"id"`
	Say string `yaml:"say" json:"say"`
	// Together is set for what comes from one place and shows on several parts.
	Together *Together `yaml:"together,omitempty" json:"together,omitempty"`
}

// Together says what one symptom on several parts may mean: the Sign, at the
// beginning of a sentence, and what to Look for.
type Together struct {
	Sign string `yaml:"sign" json:"sign"`
	Look string `yaml:"look" json:"look"`
}

// Caution is said once where a round or a job comes to a place At: one of
// [CautionPlaces].
type Caution struct {
	ID     string        `yaml:"id" json:"id"`
	Say    string        `yaml:"say" json:"say"`
	At     []string      `yaml:"at" json:"at"`
	Source fleet.Sources `yaml:"source" json:"source"`
}

// Sign is a lamp, gauge, smell or noise by which something that fails shows
// itself to the driver, and what is done then.
type Sign struct {
	ID  string `yaml:"id" json:"id"`
	Say string `yaml:"say" json:"say"`
	Do  string `yaml:"do" json:"do"` // one of Advices
	// Then is what to do, and why.
	Then string `yaml:"then" json:"then"`
	// Kinds are those of which the vehicle has one for the sign to concern it;
	// empty: every vehicle. Belt says that the belt that turns it may have gone:
	// where that belt stops the vehicle, the sign does.
	Kinds  []string      `yaml:"kinds,omitempty" json:"kinds,omitempty"`
	Belt   bool          `yaml:"belt,omitempty" json:"belt,omitempty"`
	Source fleet.Sources `yaml:"source" json:"source"`
}

// What a driver does on a sign, the gravest first.
const (
	StopNow     = "stop-now"
	DriveHome   = "drive-gently-home"
	LookTonight = "look-tonight"
)

// Advices lists what a driver does on a sign, the gravest first.
func Advices() []string { return []string{StopNow, DriveHome, LookTonight} }

// Where cautions are said.
const (
	AtAbove      = "from-above"
	AtBelow      = "from-below"
	AtHelped     = "second-person" // in the vehicle, which stands on stands
	AtRunning    = "engine-running"
	AtRunningFor = "leak-running" // what was opened from below is watched while it runs
	AtParked     = "parked"       // a start is asked for, and a part that parks the vehicle bars it
)

// CautionPlaces lists where cautions are said.
func CautionPlaces() []string {
	return []string{AtAbove, AtBelow, AtHelped, AtRunning, AtRunningFor, AtParked}
}

// Severe says what counts as severe service and by which factors intervals
// shrink: a distance by Distance, a time by a factor between Time and TimeTo.
type Severe struct {
	When     []string      `yaml:"when" json:"when"`
	Distance float64       `yaml:"distance" json:"distance"`
	Time     float64       `yaml:"time" json:"time"`
	TimeTo   float64       `yaml:"time_to" json:"time_to"`
	Says     string        `yaml:"says" json:"says"`
	Source   fleet.Sources `yaml:"source" json:"source"`
}

// The senses a check is made with.
const (
	Look    = "look"
	Feel    = "feel"
	Listen  = "listen"
	Smell   = "smell"
	Measure = "measure"
	Record  = "record"
)

// Senses lists every sense.
func Senses() []string { return []string{Look, Feel, Listen, Smell, Measure, Record} }

// Where companions are looked for, and the one condition on age.
const (
	OnRun     = "run"
	InSystem  = "system"
	Neighbour = "neighbour"
	OnVehicle = "vehicle"

	SameAge = "same"
)

// The sections of belts.
const (
	RibbedBelt  = "ribbed"
	StretchBelt = "stretch"
	VBelt       = "v"
	ToothedBelt = "toothed"
)

// BeltSections lists every section of belts.
func BeltSections() []string { return []string{RibbedBelt, StretchBelt, VBelt, ToothedBelt} }

// How a kind takes part in an oil change.
const (
	ByAirConditioning = "air conditioning" // LoadedBy

	SetsOilChange  = "sets"
	JoinsOilChange = "joins"
)

// What a check tells of a belt's run, where code asks for it by name.
const (
	RunOffset   = "offset"    // how far pulleys are out of line, a length
	RunRibShare = "rib share" // how much of the ribs is gone, a percentage
)

// RunTells lists all that a check can tell of a belt's run.
func RunTells() []string {
	return []string{"tensioner", "ribs", RunRibShare, "alignment", RunOffset, "belt", "tension"}
}
