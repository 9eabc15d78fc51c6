package fleet

import (
	"cmp"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/units"
)

// Vehicle is what a vehicle sheet says. Package sheet reads and checks it.
type Vehicle struct {
	Format int        `yaml:"undertray" json:"undertray"` // version of the sheet format, 1
	ID     string     `yaml:"vehicle" json:"vehicle"`     // short name in commands and addresses
	Name   string     `yaml:"name" json:"name"`
	About  string     `yaml:"about,omitempty" json:"about,omitempty"`
	Make   string     `yaml:"make,omitempty" json:"make,omitempty"`
	Model  string     `yaml:"model,omitempty" json:"model,omitempty"`
	VIN    string     `yaml:"vin,omitempty" json:"vin,omitempty"`
	Engine Engine     `yaml:"engine,omitempty" json:"engine,omitzero"`
	Built  civil.Date `yaml:"built,omitempty" json:"built,omitzero"` // day it was first used, as near as known
	Stance Stance     `yaml:"stance,omitempty" json:"stance,omitempty"`
	// severe service: short trips, towing, dust, heat
	Severe bool `yaml:"severe,omitempty" json:"severe,omitempty"`

	// Units are what the owner reads about this vehicle in; nil: the yard's.
	Units *units.Preferences `yaml:"units,omitempty" json:"units,omitempty"`
	// Reader is what that comes to: the vehicle's units, or the yard's.
	Reader units.Preferences `yaml:"-" json:"-"`

	// Counts is what its instrument counts; empty: distance.
	Counts Counter `yaml:"counts,omitempty" json:"counts,omitempty"`
	// Yearly is the owner's own estimate of what it runs in a year.
	Yearly *units.Quantity `yaml:"yearly,omitempty" json:"yearly,omitempty" of:"any,positive"`
	// OilChange is how often the oil is changed: the rhythm of visits.
	OilChange Again `yaml:"oil_change,omitempty" json:"oil_change,omitzero"`
	// Look is how often the owner looks at what can be seen without opening
	// anything, monthly for one; empty: as the catalogue asks.
	Look Again `yaml:"look,omitempty" json:"look,omitzero"`
	// Costs is what a breakdown costs the owner besides the part.
	Costs Costs `yaml:"costs,omitempty" json:"costs,omitzero"`
	// Visits says how much work and money the owner has for it, and when.
	Visits VisitRules `yaml:"visits,omitempty" json:"visits,omitzero"`

	Openings  []Opening  `yaml:"openings,omitempty" json:"openings,omitempty"`
	Positions []Position `yaml:"positions,omitempty" json:"positions,omitempty"`
	Runs      []Run      `yaml:"runs,omitempty" json:"runs,omitempty"`
	// Former lists what was on the sheet once, so that the journal's entries about it
	// keep its name.
	Former []Former `yaml:"former,omitempty" json:"former,omitempty"`

	// ReadFrom names all that it was read from: its sheet, and the yard's settings and catalogue; "" where that is not
	// known.
	ReadFrom string `yaml:"-" json:"-"`

	// AsWritten is the vehicle as its sheet says, where this one takes its owner's
	// own times for work; nil: it is the sheet's.
	AsWritten *Vehicle `yaml:"-" json:"-"`
}

// Written is the vehicle with the times that its sheet says.
func (v *Vehicle) Written() *Vehicle {
	if v.AsWritten != nil {
		return v.AsWritten
	}
	return v
}

// Former is a position or an opening that the vehicle no longer has. Its id is never
// given to another.
type Former struct {
	ID   string `yaml:"id" json:"id"`
	Name string `yaml:"name" json:"name"`
	Kind string `yaml:"kind,omitempty" json:"kind,omitempty"` // of a position; empty: it was an opening
}

// Costs is what it costs when a part lets the owner down on the road: the
// recovery, and what follows from it (a lost day, a hotel, a hired vehicle).
type Costs struct {
	Recovery    *units.Quantity `yaml:"recovery,omitempty" json:"recovery,omitempty" of:"amount of money"`
	Consequence *units.Quantity `yaml:"consequence,omitempty" json:"consequence,omitempty" of:"amount of money"`
}

// Engine says what moves the vehicle.
type Engine struct {
	About     string `yaml:"about,omitempty" json:"about,omitempty"`
	Fuel      string `yaml:"fuel,omitempty" json:"fuel,omitempty"` // petrol, diesel, petrol hybrid
	Cylinders int    `yaml:"cylinders,omitempty" json:"cylinders,omitempty"`
	Layout    string `yaml:"layout,omitempty" json:"layout,omitempty"` // longitudinal or transverse
}

// HighVoltage reports whether the vehicle has high-voltage cables, by the fuel
// its sheet names, or may have: a sheet that names none does not rule it out.
func (v *Vehicle) HighVoltage() bool {
	fuel := strings.ToLower(v.Engine.Fuel)
	return fuel == "" || strings.Contains(fuel, "hybrid") || strings.Contains(fuel, "electric")
}

