package record

import (
	"context"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// contradictions asks again what cannot all be true of one part at one moment,
// as the catalogue has it, unless the owner is sure of one of them. What is new
// is held against itself and against what was found on the same day before.
func (r *Recorder) contradictions(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry) []error {
	var errs []error
	for _, day := range daysFound(entries) {
		m := moment{r: r, ctx: ctx, v: v, entries: entries, day: day}
		for i := range v.Positions {
			kind := r.Catalogue.Kind(v.Positions[i].Kind)
			if kind == nil || !slices.ContainsFunc(kind.Contradictions, func(x catalogue.Contradiction) bool {
				return m.touches(&x)
			}) {
				continue
			}
			for k := range kind.Contradictions {
				x := &kind.Contradictions[k]
				if met := m.met(v.Positions[i].ID, x); met != nil {
					errs = append(errs, m.contradiction(v.Positions[i].ID, x, met))
				}
			}
		}
	}
	return errs
}

// daysFound lists the days that new findings are about, each once.
func daysFound(entries []*fleet.Entry) []civil.Date {
	var out []civil.Date
	for _, e := range entries {
		if e.Found != nil && !slices.Contains(out, e.Date) {
			out = append(out, e.Date)
		}
	}
	return out
}

// moment is what is known of a vehicle on one day: new entries, and the journal,
// which is read only where they may contradict it.
type moment struct {
	r       *Recorder
	ctx     context.Context
	v       *fleet.Vehicle
	entries []*fleet.Entry
	day     civil.Date
	state   *fleet.State
	read    bool
}

// touches reports whether a new finding makes one of a contradiction's claims.
func (m *moment) touches(x *catalogue.Contradiction) bool {
	return slices.ContainsFunc(x.All, func(c catalogue.Claim) bool {
		return slices.ContainsFunc(m.entries, func(e *fleet.Entry) bool {
			return e.Found != nil && !e.Sure && e.Date == m.day && c.Made(e.Found)
		})
	})
}

// met returns the findings that make up a contradiction about a position, and
// nil where one of its claims is not made, none is new or the owner is sure.
func (m *moment) met(position string, x *catalogue.Contradiction) []*fleet.Found {
	var out []*fleet.Found
	fresh := false
	for i := range x.All {
		if x.All[i].Run != "" {
			continue
		}
		f, isNew := m.claimed(position, &x.All[i])
		if f == nil {
			return nil
		}
		out, fresh = append(out, f), fresh || isNew
	}
	if !fresh {
		return nil
	}
	for i := range x.All { // what the run's arithmetic says takes longest, so it comes last
		if run := x.All[i].Run; run != "" && m.r.stands(m.ctx, m.v, m.entries, position) != run {
			return nil
		}
	}
	return out
}

// claimed returns a finding of the day that makes a claim, and whether it is new.
func (m *moment) claimed(position string, c *catalogue.Claim) (found *fleet.Found, isNew bool) {
	for _, at := range m.places(position, c) {
		if m.worked(at) || c.Still && !m.before(at, c) {
			continue
		}
		for _, e := range m.entries {
			if e.Found != nil && !e.Sure && e.Date == m.day && e.Found.Position == at && c.Made(e.Found) {
				return e.Found, true
			}
		}
		if f := m.last(at, c.Check, func(on civil.Date) bool {
			return on == m.day
		}); f != nil && !m.answered(at, c.Check) && c.Made(f.Found) {
			return f.Found, false
		}
	}
	return nil, false
}

// places lists the positions that a claim may be about: the one itself, or those
// of its kinds.
func (m *moment) places(position string, c *catalogue.Claim) []string {
	if len(c.Kinds) == 0 {
		return []string{position}
	}
	var out []string
	for i := range m.v.Positions {
		p := &m.v.Positions[i]
		run := m.v.RunOf(p.ID)
		if slices.Contains(c.Kinds, p.Kind) && (c.Where == "" || run != nil && run == m.v.RunOf(position)) {
			out = append(out, p.ID)
		}
	}
	return out
}

// worked reports whether a position was worked on between one look and another:
// what was found before and after may well differ.
func (m *moment) worked(position string) bool {
	return slices.ContainsFunc(m.entries, func(e *fleet.Entry) bool {
		return e.Fitted != nil && e.Fitted.Position == position || e.Done != nil &&
			slices.Contains(e.Done.Positions, position)
	})
}

// answered reports whether a check is answered anew.
func (m *moment) answered(position, check string) bool {
	return slices.ContainsFunc(m.entries, func(e *fleet.Entry) bool {
		return e.Found != nil && e.Date == m.day && e.Found.Position == position && e.Found.Check == check
	})
}

// before reports whether the look before the day made a claim too.
func (m *moment) before(position string, c *catalogue.Claim) bool {
	f := m.last(position, c.Check, func(on civil.Date) bool { return on.Before(m.day) })
	return f != nil && c.Made(f.Found)
}

// last returns the newest finding of a check on the part now at a position, not
// settled since, among those of some days; nil where there is none or the
// journal cannot be read: what is recorded is not held up by that.
func (m *moment) last(position, check string, day func(civil.Date) bool) *fleet.Finding {
	if !m.read {
		m.read = true
		today := civil.Of(m.r.Now())
		if fold, err := m.r.Journal.Fold(m.ctx, m.v, today); err == nil {
			m.state = fold.State(today)
		}
	}
	if m.state == nil {
		return nil
	}
	place := m.state.Place(position)
	if place == nil || place.Fitted == nil {
		return nil
	}
	for _, f := range slices.Backward(place.Findings) {
		if f.Check == check && f.Settled == "" && day(f.Date) && place.Fitted.Had(f) {
			return f
		}
	}
	return nil
}

// stands asks where the arithmetic of a run puts its tensioner with these
// entries in the journal; "" where nobody can say.
func (r *Recorder) stands(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry, position string) string {
	if r.Run == nil {
		return ""
	}
	before, err := r.Journal.OfVehicle(ctx, v.ID)
	if err != nil {
		return "" // what is recorded is not held up by a question that cannot be asked
	}
	return r.Run(v, append(slices.Clone(before), entries...), position)
}

func (m *moment) contradiction(position string, x *catalogue.Contradiction, met []*fleet.Found) error {
	said := make([]message.Text, len(met))
	where := []string{position}
	for i, f := range met {
		at := m.v.Position(f.Position)
		check := m.r.Catalogue.Kind(at.Kind).Check(f.Check)
		said[i] = message.Of("%s: %s", check.Title(), answerWords(check, f))
		if f.Position != position {
			said[i] = message.Of("%s, %s", at.Name, said[i])
		}
		where = append(where, f.Check)
	}
	at, hint := strings.Join(where, " "), message.Of(askAgain, x.Says)
	if len(met) == 1 {
		return invalid(at, message.Of("%s: the arithmetic of its run says otherwise", said[0]), hint)
	}
	return invalid(at, message.Of("%s: both cannot be", message.Joined(said, "; ")), hint)
}

// askAgain asks to look again, after the reason.
const askAgain = "%s Look again, and if it is so, say that you are sure: --sure, or the tick on the page"

// answerWords is a finding's answer as its check says it.
func answerWords(check *catalogue.Check, f *fleet.Found) message.Text {
	if f.Value != nil {
		return message.Name(check.Shown(*f.Value))
	}
	if a := check.Answer(f.Answer); a != nil {
		return message.Of("%q", a.Say)
	}
	return message.Name(f.Answer)
}
