package web

import (
	"cmp"
	"errors"
	"hash/fnv"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// keyBreak parts the keys of a step that is several looks, in one field.
const keyBreak = "¦"

// setPrefix begins the name of the field for what a fastener was tightened to:
// "s.KEY|FASTENER".
const setPrefix = "s."

// tickKeep records what the ticks of a job sheet change against what its page
// showed: a tick that came from elsewhere meanwhile stays.
func (s *Server) tickKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.posted(r)
	if err != nil {
		return err
	}
	s.rememberWho(w, r)
	var job *visit.Job
	to := "job"
	entries := func() (entries []*fleet.Entry, err error) {
		if job, err = d.tickedSheet(r.PostForm); err != nil {
			return nil, err
		}
		if entries, err = s.tickEntries(d, job, r.PostForm); err == nil && job.EndsWith(entries) {
			to = "job/done"
		}
		s.datedAsSet(entries, job, r.PostForm)
		return entries, err
	}
	return s.keepForm(w, r, d, func() string { return to }, entries, func(err error) error {
		if job == nil {
			return err
		}
		page := s.layJob(d, r, job, visit.JobOptions{}, "")
		page.Batch, page.Faults = r.PostForm.Get("batch"), faults(err)
		var unticked *visit.Unticked
		var unlikely *visit.Unlikely
		page.Asked, page.Unlikely = errors.As(err, &unticked), errors.As(err, &unlikely)
		for i := range page.Steps {
			st := &page.Steps[i]
			st.Ticked = slices.Contains(r.PostForm["step"], st.Key)
			for k := range st.Torques {
				if typed := r.PostForm.Get(st.Torques[k].Field); typed != "" {
					st.Torques[k].Typed = typed
				}
			}
		}
		return s.render(w, r, status(err), "job", page)
	})
}

// datedAsSet gives ticks that waited on a device the day on which they were set
// there, but none before their sheet was begun.
func (s *Server) datedAsSet(entries []*fleet.Entry, job *visit.Job, f url.Values) {
	day := s.typedDay(f)
	for _, e := range entries {
		if day.Before(e.Date) && (job.Work == nil || !day.Before(job.Work.Begun.Date)) {
			e.Date = day
		}
	}
}

// typedDay is the day on which a form was filled in; today where it does not say.
func (s *Server) typedDay(f url.Values) civil.Date {
	now := s.opt.Now()
	typed, behind := typedAt(f, now)
	if typed.IsZero() {
		return s.today()
	}
	return civil.Of(typed.Add(time.Duration(behind * float64(time.Second))).In(now.Location()))
}

// tickedSheet is the sheet in hand, or else the one that the form was laid out
// for.
func (d *desk) tickedSheet(f url.Values) (*visit.Job, error) {
	if job, err := visit.InHand(d.report); job != nil || err != nil {
		return job, err
	}
	var begins []fleet.WorkTask
	for _, typed := range several(f, "task") {
		parts := strings.SplitN(typed+"||", "|", 4)
		task := fleet.WorkTask{Position: parts[0], Do: parts[1], Action: fleet.Action(parts[2])}
		if !slices.Contains(begins, task) {
			begins = append(begins, task)
		}
	}
	if len(begins) == 0 {
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "sheet", Msg: "this sheet is over",
			Hint: "load the job sheet again"}
	}
	return visit.SheetFor(d.report, begins)
}

func (s *Server) tickEntries(d *desk, job *visit.Job, f url.Values) ([]*fleet.Entry, error) {
	if f.Get("begin") != "" {
		return job.Begin(d.report, s.opt.NewID)
	}
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
	set := job.News(figures(f))
	if len(back) > 0 {
		entries, err := job.Untick(d.report, back, s.opt.NewID)
		if err != nil || len(fresh) == 0 {
			return entries, err
		}
		return nil, advise.Fault("step", "ticks are set and taken back at once", "do one, then the other")
	}
	var entries []*fleet.Entry
	if len(fresh)+len(set) == 0 {
		return nil, advise.Fault("step", "no tick is set or taken back", "tick what is done, and untick what is not")
	}
	if len(fresh) > 0 {
		var err error
		if entries, err = job.Tick(d.report, fresh, visit.Before(f.Get("before")), s.opt.NewID); err != nil {
			return nil, err
		}
	}
	return job.Tighten(entries, set, d.vehicle.Reader.Preferred(units.Torque), f.Get("sure") != "")
}

// figures reads what fasteners were tightened to.
func figures(f url.Values) []visit.Typed {
	var out []visit.Typed
	for field, values := range f {
		rest, ok := strings.CutPrefix(field, setPrefix)
		key, what, _ := strings.Cut(rest, "|")
		if typed := strings.TrimSpace(values[0]); ok && typed != "" {
			out = append(out, visit.Typed{Step: key, What: what, Figure: typed})
		}
	}
	slices.SortFunc(out, func(a, b visit.Typed) int {
		return cmp.Or(cmp.Compare(a.Step, b.Step), cmp.Compare(a.What, b.What))
	})
	return out
}

// ticksNow says how the sheet in hand stands, for a page of it that is open: another
// device may have ticked a step.
func (s *Server) ticksNow(w http.ResponseWriter, r *http.Request) error {
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	fold, err := s.opt.Journal.Fold(r.Context(), d.vehicle, s.today())
	if err != nil {
		return err
	}
	return s.writeJSON(w, r, http.StatusOK, map[string]string{"stand": standOf(fold.State(s.today()))})
}

// standOf names how the sheets of a vehicle stand: it changes with every tick.
func standOf(s *fleet.State) string {
	sum := fnv.New64a()
	for _, e := range slices.Concat(s.Work, s.Open) {
		sum.Write([]byte(e.ID))
	}
	return strconv.FormatUint(sum.Sum64(), 36)
}
