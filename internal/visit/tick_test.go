package visit_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/internal/visit"
)

// bench is a vehicle whose sheet is ticked: entries are folded as they land.
type bench struct {
	t       *testing.T
	r       *advise.Report
	entries []*fleet.Entry
	n       int
}

func newBench(t *testing.T, r *advise.Report) *bench {
	return &bench{t: t, r: r, entries: slices.Clone(r.State.Record)}
}

func (b *bench) id() string {
	b.n++
	return fmt.Sprintf("tick-%06d", b.n)
}

func (b *bench) keep(entries []*fleet.Entry) {
	for _, e := range entries {
		if e.ID == "" {
			e.ID = b.id()
		}
		e.Vehicle = b.r.Vehicle.ID
		b.entries = append(b.entries, e)
	}
	b.r = advise.Vehicle(b.r.Catalogue, b.r.Vehicle, b.entries, b.r.On)
}

func (b *bench) sheet(opt visit.JobOptions) *visit.Job {
	b.t.Helper()
	job, err := visit.InHand(b.r)
	if err == nil && job == nil {
		job, err = visit.NewJob(b.r, opt)
	}
	if err != nil {
		b.t.Fatal(err)
	}
	return job
}

// some are a few of the parts of a vehicle, spread over it.
func some(r *advise.Report, n int) []string {
	var out []string
	for i := 0; i < len(r.Judgements); i += max(1, len(r.Judgements)/n) {
		if p := r.Judgements[i].Position; !p.LookOnly {
			out = append(out, p.ID)
		}
	}
	return out
}

// Worked through in its order a sheet of every vehicle takes every tick; what is
// undone by then is what a machine worked on in that order has undone, and at the
// end nothing is.
func TestASheetIsTickedFromTopToBottom(t *testing.T) {
	for _, r := range machines(t) {
		b, opt := newBench(t, r), visit.JobOptions{Positions: some(r, 12)}
		keys := []string{}
		for _, s := range b.sheet(opt).Steps {
			keys = append(keys, s.Keys...)
		}
		shadow := map[string]bool{}
		for _, key := range keys {
			job := b.sheet(opt)
			st := job.Step(key)
			if st == nil {
				continue // a look that its own merging has ticked along
			}
			if st.Done {
				continue
			}
			entries, err := job.Tick(b.r, []string{key}, visit.AskBefore, b.id)
			if err != nil {
				t.Fatalf("%s, %s: %v", r.Vehicle.About, key, err)
			}
			b.keep(entries)
			switch st.Kind {
			case visit.StepOpen:
				shadow[st.Opening.ID] = st.Opening.Undo != ""
			case visit.StepClose:
				shadow[st.Opening.ID] = false
			}
			for i := range r.Vehicle.Openings {
				o := &r.Vehicle.Openings[i]
				open := slices.ContainsFunc(b.r.Open(), func(h undone.HalfDone) bool { return h.Opening.ID == o.ID })
				if open != shadow[o.ID] {
					t.Errorf("%s, %s: %s is open %v", r.Vehicle.About, key, o.ID, open)
				}
			}
		}
		if use, why := b.r.Forbidden(); use != "" {
			t.Errorf("%s: at the end %s is forbidden: %v", r.Vehicle.About, use, why)
		}
		job := b.sheet(opt)
		if _, next := job.Progress(); job.Work == nil || next != nil {
			t.Errorf("%s: not in hand to its end: next %v", r.Vehicle.About, next)
		}
		over, err := job.End(b.r)
		if err != nil {
			t.Fatal(err)
		}
		b.keep([]*fleet.Entry{over})
		if left := b.r.Still(); len(left) > 0 || len(undone.InHand(b.r.State)) > 0 {
			t.Errorf("%s: still to do %v", r.Vehicle.About, left)
		}
	}
}

// Ticked in any order no tick is taken that starts an engine on what is undone, and
// every one that is refused says what comes first. Ticks taken back leave what was
// so before.
func TestTicksOutOfOrderAreSafe(t *testing.T) {
	random := rand.New(rand.NewPCG(29, 11))
	refused, asked, back := 0, 0, 0
	for _, r := range machines(t) {
		for range 3 {
			b, opt := newBench(t, r), visit.JobOptions{Positions: some(r, 8)}
			for range 25 {
				job := b.sheet(opt)
				st := &job.Steps[random.IntN(len(job.Steps))]
				if st.Done && random.IntN(2) == 0 {
					if entries, err := job.Untick(b.r, st.Keys, b.id); err == nil {
						b.keep(entries)
						back++
						if again := b.sheet(opt).Step(st.Keys[0]); again != nil && again.Done {
							t.Fatalf("%s: taken back, %s is ticked still", r.Vehicle.About, st.Keys[0])
						}
					}
					continue
				}
				before := []visit.Before{visit.AskBefore, visit.PassBefore, visit.PassBefore,
					visit.TickBefore}[random.IntN(4)]
				now := undone.All(b.r.Catalogue, b.r.State)
				entries, err := job.Tick(b.r, st.Keys, before, b.id)
				switch _, ask := err.(*visit.Unticked); {
				case err == nil:
					if bad := startedOn(st, now); before == visit.PassBefore && bad != "" && !st.Done {
						t.Fatalf("%s: %q was taken with %s", r.Vehicle.About, st.Words(), bad)
					}
					b.keep(entries)
				case ask:
					asked++
				case !st.Done && fleet.KindOf(err) != fleet.Conflict:
					t.Fatalf("%s: %v", r.Vehicle.About, err)
				default:
					refused++
				}
			}
		}
	}
	if refused == 0 || asked == 0 || back == 0 {
		t.Errorf("%d refused, %d asked, %d taken back: this test shows too little", refused, asked, back)
	}
}