// Subset reports whether everything in one list, such as openings by their ids,
// stands in another.
func Subset(part, whole []string) bool {
	return !slices.ContainsFunc(part, func(id string) bool { return !slices.Contains(whole, id) })
}

// Both is the minutes that an opening takes to open and to close again.
func (o *Opening) Both() float64 { return o.Minutes + o.UndoMinutes }

// Waits reports whether an opening is mere waiting: the engine cooling down.
func (o *Opening) Waits() bool { return o.Engine == Cold && o.Undo == "" }

// Opening is something taken off, drained, raised or disconnected to reach
// positions. It needs other openings first.
type Opening struct {
	ID   string `yaml:"id" json:"id"`
	Name string `yaml:"name" json:"name"` // what is done, e.g. "Take the undertray off"
	// how it is put back, e.g. "Refit the undertray"; empty: nothing to undo
	Undo string `yaml:"undo,omitempty" json:"undo,omitempty"`
	// how the vehicle stands until then, e.g. "Undertray off"; see Stands
	State string   `yaml:"state,omitempty" json:"state,omitempty"`
	From  Side     `yaml:"from,omitempty" json:"from,omitempty"` // empty: from either side
	Needs []string `yaml:"needs,omitempty" json:"needs,omitempty"`

	Minutes     float64 `yaml:"minutes" json:"minutes"`
	UndoMinutes float64 `yaml:"undo_minutes,omitempty" json:"undo_minutes,omitempty"`

	Engine EngineState `yaml:"engine,omitempty" json:"engine,omitempty"` // condition it needs
	Raises bool        `yaml:"raises,omitempty" json:"raises,omitempty"` // this is the raising itself
	// OnGround says that it is done, and undone, with the wheels on the
	// ground: before any raising, and undone after the last lowering.
	OnGround bool `yaml:"on_ground,omitempty" json:"on_ground,omitempty"`

	// Leaves says what is undone on the machine until it is put back, and
	// UndoNeeds what putting it back does with the machine.
	Leaves    []machine.Undone `yaml:"leaves,omitempty" json:"leaves,omitempty"`
	UndoNeeds []machine.Use    `yaml:"undo_needs,omitempty" json:"undo_needs,omitempty"`

	Tools       []string     `yaml:"tools,omitempty" json:"tools,omitempty"`
	Fasteners   []Fastener   `yaml:"fasteners,omitempty" json:"fasteners,omitempty"`
	Consumables []Consumable `yaml:"consumables,omitempty" json:"consumables,omitempty"`
	Cautions    []string     `yaml:"cautions,omitempty" json:"cautions,omitempty"`
	Note        string       `yaml:"note,omitempty" json:"note,omitempty"`
}

// Stands names what is so while the opening is open: its State, or its Name where
// the sheet gives none.
func (o *Opening) Stands() string { return cmp.Or(o.State, o.Name) }

// Fastener is a bolt, nut, clip or plug with the torque it is tightened to.
type Fastener struct {
	What   string          `yaml:"what" json:"what"`
	Count  int             `yaml:"count,omitempty" json:"count,omitempty"`
	Size   string          `yaml:"size,omitempty" json:"size,omitempty"`
	Torque *units.Quantity `yaml:"torque,omitempty" json:"torque,omitempty" of:"torque,positive"`
	New    bool            `yaml:"new,omitempty" json:"new,omitempty"` // single use: fit a new one
	Note   string          `yaml:"note,omitempty" json:"note,omitempty"`
}

// Consumable is something used up by a step: coolant, sealant, washers.
type Consumable struct {
	What   string          `yaml:"what" json:"what"`
	Amount *units.Quantity `yaml:"amount,omitempty" json:"amount,omitempty" of:"any,positive"`
	Cost   *units.Quantity `yaml:"cost,omitempty" json:"cost,omitempty" of:"amount of money,not negative"`
}

