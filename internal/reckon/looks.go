package reckon

import (
	"cmp"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Fate is what became of a part, as it is known now.
type Fate string

// What becomes of parts.
const (
	StillIn  Fate = "still in"
	Failed   Fate = "failed"
	WasBad   Fate = "bad in the hand"
	WasSound Fate = "sound in the hand"
	Untold   Fate = "not told" // it came off, and nobody told what it was
)

// Look is the looks at one part on one day, and what they changed.
type Look struct {
	Part
	On            civil.Date
	Checks        int
	Minutes       float64
	Before, After fleet.Verdict
	// Changed says that the verdict or what is to be done by when is another without
	// them.
	Changed bool
	Fate    Fate // of the part
}

// Confirmed reports whether looks asked for work and the part was that bad.
func (l *Look) Confirmed() bool {
	return l.Changed && l.After >= fleet.PutRight && (l.Fate == WasBad || l.Fate == Failed)
}

// Misled reports whether looks asked for work and the part was sound.
func (l *Look) Misled() bool { return l.Changed && l.After >= fleet.PutRight && l.Fate == WasSound }

// KindLooks is what the looks at parts of a kind came to.
type KindLooks struct {
	Kind, Name                        string
	Looks, Changed, Confirmed, Misled int
	Minutes, Paid/* of them */ float64
}

// ByKind sums looks up by kind, those first whose minutes changed least.
func (r *Reckoning) ByKind(name func(kind string) string) []KindLooks {
	var out []KindLooks
	for i := range r.Looks {
		l := &r.Looks[i]
		at := slices.IndexFunc(out, func(k KindLooks) bool { return k.Kind == l.Kind })
		if at < 0 {
			at = len(out)
			out = append(out, KindLooks{Kind: l.Kind, Name: name(l.Kind)})
		}
		out[at].add(l)
	}
	slices.SortStableFunc(out, func(a, b KindLooks) int {
		return cmp.Or(cmp.Compare(b.Minutes-b.Paid, a.Minutes-a.Paid), cmp.Compare(a.Kind, b.Kind))
	})
	return out
}

// Paid parts the kinds of which a look changed something, the most of them first,
// from those of which none did, the longest first.
func (r *Reckoning) Paid(cat *catalogue.Catalogue) (paid, idle []KindLooks) {
	for _, k := range r.ByKind(func(id string) string { return cat.Kind(id).Name }) {
		if k.Changed > 0 {
			paid = append(paid, k)
		} else {
			idle = append(idle, k)
		}
	}
	slices.SortStableFunc(paid, func(a, b KindLooks) int {
		return cmp.Or(cmp.Compare(b.Confirmed, a.Confirmed), cmp.Compare(b.Changed, a.Changed))
	})
	return paid, idle
}

func (k *KindLooks) add(l *Look) {
	k.Looks, k.Minutes = k.Looks+1, k.Minutes+l.Minutes
	if l.Changed {
		k.Changed, k.Paid = k.Changed+1, k.Paid+l.Minutes
	}
	if l.Confirmed() {
		k.Confirmed++
	}
	if l.Misled() {
		k.Misled++
	}
}

// seenOn reports whether an entry is a look at a part in its place, recorded on a day.
func seenOn(e *fleet.Entry, day civil.Date) bool {
	return e.Found != nil && e.Found.Off == "" && recordedOn(e) == day
}

// lookDays are the days of a quarter, from one to before another, on which a look was
// recorded.
func (y *past) lookDays(from, to civil.Date) []civil.Date {
	var out []civil.Date
	for _, e := range y.byTime {
		if d := recordedOn(e); !d.Before(from) && d.Before(to) && seenOn(e, d) &&
			(len(out) == 0 || out[len(out)-1] != d) {
			out = append(out, d)
		}
	}
	return out
}

// look ends the stretches of what was looked at on a day, says what the looks changed
// and begins new ones.
func (y *past) look(begun *advise.Report, day civil.Date) {
	known := y.known(day)
	worked := func(e *fleet.Entry) bool { return (e.Fitted != nil || e.Done != nil) && recordedOn(e) == day }
	idle := slices.DeleteFunc(slices.Clone(known), worked)
	blind := slices.DeleteFunc(slices.Clone(idle), func(e *fleet.Entry) bool { return seenOn(e, day) })
	now, seen, unseen := y.later(begun, day, known), y.later(begun, day, idle), y.later(begun, day, blind)
	checks := map[string]int{}
	for _, e := range known {
		if seenOn(e, day) {
			checks[e.Found.Position]++
		}
	}
	for i := range now.Judgements {
		j := &now.Judgements[i]
		n, id := checks[j.Position.ID], j.Position.ID
		if n == 0 {
			continue
		}
		y.changed(seen.Judgement(id), unseen.Judgement(id), day, n)
		y.happened(id, day, seen.State.Place(id))
		y.say(now, j)
	}
}

// changed says what the looks at a part on a day changed.
func (y *past) changed(seen, unseen *judge.Judgement, day civil.Date, checks int) {
	if seen == nil || unseen == nil {
		return
	}
	l := Look{Part: partOf(y.Vehicle, seen.Position), On: day, Checks: checks, Before: unseen.Verdict,
		After:   seen.Verdict,
		Minutes: float64(checks) * y.cat.Looks().MinutesPerCheck}
	l.Changed = l.Before != l.After || !slices.EqualFunc(seen.Todos, unseen.Todos, func(a, b judge.Todo) bool {
		return a.Action == b.Action && a.Until == b.Until && a.Now == b.Now
	})
	place := y.truth.Place(seen.Position.ID)
	l.Fate = y.fate(place, partAt(place, day.AddDays(-1)))
	y.looks = append(y.looks, l)
}

// Off is a part that came off.
type Off struct {
	Part
	Entry string // that took it off
	On    civil.Date
	Why   fleet.Removal
	Fate  Fate
	Stood fleet.Verdict // the day before
	Asked bool          // there is something to be found on it in the hand
}

// forLooks reports whether it came off for what was seen of it, as was told or, where
// nobody did, as it stood.
func (o *Off) forLooks() bool {
	return o.Why == fleet.RemovedWorn || o.Why == fleet.RemovedUnknown && o.Stood >= fleet.PutRight
}

// fate is what became of a part; a part that came off slightly worn was not sound.
func (y *past) fate(place *fleet.Place, part *fleet.Part) Fate {
	switch {
	case part == nil || part.To.Date.IsZero():
		return StillIn
	case part.Removed == fleet.RemovedFailed:
		return Failed
	}
	grade, _, told := ahead.HandGrade(y.cat, place, part)
	switch {
	case !told:
		return Untold
	case grade == 0:
		return WasSound
	}
	return WasBad
}

// cameOff gathers the parts that came off in the period.
func (y *past) cameOff() {
	before := map[civil.Date]*advise.Report{}
	for i := range y.Vehicle.Positions {
		p := &y.Vehicle.Positions[i]
		place, kind := y.truth.Place(p.ID), y.cat.Kind(p.Kind)
		for _, part := range place.Past {
			off := part.To.Date
			if kind == nil || off.Before(y.From) || off.After(y.To) {
				continue
			}
			r := before[off]
			if r == nil {
				r = y.asOf(off.AddDays(-1))
				before[off] = r
			}
			o := Off{Part: partOf(y.Vehicle, p), Entry: part.Off, On: off, Why: part.Removed, Fate: y.fate(place, part),
				Asked: len(y.cat.HandChecks(kind)) > 0}
			if j := r.Judgement(p.ID); j != nil {
				o.Stood = j.Verdict
			}
			y.offs = append(y.offs, o)
		}
	}
}
