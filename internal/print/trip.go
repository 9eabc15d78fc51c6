package print

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/trip"
)

// tripRisksShown is how many of the likeliest let-downs are spelt out.
const tripRisksShown = 6

// Trip writes whether a vehicle gets through a trip.
func (t *Text) Trip(trip *trip.Trip) {
	t.Told(told.InEnglish(trip.Told(t.prefs)))
	if trip.Stands != "" || len(trip.Parked) > 0 {
		return
	}
	t.tripBefore(trip)
	if len(trip.Passes) > 0 {
		t.Head("Past a limit by the end of the trip")
		for _, p := range trip.Passes {
			t.Item("- ", p.Judgement.Position.Name+": "+p.Words().Sentence().LowerFirst().String())
		}
	}
	t.tripRisks(trip)
	t.Head("What a look would tell")
	t.Line(trip.Looks.Headline(trip.Vehicle))
	for _, c := range trip.Looks.Cautions {
		t.Item("! ", c)
	}
	for i := range trip.Looks.Looks {
		l := &trip.Looks.Looks[i]
		t.Item("- ", l.Judgement.Position.Name+": "+l.Words()+".")
	}
	if s := trip.Looks.LeftWords(trip.Currency); s != "" {
		t.Line(s)
	}
	if len(trip.Check) > 0 {
		t.Head("Check on the way")
		for _, c := range trip.Check {
			name := ""
			if c.Judgement != nil {
				name = c.Judgement.Position.Name + ": "
			}
			t.Item("- ", say.Capital(name+c.Words().String())+".")
		}
	}
	if len(trip.Carry) > 0 {
		t.Head("Carry, most likely needed first")
		t.Item("! ", aboard.Caution)
		for i := range trip.Carry {
			c := &trip.Carry[i]
			t.Item("- ", message.Of("%s: %s", c.Title().Capital(), c.Words().Sentence().LowerFirst()).String())
		}
	}
	t.Head("What this rests on")
	for _, s := range trip.RestWords(t.prefs) {
		t.Item("- ", s.String())
	}
}

func (t *Text) tripBefore(trip *trip.Trip) {
	if len(trip.Must)+len(trip.Fixes)+len(trip.First) == 0 {
		return
	}
	t.Head("Before you go")
	for _, g := range trip.FirstGroups(t.prefs) {
		names := make([]string, len(g.Judgements))
		for i, j := range g.Judgements {
			names[i] = say.LowerFirst(j.Position.Name)
		}
		t.Item("- ", say.Capital(strings.Join(names, "; "))+": "+g.Words.Sentence().LowerFirst().String())
	}
	must, fixes := trip.Lines()
	for _, f := range must {
		t.Item(fmt.Sprintf("%-9s", advise.ActionVerb(f.Do)),
			message.Of("%s: %s", f.Title(), f.Words(trip.Currency).Sentence().LowerFirst()).String())
	}
	if len(fixes) > 0 {
		t.Blank()
		t.Line("Besides, the cheapest that brings the chance down:")
	}
	for _, f := range fixes {
		t.Item("change   ", message.Of("%s: %s", f.Title(), f.Words(trip.Currency).Sentence().LowerFirst()).String())
	}
	if s := trip.BeforeWords(); s != "" {
		t.Blank()
		t.Line(s.String())
	}
}

func (t *Text) tripRisks(trip *trip.Trip) {
	if len(trip.Risks) == 0 {
		return
	}
	t.Head("What may let you down")
	t.Line(trip.ChanceWords().String())
	for _, g := range trip.RiskGroups(tripRisksShown) {
		var names []string
		for i, j := range g.Judgements {
			if name := j.Position.Name; i == 0 {
				names = append(names, name)
			} else {
				names = append(names, say.LowerFirst(name))
			}
		}
		each := ""
		if len(names) > 1 {
			each = "each "
		}
		t.Item("- ", say.Listing(names)+": "+each+g.Words.String())
	}
}