// Position is a place on the vehicle that holds a part.
type Position struct {
	ID     string `yaml:"id" json:"id"`
	Name   string `yaml:"name" json:"name"`
	Kind   string `yaml:"kind" json:"kind"`
	System string `yaml:"system,omitempty" json:"system,omitempty"` // empty: the kind's

	// Where it is. From is the side it is inspected from. X runs from 0 at
	// the vehicle's left to 100 at its right, Y from 0 at the front of the
	// vehicle to 100 at the bulkhead and 200 at the rear end.
	From  Side    `yaml:"from" json:"from"`
	X     float64 `yaml:"x" json:"x"`
	Y     float64 `yaml:"y" json:"y"`
	Where string  `yaml:"where,omitempty" json:"where,omitempty"` // in words: "left of the radiator, under the duct"

	// Seen lists the openings needed to inspect it, Changed those needed to
	// change it. Openings they need in turn are not repeated.
	Seen    []string `yaml:"seen,omitempty" json:"seen,omitempty"`
	Changed []string `yaml:"changed,omitempty" json:"changed,omitempty"`
	// Unsure says that its owner does not know whether the vehicle has it.
	Unsure bool `yaml:"unsure,omitempty" json:"unsure,omitempty"`
	// LookOnly marks what an owner inspects but never opens (air
	// conditioning): the change is for a licensed workshop.
	LookOnly bool `yaml:"look_only,omitempty" json:"look_only,omitempty"`

	Minutes     float64      `yaml:"minutes,omitempty" json:"minutes,omitempty"` // to change it, openings apart
	Tools       []string     `yaml:"tools,omitempty" json:"tools,omitempty"`
	Fasteners   []Fastener   `yaml:"fasteners,omitempty" json:"fasteners,omitempty"`
	Consumables []Consumable `yaml:"consumables,omitempty" json:"consumables,omitempty"`
	Cautions    []string     `yaml:"cautions,omitempty" json:"cautions,omitempty"`

	// Part is what belongs here. Its material and figures hold for a part that
	// the journal does not describe.
	Part       PartSpec   `yaml:"part,omitempty" json:"part,omitzero"`
	Neighbours []string   `yaml:"neighbours,omitempty" json:"neighbours,omitempty"`
	Limits     []Limit    `yaml:"limits,omitempty" json:"limits,omitempty"`
	Intervals  []Interval `yaml:"intervals,omitempty" json:"intervals,omitempty"`
	Note       string     `yaml:"note,omitempty" json:"note,omitempty"`
}

// PartSpec describes a part: what belongs at a position, or what was fitted.
type PartSpec struct {
	Name     string `yaml:"name,omitempty" json:"name,omitempty"`
	Number   string `yaml:"number,omitempty" json:"number,omitempty"`
	Material string `yaml:"material,omitempty" json:"material,omitempty"`
	// "1", "2", "5.2 l"
	Quantity string `yaml:"quantity,omitempty" json:"quantity,omitempty"`
	// of the whole quantity
	Cost     *units.Quantity `yaml:"cost,omitempty" json:"cost,omitempty" of:"amount of money,not negative"`
	Supplier string          `yaml:"supplier,omitempty" json:"supplier,omitempty"` // where it comes from
	// Spec holds figures that checks are measured against, by the name the
	// catalogue gives them: "marked pressure: 7 psi", "free span: 420 mm".
	Spec map[string]units.Quantity `yaml:"spec,omitempty" json:"spec,omitempty"`
}

// Position returns the position with this id, or nil.
func (v *Vehicle) Position(id string) *Position {
	for i := range v.Positions {
		if v.Positions[i].ID == id {
			return &v.Positions[i]
		}
	}
	return nil
}

// Once returns the position with this id, or of one that the vehicle no longer has
// its id, name and kind; nil if there never was one.
func (v *Vehicle) Once(id string) *Position {
	if p := v.Position(id); p != nil {
		return p
	}
	for _, f := range v.Former {
		if f.ID == id && f.Kind != "" {
			return &Position{ID: f.ID, Name: f.Name, Kind: f.Kind}
		}
	}
	return nil
}

// Opening returns the opening with this id, or nil.
func (v *Vehicle) Opening(id string) *Opening {
	for i := range v.Openings {
		if v.Openings[i].ID == id {
			return &v.Openings[i]
		}
	}
	return nil
}

// Consumable is what an opening or a change uses up by that name, or nil.
func (v *Vehicle) Consumable(what string) *Consumable {
	var all []Consumable
	for i := range v.Openings {
		all = append(all, v.Openings[i].Consumables...)
	}
	for i := range v.Positions {
		all = append(all, v.Positions[i].Consumables...)
	}
	if i := slices.IndexFunc(all, func(c Consumable) bool { return c.What == what }); i >= 0 {
		return &all[i]
	}
	return nil
}

// Closure returns the ids of the openings and of all they need, each once and
// every opening after those it needs, in the sheet's order otherwise.
// Unknown ids and cycles are left out; package sheet refuses both.
func (v *Vehicle) Closure(ids []string) []string {
	var out []string
	seen := map[string]bool{}
	var visit func(id string)
	visit = func(id string) {
		if seen[id] {
			return
		}
		seen[id] = true
		o := v.Opening(id)
		if o == nil {
			return
		}
		for _, need := range o.Needs {
			visit(need)
		}
		out = append(out, id)
	}
	for _, id := range ids {
		visit(id)
	}
	return out
}

// SeenThrough returns every opening that some position is seen through, each
// once.
func (v *Vehicle) SeenThrough() []string {
	var out []string
	for i := range v.Positions {
		for _, id := range v.Positions[i].Seen {
			if !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	return out
}
