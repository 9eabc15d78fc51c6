package trip_test

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// story is what was found, opened or left, and what must be said of it.
type story struct {
	N                            int
	Vehicle                      string
	Found                        [][3]string
	Opened                       []string
	Aside                        []string
	Yard, NotYard, Trip, NotTrip string
	Job                          string
	Order                        []string
	Src                          string
}

// stories reads the whole stories.
func stories(t *testing.T) []story {
	t.Helper()
	src, err := os.ReadFile("testdata/stories.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var out []story
	if err := yaml.Unmarshal(src, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestStories takes whole stories from entries to what yard, trip and job sheet
// say. What is expected and where it comes from stand beside each.
func TestStories(t *testing.T) {
	stories := stories(t)
	if len(stories) < 20 {
		t.Errorf("%d stories", len(stories))
	}
	reports := demotest.Reports(t)
	for _, s := range stories {
		t.Run(fmt.Sprintf("%02d %s", s.N, s.Vehicle), func(t *testing.T) { s.told(t, reports[s.Vehicle]) })
	}
}

// entries are the story's facts on top of what is recorded.
func (s *story) entries(t *testing.T, r *advise.Report) []*fleet.Entry {
	t.Helper()
	out := slices.Clone(r.State.Record)
	add := func(e *fleet.Entry) {
		e.ID, e.Vehicle, e.Date = fmt.Sprintf("z%02d", len(out)), s.Vehicle, r.On
		out = append(out, e)
	}
	for _, f := range s.Found {
		kind := r.Catalogue.Kind(r.Vehicle.Position(f[0]).Kind)
		if c := kind.Check(f[1]); c == nil || c.Answer(f[2]) == nil {
			t.Fatalf("%s has no check %s with the answer %s", kind.ID, f[1], f[2])
		}
		add(&fleet.Entry{Type: fleet.TypeFound, Found: &fleet.Found{Position: f[0], Check: f[1], Answer: f[2]}})
	}
	for _, id := range r.Vehicle.Closure(s.Opened) {
		if r.Vehicle.Opening(id).Undo != "" {
			add(&fleet.Entry{Type: fleet.TypeOpened, Opened: &fleet.Opened{Opening: id}})
		}
	}
	if len(s.Aside) == 2 {
		add(&fleet.Entry{Type: fleet.TypeAside, Aside: &fleet.Aside{Position: s.Aside[0], Why: s.Aside[1]}})
	}
	return out
}

func (s *story) told(t *testing.T, before *advise.Report) {
	r := advise.Vehicle(before.Catalogue, before.Vehicle, s.entries(t, before), before.On)
	says := func(what, got, want, not string) {
		if want != "" && !regexp.MustCompile(want).MatchString(got) {
			t.Errorf("%s: %q lacks %q (%s)", what, got, want, s.Src)
		}
		if not != "" && regexp.MustCompile(not).MatchString(got) {
			t.Errorf("%s: %q says %q (%s)", what, got, not, s.Src)
		}
	}
	if s.Src == "" {
		t.Error("the story has no source")
	}
	yard := message.Joined(append(advise.YardTold([]*advise.Report{r}), r.Sentences(units.Preferences{})...),
		" ").String()
	says("yard", yard, s.Yard, s.NotYard)
	out, err := trip.Ask(r, trip.Options{Km: 300})
	if err != nil {
		t.Fatal(err)
	}
	says("trip", strings.Join(told.InEnglish(out.Told(units.Preferences{})), " "), s.Trip, s.NotTrip)
	if s.Job == "" {
		return
	}
	job, err := visit.NewJob(r, visit.JobOptions{Positions: []string{s.Job}})
	if err != nil {
		t.Fatal(err)
	}
	at := 0
	for _, want := range s.Order {
		words := regexp.MustCompile("(?i)" + want)
		i := slices.IndexFunc(job.Steps[at:], func(st visit.Step) bool {
			return words.MatchString(st.Words().String())
		})
		if i < 0 {
			t.Fatalf("no step %q after step %d", want, at)
		}
		at += i + 1
	}
}
