package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/visit"
)

// keyBreak parts the keys of a step that is several looks, in one field.
const keyBreak = "¦"

// unwritten lists what the sheet in hand has changed and nobody has written down
// since: which part it is now, is not known.
func (d *desk) unwritten(job *visit.Job) []row {
	if job.Work == nil {
		return nil
	}
	var out []row
	for _, st := range job.Steps {
		if st.Kind != visit.StepChange || !st.Done {
			continue
		}
		j := d.report.Judgement(st.Position.ID)
		if j.Place.Fitted == nil || j.Place.Fitted.From.Date.Before(job.Work.Begun.Date) {
			out = append(out, d.row(j))
		}
	}
	return out
}

// tickKeep records what the ticks of a job sheet change against what its page
// showed: a tick that came from elsewhere meanwhile stays.
func (s *Server) tickKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	var job *visit.Job
	entries := func() (entries []*fleet.Entry, err error) {
		if job, err = d.tickedSheet(r.PostForm); err != nil {
			return nil, err
		}
		entries, err = s.tickEntries(d, job, r.PostForm)
		s.datedAsSet(entries, job, r.PostForm)
		return entries, err
	}
	return s.keepForm(w, r, d, "job", entries, func(err error) error {
		if job == nil {
			return err
		}
		page := s.layJob(d, r, job, visit.JobOptions{}, "")
		page.Batch, page.Faults = r.PostForm.Get("batch"), faults(err)
		var unticked *visit.Unticked
		page.Asked = errors.As(err, &unticked)
		for i := range page.Steps {
			page.Steps[i].Ticked = slices.Contains(r.PostForm["step"], page.Steps[i].Key)
		}
		return s.render(w, r, status(err), "job", page)
	})
}

// datedAsSet gives ticks that waited on a device the day on which they were set
// there, but none before their sheet was begun.
func (s *Server) datedAsSet(entries []*fleet.Entry, job *visit.Job, f url.Values) {
	now := s.opt.Now()
	typed, behind := typedAt(f, now)
	if typed.IsZero() {
		return
	}
	day := civil.Of(typed.Add(time.Duration(behind * float64(time.Second))).In(now.Location()))
	for _, e := range entries {
		if day.Before(e.Date) && (job.Work == nil || !day.Before(job.Work.Begun.Date)) {
			e.Date = day
		}
	}
}

// tickedSheet is the sheet in hand, or else the one that the form was laid out
// for.
func (d *desk) tickedSheet(f url.Values) (*visit.Job, error) {
	if job, err := visit.InHand(d.report); job != nil || err != nil {
		return job, err
	}
	var begins []fleet.WorkTask
	for _, typed := range f["task"] {
		parts := strings.SplitN(typed+"||", "|", 4)
		begins = append(begins, fleet.WorkTask{Position: parts[0], Do: parts[1], Action: fleet.Action(parts[2])})
	}
	if len(begins) == 0 {
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "sheet", Msg: "this sheet is over",
			Hint: "load the job sheet again"}
	}
	return visit.SheetFor(d.report, begins)
}

func (s *Server) tickEntries(d *desk, job *visit.Job, f url.Values) ([]*fleet.Entry, error) {
	if f.Get("end") != "" {
		e, err := job.End(d.report)
		return []*fleet.Entry{e}, err
	}
	keys := func(typed, not []string) []string {
		var out []string
		for _, t := range typed {
			if !slices.Contains(not, t) {
				out = append(out, strings.Split(t, keyBreak)...)
			}
		}
		return out
	}
	fresh, back := keys(f["step"], f["was"]), keys(f["was"], f["step"])
	if len(back) > 0 {
		entries, err := job.Untick(d.report, back, s.opt.NewID)
		if err != nil || len(fresh) == 0 {
			return entries, err
		}
		return nil, advise.Fault("step", "ticks are set and taken back at once", "do one, then the other")
	}
	if len(fresh) == 0 {
		return nil, advise.Fault("step", "no tick is set or taken back", "tick what is done, and untick what is not")
	}
	return job.Tick(d.report, fresh, visit.Before(f.Get("before")), s.opt.NewID)
}
