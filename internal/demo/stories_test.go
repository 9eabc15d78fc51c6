package demo

import (
	"slices"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// TestCracksSpeedUp: the neoprene belt's count never falls and grows faster
// in the last third of its distance than in the first.
func TestCracksSpeedUp(t *testing.T) {
	p := open(t).place(t, "heron", "main-belt")
	if p.Fitted.Material() != "neoprene" {
		t.Fatalf("the belt is of %q", p.Fitted.Material())
	}
	var counts, km []float64
	for _, f := range p.Findings {
		if f.Check == "cracks" && f.Value != nil && f.Date.After(p.Fitted.From.Date) {
			counts, km = append(counts, f.Value.Value()), append(km, f.Total-p.Fitted.From.Total)
		}
	}
	n := len(counts)
	if n < 6 || !slices.IsSorted(counts) || counts[0] != 0 || counts[n-1] != 5 {
		t.Fatalf("cracks %v", counts)
	}
	early := (counts[n/2] - counts[0]) / (km[n/2] - km[0])
	late := (counts[n-1] - counts[n/2]) / (km[n-1] - km[n/2])
	if late < 2*early {
		t.Errorf("cracks grow by %.2g a km late and %.2g early", late, early)
	}
}

// TestWornWithoutCracks: the EPDM belt never shows a crack, and the gauge
// takes it to its limit all the same.
func TestWornWithoutCracks(t *testing.T) {
	w := open(t)
	p := w.place(t, "dunnock", "main-belt")
	loss := 0.0
	for _, f := range p.Findings {
		switch {
		case f.Date.Before(p.Fitted.From.Date):
		case f.Check == "cracks" && f.Value.Value() != 0:
			t.Errorf("%s cracks on %s", f.Value, f.Date)
		case f.Check == "rib-loss" && f.Value.Value() <= loss:
			t.Errorf("rib loss fell to %s on %s", f.Value, f.Date)
		case f.Check == "rib-loss":
			loss = f.Value.Value()
		}
	}
	if loss < 8 || loss >= 10 || !inOrder(answers(p, "rib-wear"), "above", "above", "above") {
		t.Errorf("rib loss %v %%, rib wear %v", loss, answers(p, "rib-wear"))
	}
	if got := w.judgements(t, "dunnock")["main-belt"].Verdict; got != fleet.Watch {
		t.Errorf("verdict %s, want watch", got)
	}
}

// TestOneLeak: oil on belt, tensioner, hose end and filter is seen as one leak.
func TestOneLeak(t *testing.T) {
	w := open(t)
	var js []judge.Judgement
	for _, j := range w.judgements(t, "bittern") {
		js = append(js, j)
	}
	v, err := w.yard.Vehicle("bittern")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range judge.Shared(v, w.yard.Catalogue.Symptoms(), js) {
		var ids []string
		for _, p := range s.Positions {
			ids = append(ids, p.ID)
		}
		slices.Sort(ids)
		if s.Symptom.ID == "oil" && slices.Equal(ids,
			[]string{"main-belt", "main-tensioner", "oil-filter", "top-hose"}) {
			return
		}
	}
	t.Errorf("no shared oil leak among %v", judge.Shared(v, w.yard.Catalogue.Symptoms(), js))
}

// TestSeriesOfAnswers: stories that are a sequence of answers at one place.
func TestSeriesOfAnswers(t *testing.T) {
	w := open(t)
	for _, c := range []struct {
		story, vehicle, position, check string
		want                            []string
	}{
		{"a hose end goes soft", "dunnock", "top-hose", "squeeze-ends", []string{"same", "same", "softer-end"}},
		{"crust comes back", "heron", "heater-hose-feed", "leak", []string{"crust", "none", "crust", "crust"}},
		{"a seep grows", "bittern", "oil-filter", "leak", []string{"none", "dry-stain", "crust", "damp"}},
		{"the arm creeps to its stop", "heron", "main-tensioner", "mark", []string{"between", "between", "at-end"}},
		{"a back rubbed by a bracket", "heron", "ac-belt", "back", []string{"polished", "cut", "clean"}},
		{"glazed by oil, then again", "bittern", "main-belt", "surface", []string{"glazed", "clean", "oil-wet"}},
		{"a whine heard", "dunnock", "main-idler", "noise", []string{"whine", "quiet"}},
		{"and looked for with the belt off", "dunnock", "main-tensioner", "pulley", []string{"dry"}},
		{"the idler cleared of it", "dunnock", "main-idler", "spin", []string{"smooth"}},
		{"a V-belt that slackens", "bittern", "tipper-belt", "tension", []string{"slack", "slack", "right"}},
	} {
		if got := answers(w.place(t, c.vehicle, c.position), c.check); !inOrder(got, c.want...) {
			t.Errorf("%s: %s %s: %v, want %v in that order", c.story, c.position, c.check, got, c.want)
		}
	}
}

// TestWhineEndsWithATensioner: the belt-off look comes before the new part.
func TestWhineEndsWithATensioner(t *testing.T) {
	p := open(t).place(t, "dunnock", "main-tensioner")
	if len(p.Past) == 0 || p.Past[len(p.Past)-1].Removed != fleet.RemovedWorn {
		t.Fatal("no tensioner came off worn")
	}
	for _, f := range p.Findings {
		if f.Check == "pulley" && f.Answer == "dry" && !f.Date.Before(p.Fitted.From.Date) {
			t.Errorf("pulley found dry on %s, after the new tensioner of %s", f.Date, p.Fitted.From.Date)
		}
	}
}

// TestSettledFindings: cleaned crust no longer counts, until it is back.
func TestSettledFindings(t *testing.T) {
	w := open(t)
	settled := 0
	p := w.place(t, "heron", "heater-hose-feed")
	for _, f := range p.Findings {
		if f.Answer == "crust" && f.Settled != "" {
			settled++
		}
	}
	if settled != 2 || p.Latest["leak"] == nil || p.Latest["leak"].Answer != "crust" {
		t.Errorf("%d crusts settled, latest %v", settled, p.Latest["leak"])
	}
}

// TestUnknownHistory: the bought vehicle begins with parts nobody knows and
// with parts somebody told of.
func TestUnknownHistory(t *testing.T) {
	w := open(t)
	known := map[fleet.Known]int{}
	for _, e := range w.entries {
		if e.Vehicle == "dunnock" && e.Fitted != nil {
			known[e.Fitted.Known]++
		}
	}
	if known[fleet.Unknown] < 10 || known[fleet.Told] < 3 || known[fleet.Recorded] < 50 {
		t.Errorf("fittings by how they are known: %v", known)
	}
	if got := w.place(t, "dunnock", "top-hose").Fitted.Known; got != fleet.Unknown {
		t.Errorf("the soft hose is %q", got)
	}
}

// TestInstrumentChange: the total goes on where the used instrument does not.
func TestInstrumentChange(t *testing.T) {
	w := open(t)
	var change *fleet.Entry
	for _, e := range w.entries {
		if e.Instrument != nil {
			change = e
		}
	}
	if change == nil || change.Vehicle != "bittern" {
		t.Fatal("no instrument was changed on Bittern")
	}
	in := change.Instrument
	last, _ := w.state(t, "bittern").Last()
	shown := 0.0
	for _, e := range w.entries {
		if e.Vehicle == "bittern" && e.Odometer != nil {
			shown = e.Odometer.Base()
		}
	}
	if want := shown + in.Old.Base() - in.New.Base(); last.Total != want || want == shown {
		t.Errorf("total %v km, instrument shows %v km, want a total of %v km", last.Total, shown, want)
	}
}

// TestCorrection: the mistyped reading stands corrected, and without the
// correction the journal would contradict itself.
func TestCorrection(t *testing.T) {
	w := open(t)
	var without []*fleet.Entry
	for _, e := range w.entries {
		if e.Correction == nil {
			without = append(without, e)
			continue
		}
		standing := fleet.Standing(w.entries)
		i := slices.IndexFunc(standing, func(s *fleet.Entry) bool { return s.ID == e.Correction.Of })
		if i < 0 || standing[i].Odometer.String() != "136340 km" {
			t.Errorf("the correction of %s does not stand", e.Correction.Of)
		}
	}
	if len(without) == len(w.entries) {
		t.Fatal("nothing was corrected")
	}
	v, err := w.yard.Vehicle("heron")
	if err != nil {
		t.Fatal(err)
	}
	if len(fleet.Fold(v, without, Today).Problems) == 0 {
		t.Error("without the correction nothing is wrong: then it corrects nothing")
	}
}

// TestBelts: one, two and three belts, back-side idlers, a stretch-fit belt
// and a V-belt.
func TestBelts(t *testing.T) {
	w := open(t)
	kinds, backs, runs := map[string]int{}, map[string]int{}, map[string]int{}
	for _, v := range w.yard.Vehicles() {
		for i := range v.Runs {
			kind := v.Position(v.Runs[i].Belt).Kind
			kinds[kind]++
			if kind != "timing-belt" {
				runs[v.ID]++
			}
			for _, p := range v.Runs[i].Pulleys {
				if p.Side == "back" {
					backs[v.ID]++
				}
			}
		}
	}
	if kinds["ribbed-belt"] != 4 || kinds["stretch-belt"] != 1 || kinds["v-belt"] != 1 {
		t.Errorf("belts %v", kinds)
	}
	if runs["heron"] != 2 || runs["dunnock"] != 1 || runs["bittern"] != 3 {
		t.Errorf("driven belts by vehicle %v", runs)
	}
	if backs["heron"] < 2 {
		t.Errorf("pulleys on the back of a belt %v", backs)
	}
}

// TestDisagreement: the three stances differ, and on each vehicle some
// authority would rule otherwise than the one that governs.
func TestDisagreement(t *testing.T) {
	w := open(t)
	stances := map[fleet.Stance]bool{}
	for _, v := range w.yard.Vehicles() {
		stances[v.Stance] = true
		overruled := 0
		for _, j := range w.judgements(t, v.ID) {
			for _, r := range j.Reasons {
				if !r.Governs && r.Due != nil && r.Due.Passed != (j.Verdict >= fleet.PutRight) {
					overruled++
				}
			}
		}
		if overruled == 0 {
			t.Errorf("%s: all authorities agree", v.ID)
		}
	}
	if len(stances) != 3 {
		t.Errorf("stances %v", stances)
	}
}
