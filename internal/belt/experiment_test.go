package belt_test

import (
	"math"
	"strings"
	"testing"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/listen"
)

// quietEngine is a hearing in which the shares are given by hand.
func quietEngine(t *testing.T) *belt.Heard {
	t.Helper()
	r := wagonReport(t)
	h := heard(t, r, engine(t, r, "").WAV(), belt.ListenQuestion{RPM: 1000})
	h.Ranking.Outcome = listen.Unclear
	h.Ranking.Suspects = []listen.Suspect{
		{Pulleys: []string{"upper idler"}, Shows: listen.ShowsElement, Score: 1.2, Share: 0.4},
		{Pulleys: []string{"alternator"}, Shows: listen.ShowsTone, Score: 1.1, Share: 0.3},
		{Shows: listen.ShowsPass, Score: 1, Share: 0.2}}
	return h
}

// The odds follow what was heard by ear as Bayes' rule by hand makes them: of
// 0.4 idler, 0.3 whine, 0.2 belt and 0.1 elsewhere, lamps that make it louder
// leave 0.032, 0.225, 0.09 and 0.008, in all 0.355 (likelihoods of package listen).
func TestExperimentWeighsByHand(t *testing.T) {
	h := quietEngine(t)
	x, err := h.Experiment(belt.Tried{What: belt.TryLamps, Ear: belt.EarLouder})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{"Alternator": 0.225 / 0.355, "Upper idler": 0.032 / 0.355, "The belt itself": 0,
		"Belt itself": 0.09 / 0.355, "Something else": 0.008 / 0.355}
	for _, row := range x.Rows() {
		if math.Abs(row.P-want[row.Name.String()]) > 1e-9 || row.Words == "" || row.Before <= 0 {
			t.Errorf("%+v, want %.3f", row, want[row.Name.String()])
		}
	}
	if x.Rows()[0].Name.String() != "Alternator" || x.Headline().String() != "Still open: the alternator leads, "+
		"about 2 in 3." {
		t.Errorf("%v: %s", x.Rows()[0], x.Headline())
	}
	for _, next := range x.Trials() {
		if next.What == belt.TryLamps {
			t.Error("the lamps are proposed again")
		}
	}
	if x.Sure() || !strings.Contains(x.NoteWords().String(), "Lamps on: the noise became louder, by ear.") {
		t.Errorf("%q", x.NoteWords())
	}
	if x, err := h.Experiment(); err != nil || x.Sure() || x.NoteWords() != "" || len(x.Trials()) < 2 {
		t.Errorf("%v: nothing is proposed after a doubtful answer", err)
	}
}

// Word and odds agree: who is most likely by a calibrated probability has it for odds; what bears that out leaves the
// word, what was weighed by guesses against it never leaves more than probable.
func TestWordAndOddsAgree(t *testing.T) {
	h := quietEngine(t)
	h.Ranking.Outcome, h.Ranking.P, h.Ranking.Warnings = listen.Named, 0.96, nil
	first, err := h.Experiment()
	if err != nil {
		t.Fatal(err)
	}
	if row := first.Rows()[0]; !first.Sure() || row.P != 0.96 || row.Words != "19 in 20 or more" ||
		h.Ranking.Sure() != listen.MostLikely {
		t.Errorf("%+v beside %s", row, h.Ranking.Sure())
	}
	sum := 0.0
	for _, row := range first.Rows() {
		sum += row.P
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("the odds add up to %g", sum)
	}
	for ear, want := range map[belt.Code]string{belt.EarAlike: "Most likely the upper idler, 19 in 20 or more.",
		belt.EarLouder: "Still open: the upper idler leads, about 4 in 5."} {
		x, err := h.Experiment(belt.Tried{What: belt.TryLamps, Ear: ear})
		if err != nil || x.Headline().String() != want {
			t.Errorf("lamps %s: %v %q, odds %v", ear, err, x.Headline(), x.Rows())
		}
	}
	h.Ranking.Warnings = []listen.Warning{{Kind: listen.Clipped}}
	if x, err := h.Experiment(); err != nil || x.Sure() || x.Rows()[0].P > 0.5 {
		t.Errorf("a recording in doubt: %v %v", err, x.Rows())
	}
}

// Before each experiment stands its caution; the belt is wetted standing still;
// the air conditioning is tried only where a compressor is on a run.
func TestEveryTrialIsCautioned(t *testing.T) {
	x, err := quietEngine(t).Experiment()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[belt.Code]belt.Trial{}
	for _, trial := range x.Trials() {
		seen[trial.What] = trial
		if trial.Caution == "" || len(trial.Steps) < 2 || trial.Tells == "" || trial.Bits <= 0 {
			t.Errorf("%+v", trial)
		}
		if !strings.HasPrefix(trial.Caution.String(), "The engine runs") && trial.What != belt.TryWet {
			t.Errorf("%s: %s", trial.What, trial.Caution)
		}
	}
	wet, ok := seen[belt.TryWet]
	if !ok || !strings.Contains(wet.Caution.String(), "Engine stopped, key out") ||
		!strings.Contains(wet.Caution.String(), "Never spray a running belt") ||
		!strings.Contains(wet.Steps[1].String(), "clear; then start") {
		t.Errorf("%+v", wet)
	}
	if _, air := seen[belt.TryAir]; air {
		t.Error("the wagon's run has no compressor, and its air conditioning is tried")
	}
}

// What is no experiment, or brings nothing to weigh, is refused with what would be right.
func TestExperimentRefuses(t *testing.T) {
	h := quietEngine(t)
	for _, tried := range []belt.Tried{{What: "dance", Ear: belt.EarLouder}, {What: belt.TryLamps, Ear: "purple"},
		{What: belt.TryLamps}, {What: belt.TryFaster, Ear: belt.EarLouder}} {
		if _, err := h.Experiment(tried); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%+v: %v", tried, err)
		}
	}
}

// Two simulated recordings at two speeds: the odds of the pulley that sounds rise.
func TestExperimentBySpeed(t *testing.T) {
	r := wagonReport(t)
	slow, fast := engine(t, r, "upper idler"), engine(t, r, "upper idler")
	slow.SNR, fast.RPM = -16, 2016
	h := heard(t, r, slow.WAV(), belt.ListenQuestion{RPM: 1000})
	first, err := h.Experiment()
	if err != nil {
		t.Fatal(err)
	}
	second := heard(t, r, fast.WAV(), belt.ListenQuestion{RPM: 2000})
	x, err := h.Experiment(belt.Tried{What: belt.TryFaster, Second: second})
	if err != nil {
		t.Fatal(err)
	}
	row := x.Rows()[0]
	t.Logf("%+v %s", row, x.Headline())
	if row.Name.String() != "Upper idler" || row.P <= row.Before || row.P < 0.8 {
		t.Errorf("%+v after %+v", row, first.Rows()[0])
	}
	if n := len(strings.Fields(x.Headline().String())); n > say.HeadWords {
		t.Errorf("a headline of %d words: %s", n, x.Headline())
	}
}
