package ask_test

import (
	"testing"

	"undertray/internal/catalogue"
	"undertray/internal/sheet"
	"undertray/internal/sheet/ask"
	"undertray/internal/sheet/ask/asktest"
)

// Every pair of answers that can be given together makes a sheet without mistakes
// and without warnings; a run that does not lie is a warning.
func TestEveryPairOfAnswersMakesASheet(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	sets, pairs := asktest.Pairwise(1)
	t.Logf("%d sets of answers hold %d pairs", len(sets), pairs)
	if pairs < 1500 {
		t.Errorf("only %d pairs", pairs)
	}
	for _, a := range sets {
		src, err := ask.Build(a, ask.Filling{Vehicle: "wren", Name: "Wren"})
		if err != nil {
			t.Errorf("%v, %v: %v", a.Say, a.Belts, err)
			continue
		}
		s, err := sheet.Read("wren", src, cat)
		if err != nil {
			t.Errorf("%v, %v:\n%v", a.Say, a.Belts, err)
			continue
		}
		for _, w := range s.Warnings {
			t.Errorf("%v, %v: %v", a.Say, a.Belts, w)
		}
	}
}
