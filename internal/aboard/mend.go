// Package aboard is what is carried on a vehicle, and what of a failure can be
// mended with it beside the road: what that takes, and why it cannot be.
package aboard

import (
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Bar is why a failure cannot be mended beside the road, whatever is aboard.
type Bar string

// What bars work beside the road.
const (
	NotStated Bar = "not stated"  // the catalogue knows of nothing that helps
	Licensed  Bar = "licensed"    // work for a licensed workshop
	Stretch   Bar = "stretch-fit" // a stretch belt wants its tool
	Timing    Bar = "timing"      // of the run of a timing belt
	Reach     Bar = "reach"       // behind what is not undone there: raised, drained, open fuel
	TooLong   Bar = "too long"    // than the owner would work there
)

// minutesMost is how long an owner who has not said works beside the road at
// most (common practice).
const minutesMost = 120

// Mend is what can be done beside the road about the failure of one part.
type Mend struct {
	// Holds is the share of failures, 0 to 1, after which the vehicle goes on with
	// what is aboard; Could the same were all of Life's Carry aboard.
	Holds, Could float64
	Minutes      float64  // that it takes, waiting until it is cold included
	Missing      []string // of Life's Carry
	Bar          Bar      // empty: it can be mended
	Life         *catalogue.Life
	Spare        *Spare // aboard and used up by it; nil for none
}

// Of works out what can be mended of a part's failure beside the road, from what
// the state says is aboard.
func Of(cat *catalogue.Catalogue, s *fleet.State, j *judge.Judgement) Mend {
	m := Mend{Life: j.Kind.Life}
	if m.Life == nil || m.Life.Mend == nil {
		m.Bar = NotStated
		return m
	}
	for _, thing := range m.Life.Carry {
		if Carried(s, thing) == nil {
			m.Missing = append(m.Missing, thing)
		}
	}
	m.Minutes = m.Life.Mend.Minutes
	if m.Bar = bar(cat, s.Vehicle, j); m.Bar != "" {
		return m
	}
	m.Could = m.Life.Mend.Holds
	if m.Spare = spareOf(cat, s, j); m.Spare != nil {
		m.Could *= m.Spare.Good
	}
	if len(m.Missing) == 0 {
		m.Holds = m.Could
	}
	return m
}

// With is the same were things aboard that are missing: new, where they are spares.
func (m Mend) With(things []string, s *fleet.State) Mend {
	if m.Bar != "" || len(m.Missing) == 0 || !fleet.Subset(m.Missing, things) {
		return m
	}
	m.Missing, m.Holds = nil, m.Could
	if about := m.Life.Mend.Spare; about != nil && m.Spare == nil {
		m.Spare = &Spare{Entry: &fleet.Entry{Date: s.On, Aboard: &fleet.Aboard{Thing: about.Thing}},
			FitsOne: about.FitsOne, Good: 1}
	}
	return m
}

// Carried is the entry by which a thing is aboard, or nil.
func Carried(s *fleet.State, thing string) *fleet.Entry {
	i := slices.IndexFunc(s.Aboard, func(e *fleet.Entry) bool {
		return strings.EqualFold(e.Aboard.Thing, strings.TrimSpace(thing))
	})
	if i < 0 {
		return nil
	}
	return s.Aboard[i]
}

func bar(cat *catalogue.Catalogue, v *fleet.Vehicle, j *judge.Judgement) Bar {
	mend, most := j.Kind.Life.Mend, v.Visits.RoadsideMinutes
	if most == 0 {
		most = minutesMost
	}
	switch run := v.RunOf(j.Position.ID); {
	case j.Position.LookOnly:
		return Licensed
	case j.Kind.Belt == catalogue.StretchBelt || run != nil && run.Stretch:
		return Stretch
	case run != nil && timed(cat, v, run):
		return Timing
	case mend.Minutes > most:
		return TooLong
	}
	open := j.Position.Changed
	if mend.InPlace {
		open = j.Position.Seen
	}
	for _, id := range v.Closure(open) {
		if o := v.Opening(id); o == nil || slices.ContainsFunc(judge.Undone(cat, v, o), func(u machine.Undone) bool {
			return !slices.Contains(roadside, u) && !slices.Contains(mend.Leaves, u)
		}) {
			return Reach
		}
	}
	return ""
}

// roadside is what may be undone beside the road: nobody drains, raises or opens
// fuel, brakes or steering there.
var roadside = []machine.Undone{machine.BatteryOff, machine.BeltLoose, machine.BeltOff, machine.SideBeltOff,
	machine.SpareBeltOff, machine.InletOpen}

func timed(cat *catalogue.Catalogue, v *fleet.Vehicle, run *fleet.Run) bool {
	p := v.Position(run.Belt)
	if p == nil {
		return false
	}
	k := cat.Kind(p.Kind)
	return k != nil && k.Belt == catalogue.ToothedBelt
}

// Strands is what is left of a chance of failing as a chance of being stranded.
func (m *Mend) Strands(p float64) float64 { return p * (1 - m.Holds) }

// Cost is what a failure costs: a breakdown, or the owner's time beside the road
// where that is less.
func (m *Mend) Cost(breakdown, hour float64) float64 {
	return m.Holds*min(breakdown, m.Minutes/60*hour) + (1-m.Holds)*breakdown
}

// Useful lists what would help on this vehicle, each thing once, in the order of
// the sheet's positions, and what else is aboard.
func Useful(cat *catalogue.Catalogue, s *fleet.State, js []judge.Judgement) []Thing {
	var out []Thing
	add := func(name string, j *judge.Judgement) {
		i := slices.IndexFunc(out, func(t Thing) bool { return strings.EqualFold(t.Name, name) })
		if i < 0 {
			i = len(out)
			out = append(out, Thing{Name: name, Entry: Carried(s, name)})
		}
		if j != nil {
			out[i].For = append(out[i].For, j)
		}
	}
	for i := range js {
		if m := Of(cat, s, &js[i]); m.Bar == "" {
			for _, name := range m.Life.Carry {
				add(name, &js[i])
			}
		}
	}
	for _, e := range s.Aboard {
		add(e.Aboard.Thing, nil)
	}
	return out
}

// Thing is something that is aboard or would help if it were.
type Thing struct {
	Name  string
	Entry *fleet.Entry       // by which it is aboard; nil where it is not
	For   []*judge.Judgement // whose failure it helps to mend
}

// Put returns the entries by which a thing comes aboard or is gone. The error is
// a *fleet.Error of kind NotFound where what is gone was not aboard, and of kind
// Conflict where what comes aboard is there already.
func Put(s *fleet.State, things []string, gone fleet.Gone, note string) ([]*fleet.Entry, error) {
	var out []*fleet.Entry
	for _, name := range things {
		name = strings.TrimSpace(name)
		switch there := Carried(s, name); {
		case there == nil && gone != "":
			return nil, &fleet.Error{Kind: fleet.NotFound, Where: "THING", Msg: message.Of("%q is not aboard", name),
				Hint: "name it as the list of what is aboard does"}
		case there != nil && gone == "":
			return nil, &fleet.Error{Kind: fleet.Conflict, Where: "THING",
				Msg:  message.Of("%q is aboard already, since %s", there.Aboard.Thing, told.Long(there.Date)),
				Hint: "say first that it was used or taken out, where it is another one"}
		case there != nil:
			name = there.Aboard.Thing
		}
		out = append(out, &fleet.Entry{Type: fleet.TypeAboard, Date: s.On,
			Aboard: &fleet.Aboard{Thing: name, Gone: gone, Note: note}})
	}
	return out, nil
}
