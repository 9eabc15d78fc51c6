package calendar

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
)

// given is an event as it was given out last.
type given struct {
	ID       string     `json:"id"`
	Vehicle  string     `json:"vehicle"`
	What     string     `json:"what"`
	Parts    []string   `json:"parts,omitempty"`
	From     civil.Date `json:"from"`
	Days     int        `json:"days"`
	Title    string     `json:"title"`
	Says     string     `json:"says"` // digest of what else it said
	Sequence int        `json:"sequence"`
	Changed  time.Time  `json:"changed"`
	Gone     bool       `json:"gone,omitempty"` // since Changed
}

// state is what calendars were given out last, of all vehicles.
type state struct {
	Events []*given `json:"events"`
}

const (
	goneDays = 30  // for so long what was withdrawn is known
	farDays  = 365 // over so many days nothing is taken for the same, however alike
)

// Give recognises among events what was given out before, as src says (empty: nothing was), and
// gives it the name it had then, so that a visit that moves stays the same one; Sequence counts how often
// its days changed (RFC 5545, 3.8.7.4) and Changed says since when it reads as it does. What of these vehicles
// is no longer among the events comes last, Cancelled, for thirty days. next is to be kept as src; nil where
// nothing changed. An unreadable src is taken as nothing given. events is changed.
func Give(src []byte, vehicles []string, events []Event, now time.Time) (out []Event, next []byte, err error) {
	var all state
	if json.Unmarshal(src, &all) != nil {
		all = state{}
	}
	today := civil.Of(now)
	now = now.UTC().Truncate(time.Second)
	kept := all.Events[:0:0]
	var before []*given
	for _, g := range all.Events {
		switch {
		case !slices.Contains(vehicles, g.Vehicle):
			kept = append(kept, g)
		case !g.Gone || now.Sub(g.Changed) < goneDays*24*time.Hour:
			before = append(before, g)
		}
	}
	same := pair(before, events)
	names := map[string]bool{}
	for _, g := range before {
		names[g.ID] = true
	}
	for i := range events {
		e, g := &events[i], same[i]
		if g == nil {
			g = &given{ID: free(e.ID, names), Sequence: -1}
		}
		g.take(e, now)
		e.ID, e.Sequence, e.Changed = g.ID, g.Sequence, g.Changed
		kept = append(kept, g)
	}
	for _, g := range before {
		if slices.Contains(same, g) {
			continue
		}
		if !g.Gone {
			g.Gone, g.Changed, g.Sequence = true, now, g.Sequence+1
		}
		if kept = append(kept, g); g.From.Before(today) {
			continue // what is past is over and not cancelled
		}
		events = append(events, Event{ID: g.ID, From: g.From, Days: g.Days, Title: message.Name(g.Title),
			Vehicle: g.Vehicle, Sequence: g.Sequence, Changed: g.Changed, Cancelled: true})
	}
	slices.SortFunc(kept, func(a, b *given) int { return cmp.Compare(a.ID, b.ID) })
	next, err = json.Marshal(state{kept})
	if string(next) == string(src) {
		next = nil
	}
	return events, next, err
}

// take notes an event as it is now.
func (g *given) take(e *Event, now time.Time) {
	sum := sha256.Sum256([]byte(fmt.Sprint(e.Text, "\x00", e.Busy)))
	is := given{ID: g.ID, Vehicle: e.Vehicle, What: e.What, Parts: e.Parts, From: e.From, Days: e.Days,
		Title: e.Title.String(), Says: hex.EncodeToString(sum[:8]), Sequence: g.Sequence, Changed: g.Changed}
	if g.From != e.From || g.Days != e.Days || g.Gone {
		is.Sequence++
		is.Changed = now
	}
	if g.Title != is.Title || g.Says != is.Says {
		is.Changed = now
	}
	*g = is
}

// pair finds for each event the one given before that it is, nil where there is none: the most alike in parts and
// the nearest in days first.
func pair(before []*given, events []Event) []*given {
	type two struct {
		event int
		g     *given
		alike float64
	}
	var pairs []two
	for i := range events {
		for _, g := range before {
			if alike := alike(g, &events[i]); alike > 0 {
				pairs = append(pairs, two{i, g, alike})
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b two) int { return cmp.Compare(b.alike, a.alike) })
	out := make([]*given, len(events))
	used := map[*given]bool{}
	for _, p := range pairs {
		if out[p.event] == nil && !used[p.g] {
			out[p.event], used[p.g] = p.g, true
		}
	}
	return out
}

// alike is the share of the parts of both that both have, less the days between them by farDays; 0 or less where
// they are two things.
func alike(g *given, e *Event) float64 {
	if g.Vehicle != e.Vehicle || g.What != e.What {
		return 0
	}
	both := 0
	for _, p := range e.Parts {
		if slices.Contains(g.Parts, p) {
			both++
		}
	}
	share := 1.0
	if all := len(g.Parts) + len(e.Parts) - both; all > 0 {
		share = float64(both) / float64(all)
	}
	apart := max(g.From.Sub(e.From), e.From.Sub(g.From))
	return share - float64(apart)/farDays
}

// free is a name that nothing else has, and takes it.
func free(id string, taken map[string]bool) string {
	name := id
	for n := 2; taken[name]; n++ {
		name = fmt.Sprintf("%s-%d", id, n)
	}
	taken[name] = true
	return name
}
