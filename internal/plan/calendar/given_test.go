package calendar_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/calendar"
)

var (
	monday = time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
	day    = civil.MustParse
)

func visitOn(d string, parts ...string) calendar.Event {
	return calendar.Event{ID: "wren-visit-" + d, Vehicle: "wren", What: "visit", From: day(d), Days: 1,
		Title: "Wren: work", Text: message.Name(strings.Join(parts, ", ")), Parts: parts}
}

// give gives events out and returns them by name, with what is kept for the next time.
func give(t testing.TB, src []byte, now time.Time, events ...calendar.Event) (map[string]calendar.Event, []byte) {
	out, next, err := calendar.Give(src, []string{"wren"}, slices.Clone(events), now)
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]calendar.Event{}
	for _, e := range out {
		if _, twice := by[e.ID]; twice {
			t.Fatalf("two events are called %s", e.ID)
		}
		by[e.ID] = e
	}
	if next == nil {
		next = src
	}
	return by, next
}

// A visit that moves keeps its name and counts up (RFC 5545, 3.8.7.4), one that only says something else has
// changed and not moved (3.8.7.3), one that is withdrawn is cancelled for a while, and what is past is over.
func TestWhatMovesKeepsItsName(t *testing.T) {
	oil, belt := visitOn("2026-12-26", "oil"), visitOn("2027-04-03", "belt", "oil")
	first, kept := give(t, nil, monday, oil, belt)
	for id, e := range first {
		if e.Sequence != 0 || !e.Changed.Equal(monday) || e.Cancelled {
			t.Errorf("%s at first: %+v", id, e)
		}
	}
	again := []calendar.Event{oil, belt}
	if _, same, _ := calendar.Give(kept, []string{"wren"}, again, monday.Add(time.Hour)); same != nil {
		t.Error("what has not changed is kept anew")
	}
	moved := visitOn("2027-09-04", "belt", "oil")
	moved.Text = "belt"
	tuesday := monday.AddDate(0, 0, 1)
	then, kept := give(t, kept, tuesday, oil, moved)
	if e := then[belt.ID]; e.From != moved.From || e.Sequence != 1 || !e.Changed.Equal(tuesday) || len(then) != 2 {
		t.Fatalf("moved: %+v", then)
	}
	if e := then[oil.ID]; e.Sequence != 0 || !e.Changed.Equal(monday) {
		t.Errorf("what did not move: %+v", e)
	}
	moved.Title = "Wren: more work"
	then, kept = give(t, kept, tuesday.AddDate(0, 0, 1), oil, moved)
	if e := then[belt.ID]; e.Sequence != 1 || !e.Changed.Equal(tuesday.AddDate(0, 0, 1)) {
		t.Errorf("another title: %+v", e)
	}
	later := monday.AddDate(0, 0, 3)
	then, kept = give(t, kept, later, oil)
	if e := then[belt.ID]; !e.Cancelled || e.Sequence != 2 || e.From != moved.From {
		t.Errorf("withdrawn: %+v", e)
	}
	then, _ = give(t, kept, later.AddDate(0, 0, 2), oil, moved)
	if e := then[belt.ID]; e.Cancelled || e.Sequence != 3 {
		t.Errorf("back again: %+v", then)
	}
	if then, _ := give(t, kept, later.AddDate(0, 0, 30), visitOn("2027-01-16", "oil")); len(then) != 1 ||
		then[oil.ID].Sequence != 1 {
		t.Errorf("thirty days later: %+v", then)
	}
	// A visit in the place of one that has moved is another one.
	then, _ = give(t, kept, later, visitOn("2026-12-26", "wipers"), visitOn("2027-01-30", "oil"))
	if then[oil.ID].From != day("2027-01-30") || then[oil.ID+"-2"].From != day("2026-12-26") {
		t.Errorf("in its place: %+v", then)
	}
}

// A vehicle asked for by itself leaves what was given of the others, and what cannot be read is nothing given.
func TestOthersAreLeft(t *testing.T) {
	a, b := visitOn("2026-12-26", "oil"), visitOn("2026-12-27", "oil")
	b.ID, b.Vehicle = "coot-visit-2026-12-27", "coot"
	_, kept, err := calendar.Give([]byte("{"), []string{"wren", "coot"}, []calendar.Event{a, b}, monday)
	if err != nil {
		t.Fatal(err)
	}
	out, kept, err := calendar.Give(kept, []string{"wren"}, nil, monday)
	if err != nil || len(out) != 1 || out[0].ID != a.ID || !out[0].Cancelled {
		t.Fatalf("%+v, %v", out, err)
	}
	b.From = day("2027-01-16")
	out, _, err = calendar.Give(kept, []string{"coot"}, []calendar.Event{b}, monday)
	if err != nil || len(out) != 1 || out[0].ID != b.ID || out[0].Sequence != 1 {
		t.Fatalf("%+v, %v", out, err)
	}
}

// Whatever plans follow one another: names stand once, no sequence goes back, what holds is given as it
// is, and what is given once more unchanged has not changed.
func TestGivingLaws(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var kept []byte
		last := map[string]int{}
		for step := range rapid.IntRange(1, 6).Draw(r, "steps") {
			now := monday.AddDate(0, 0, 3*step)
			var events []calendar.Event
			for at := range rapid.IntRange(0, 6).Draw(r, "visits") {
				d := day("2026-12-05").AddDays(7*at + 30*rapid.IntRange(0, 20).Draw(r, "month"))
				parts := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"oil", "belt", "hose", "pads"}), 0, 3,
					rapid.ID).Draw(r, "parts")
				e := visitOn(d.String(), parts...)
				e.ID = fmt.Sprintf("wren-visit-%s-%d", d, at)
				events = append(events, e)
			}
			var by map[string]calendar.Event
			by, kept = give(t, kept, now, events...)
			holds := 0
			for id, e := range by {
				if was, ok := last[id]; ok && e.Sequence < was {
					r.Fatalf("%s goes back from %d to %d", id, was, e.Sequence)
				}
				if last[id] = e.Sequence; !e.Cancelled {
					holds++
				}
			}
			if holds != len(events) {
				r.Fatalf("%d of %d are given", holds, len(events))
			}
			again, _ := give(t, kept, now.Add(time.Hour), events...)
			for id, e := range again {
				if e.Sequence != by[id].Sequence || !e.Changed.Equal(by[id].Changed) {
					r.Fatalf("%s changed by being asked for again", id)
				}
			}
		}
	})
}
