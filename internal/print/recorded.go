package print

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
)

// Kept says what has been recorded of a vehicle.
func (t *Text) Kept(v *fleet.Vehicle, entries []*fleet.Entry) {
	n := "1 entry"
	if len(entries) != 1 {
		n = fmt.Sprintf("%d entries", len(entries))
	}
	t.Line(fmt.Sprintf("Recorded for %s: %s.", v.Name, n))
}

// Recorded says what has been recorded and what follows for the positions it
// is about.
func (t *Text) Recorded(r *advise.Report, entries []*fleet.Entry) {
	t.Kept(r.Vehicle, entries)
	told := map[string]bool{}
	for _, e := range entries {
		id := e.Position()
		j := r.Judgement(id)
		if j == nil || told[id] {
			continue
		}
		told[id] = true
		t.Item(fmt.Sprintf("%-11s", j.Verdict), j.Position.Name+". "+advise.Why(j).Sentence().String())
	}
	t.Told(r.Sentences(t.prefs))
	if s := ahead.ToldWords(r, entries); s != "" {
		t.Line(s)
	}
}

// Part sets a line across between answers that follow each other.
func (t *Text) Part(title string) {
	t.Blank()
	t.w.WriteString(strings.Repeat("=", t.wide) + "\n")
	t.Line("$ " + title)
	t.Blank()
}
