package web

import (
	"context"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/judge"
)

// settling is two answers of one day to the same check that cannot both be so: the
// worse of them holds until one is taken back.
type settling struct {
	ID, Name, Question, Day string
	Ways                    []holds
}

// holds is one of the answers, and the entry that is taken back where it holds.
type holds struct{ Says, Drop, Batch string }

// settlings are the contradictions that stand in a judgement, one for each check.
func (s *Server) settlings(ctx context.Context, d *desk, j *judge.Judgement) []settling {
	var out []settling
	var asked []*catalogue.Check
	for i := range j.Reasons {
		r := &j.Reasons[i]
		if r.Against == nil || slices.Contains(asked, r.Check) {
			continue
		}
		asked = append(asked, r.Check)
		way := func(f, other *fleet.Finding) holds {
			said := advise.FindingWords(r.Check, f).Capital().String() + s.byWhom(ctx, d, f.Entry)
			return holds{said, other.Entry, s.opt.NewID()}
		}
		out = append(out, settling{j.Position.ID, j.Position.Name, r.Check.Question, r.Finding.Date.Long(),
			[]holds{way(r.Finding, r.Against), way(r.Against, r.Finding)}})
	}
	return out
}

// byWhom says who wrote an entry down, where that is known.
func (s *Server) byWhom(ctx context.Context, d *desk, entry string) string {
	entries, err := s.opt.Journal.Entries(ctx, journal.Filter{Vehicle: d.vehicle.ID, IDs: []string{entry}})
	if err != nil || len(entries) == 0 || entries[0].By == "" {
		return ""
	}
	return ", says " + entries[0].By
}
