package web

import (
	"context"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// settling is two answers of one day to the same check that cannot both be so: the
// worse of them holds until one is taken back.
type settling struct {
	ID, Name, Question string
	Day                message.Text
	Ways               []holds
}

// holds is one of the answers, and the entry that is taken back where it holds.
type holds struct {
	Says        message.Text
	Drop, Batch string
}

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
			said := advise.FindingWords(r.Check, f).Capital()
			return holds{s.byWhom(ctx, d, f.Entry, said), other.Entry, s.opt.NewID()}
		}
		out = append(out, settling{j.Position.ID, j.Position.Name, r.Check.Question, told.Long(r.Finding.Date),
			[]holds{way(r.Finding, r.Against), way(r.Against, r.Finding)}})
	}
	return out
}

// byWhom adds to what an entry says who wrote it down, where that is known.
func (s *Server) byWhom(ctx context.Context, d *desk, entry string, said message.Text) message.Text {
	entries, err := s.opt.Journal.Entries(ctx, journal.Filter{Vehicle: d.vehicle.ID, IDs: []string{entry}})
	if err != nil || len(entries) == 0 || entries[0].By == "" {
		return said
	}
	return message.Of("%s, says %s", said, entries[0].By)
}
