package print

import (
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Kept says what has been recorded of a vehicle.
func (t *Text) Kept(v *fleet.Vehicle, entries []*fleet.Entry) {
	t.Line(message.Of("Recorded for %s: %s.", v.Name, told.Several(len(entries), "entry", "entries")))
}

// Recorded says what has been recorded and what follows for the positions it
// is about.
func (t *Text) Recorded(r *advise.Report, entries []*fleet.Entry) {
	t.Kept(r.Vehicle, entries)
	said := map[string]bool{}
	for _, e := range entries {
		id := e.Position()
		j := r.Judgement(id)
		if j == nil || said[id] {
			continue
		}
		said[id] = true
		t.Named(j.Verdict.Message(), verdictWide, message.Of("%s. %s", j.Position.Name, advise.Why(j).Sentence()))
	}
	t.Told(told.Names(r.Sentences(t.prefs)))
	if s := ahead.ToldWords(r, entries); s != "" {
		t.Line(s)
	}
}

// Part sets a line across between answers that follow each other.
func (t *Text) Part(title string) {
	t.Blank()
	t.w.WriteString(strings.Repeat("=", t.wide) + "\n")
	t.indented("$ "+title, "", "")
	t.Blank()
}