// startedOn returns what is undone that no engine is turned on, where a step turns
// it; on stands wheels and stands are no reason. Written apart from the ticking.
func startedOn(st *visit.Step, now []machine.Undone) string {
	turns := st.Use == machine.Cranking || st.Use == machine.Running || st.Use == machine.InGear ||
		st.Use == machine.Driving
	for _, u := range now {
		lift := u == machine.Raised || u == machine.WheelsOff || u == machine.WheelsLoose
		harmless := u == machine.SpareBeltOff || u == machine.SideBeltOff || u == machine.WheelsToTighten ||
			u == machine.IdleToLearn
		if turns && !harmless && !(lift && st.Raised) {
			return string(u)
		}
	}
	return ""
}

// What a kind leaves undone is told where the sheet names no opening for it, and
// the sheet has a step that undoes it before the engine turns.
func TestWhatAChangeLeavesIsUndoneWithoutAnOpening(t *testing.T) {
	for kind, want := range map[string]string{"top-hose": "coolant out", "engine-oil": "oil out",
		"brake-hose": "brakes open", "fuel-filter": "fuel system open"} {
		r := advise.Vehicle(demotest.Reports(t)["heron"].Catalogue,
			&fleet.Vehicle{ID: "bare", Name: "Bare", Built: demotest.Reports(t)["heron"].Vehicle.Built,
				Positions: []fleet.Position{{ID: "part", Name: "Part", Kind: kind, From: fleet.Above}}}, nil,
			demotest.Reports(t)["heron"].On)
		job := sheetOf(t, r, visit.JobOptions{Positions: []string{"part"}, Alone: true})
		if f := simulate(r, job); len(f) > 0 {
			t.Errorf("%s: %v", kind, f)
		}
		fills := slices.IndexFunc(job.Steps, func(s visit.Step) bool { return strings.HasPrefix(s.Keys[0], "undo:") })
		if fills < 0 {
			t.Fatalf("%s: no step undoes what its change leaves", kind)
		}
		spoilt := *job
		spoilt.Steps = slices.Delete(slices.Clone(job.Steps), fills, fills+1)
		if len(simulate(r, &spoilt)) == 0 {
			t.Errorf("%s: a sheet without %q is not caught", kind, job.Steps[fills].Do)
		}
		b := newBench(t, r)
		entries, err := job.Tick(b.r, []string{"change:part"}, visit.PassBefore, b.id)
		if err != nil {
			t.Fatal(err)
		}
		b.keep(entries)
		if got := b.r.StandsWords(); !strings.Contains(got.String(), want) {
			t.Errorf("%s changed: %q", kind, got)
		}
		entries, err = b.sheet(visit.JobOptions{}).Tick(b.r, []string{job.Steps[fills].Keys[0]}, visit.PassBefore, b.id)
		if err != nil {
			t.Fatal(err)
		}
		b.keep(entries)
		if got := b.r.StandsWords(); got != "" {
			t.Errorf("%s, undone again: %q", kind, got)
		}
	}
}

// Wheels that were off are still to be tightened after the first drive, and are
// told until that is ticked; a drive is not forbidden by it.
func TestWheelsAreStillToBeTightened(t *testing.T) {
	r := demotest.Reports(t)["heron"]
	b, opt := newBench(t, r), visit.JobOptions{Positions: []string{"tyres"}, Alone: true}
	for {
		job := b.sheet(opt)
		_, next := job.Progress()
		if next == nil || next.Use == machine.Later {
			break
		}
		entries, err := job.Tick(b.r, next.Keys, visit.AskBefore, b.id)
		if err != nil {
			t.Fatal(err)
		}
		b.keep(entries)
	}
	if use, _ := b.r.Forbidden(); use != "" || !strings.Contains(b.r.StillWords().String(), "50 km") {
		t.Errorf("forbidden %q, still to do %q", use, b.r.StillWords())
	}
	entries, err := b.sheet(opt).Tick(b.r, []string{"undo:wheels-to-tighten"}, visit.AskBefore, b.id)
	if err != nil {
		t.Fatal(err)
	}
	b.keep(entries)
	if got := b.r.StillWords(); got != "" {
		t.Errorf("tightened, %q", got)
	}
}
