package record

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

// contradictions asks again what cannot all be true of one part at one moment,
// as the catalogue has it, unless the owner is sure of one of them.
func (r *Recorder) contradictions(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry) []error {
	var errs []error
	for _, position := range foundAt(entries) {
		kind := r.Catalogue.Kind(v.Position(position).Kind)
		for i := range kind.Contradictions {
			x := &kind.Contradictions[i]
			if met := r.met(ctx, v, entries, position, x); met != nil {
				errs = append(errs, contradiction(kind, position, x, met))
			}
		}
	}
	return errs
}

// foundAt lists the positions that findings are about, each once.
func foundAt(entries []*fleet.Entry) []string {
	var out []string
	for _, e := range entries {
		if e.Found != nil && !slices.Contains(out, e.Found.Position) {
			out = append(out, e.Found.Position)
		}
	}
	return out
}

// met returns the findings that make up a contradiction, and nil where one of
// its claims is not made or the owner is sure.
func (r *Recorder) met(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry, position string, x *catalogue.Contradiction) []*fleet.Found {
	var out []*fleet.Found
	for i := range x.All {
		claim := &x.All[i]
		if claim.Run != "" {
			continue
		}
		k := slices.IndexFunc(entries, func(e *fleet.Entry) bool {
			return e.Found != nil && !e.Sure && e.Found.Position == position && claim.Made(e.Found)
		})
		if k < 0 {
			return nil
		}
		out = append(out, entries[k].Found)
	}
	for i := range x.All { // what the run's arithmetic says takes longest, so it comes last
		if run := x.All[i].Run; run != "" && r.stands(ctx, v, entries, position) != run {
			return nil
		}
	}
	return out
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

func contradiction(kind *catalogue.Kind, position string, x *catalogue.Contradiction, met []*fleet.Found) error {
	said := make([]string, len(met))
	checks := make([]string, len(met))
	for i, f := range met {
		check := kind.Check(f.Check)
		said[i], checks[i] = check.Title()+": "+answerWords(check, f), f.Check
	}
	where := strings.Join(append([]string{position}, checks...), " ")
	if len(met) == 1 {
		return invalid(where, fmt.Sprintf("%s: the arithmetic of its run says otherwise", said[0]), fmt.Sprintf(askAgain, x.Says))
	}
	return invalid(where, fmt.Sprintf("%s: both cannot be", strings.Join(said, "; ")), fmt.Sprintf(askAgain, x.Says))
}

// askAgain asks to look again, after the reason.
const askAgain = "%s Look again, and if it is so, say that you are sure: --sure, or the tick on the page"

// answerWords is a finding's answer as its check says it.
func answerWords(check *catalogue.Check, f *fleet.Found) string {
	if f.Value != nil {
		return f.Value.String()
	}
	if a := check.Answer(f.Answer); a != nil {
		return fmt.Sprintf("%q", a.Say)
	}
	return f.Answer
}
