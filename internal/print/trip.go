package print

import (
	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/trip"
)

// tripRisksShown is how many of the likeliest let-downs are spelt out.
const tripRisksShown = 6

// Trip writes whether a vehicle gets through a trip.
func (t *Text) Trip(trip *trip.Trip) {
	t.Told(trip.Told(t.prefs))
	if trip.Stands != "" || len(trip.Parked) > 0 {
		return
	}
	t.tripBefore(trip)
	if len(trip.Passes) > 0 {
		t.Head("Past a limit by the end of the trip")
		for _, p := range trip.Passes {
			t.Item("- ", message.Of("%s: %s", p.Judgement.Position.Name, p.Words().Sentence().LowerFirst()))
		}
	}
	t.tripRisks(trip)
	t.Head("What a look would tell")
	t.Line(trip.Looks.Headline(trip.Vehicle))
	for _, c := range trip.Looks.Cautions {
		t.Item("! ", message.Is(c))
	}
	for i := range trip.Looks.Looks {
		l := &trip.Looks.Looks[i]
		t.Item("- ", message.Of("%s: %s.", l.Judgement.Position.Name, l.Words()))
	}
	if s := trip.Looks.LeftWords(trip.Currency); s != "" {
		t.Line(s)
	}
	if len(trip.Check) > 0 {
		t.Head("Check on the way")
		for _, c := range trip.Check {
			words := c.Words()
			if c.Judgement != nil {
				words = message.Of("%s: %s", c.Judgement.Position.Name, words)
			}
			t.Item("- ", message.Of("%s.", words.Capital()))
		}
	}
	if len(trip.Carry) > 0 {
		t.Head("Carry, most likely needed first")
		t.Item("! ", aboard.Caution)
		for i := range trip.Carry {
			c := &trip.Carry[i]
			t.Item("- ", message.Of("%s: %s", c.Title().Capital(), c.Words().Sentence().LowerFirst()))
		}
	}
	t.Head("What this rests on")
	for _, s := range trip.RestWords(t.prefs) {
		t.Item("- ", s)
	}
}

func (t *Text) tripBefore(trip *trip.Trip) {
	if len(trip.Must)+len(trip.Fixes)+len(trip.First) == 0 {
		return
	}
	t.Head("Before you go")
	for _, g := range trip.FirstGroups(t.prefs) {
		names := make([]message.Text, len(g.Judgements))
		for i, j := range g.Judgements {
			names[i] = message.Is(j.Position.Name).LowerFirst()
		}
		t.Item("- ", message.Of("%s: %s", message.Joined(names, "; ").Capital(), g.Words.Sentence().LowerFirst()))
	}
	must, fixes := trip.Lines()
	for _, f := range must {
		t.Named(advise.ActionVerb(f.Do), 9,
			message.Of("%s: %s", f.Title(), f.Words(trip.Currency).Sentence().LowerFirst()))
	}
	if len(fixes) > 0 {
		t.Blank()
		t.Line("Besides, the cheapest that brings the chance down:")
	}
	for _, f := range fixes {
		t.Named("change", 9, message.Of("%s: %s", f.Title(), f.Words(trip.Currency).Sentence().LowerFirst()))
	}
	if s := trip.BeforeWords(); s != "" {
		t.Blank()
		t.Line(s)
	}
}

func (t *Text) tripRisks(trip *trip.Trip) {
	if len(trip.Risks) == 0 {
		return
	}
	t.Head("What may let you down")
	t.Line(trip.ChanceWords())
	for _, g := range trip.RiskGroups(tripRisksShown) {
		var names []message.Text
		for i, j := range g.Judgements {
			if name := message.Is(j.Position.Name); i == 0 {
				names = append(names, name)
			} else {
				names = append(names, name.LowerFirst())
			}
		}
		words := message.Of("%s: %s", told.Listing(names), g.Words)
		if len(names) > 1 {
			words = message.Of("%s: each %s", told.Listing(names), g.Words)
		}
		t.Item("- ", words)
	}
}
