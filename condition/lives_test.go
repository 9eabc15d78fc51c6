package condition_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/given"
)

// livesPrior is a kind with a stated onset and lead time, neither well known, seen by looks of some scatter: 0.3
// of a stage seldom errs, 2 hardly tells.
func livesPrior(t testing.TB, scatter float64) condition.Prior {
	t.Helper()
	looks := []condition.Sort{condition.Graded([]float64{0, 1, 2}, []float64{0.5, 1.5}, scatter)}
	p, err := condition.FromLead(condition.Lead{Onset: []float64{60}, Lead: []float64{30}, Shape: 2, ShapeLogSD: 0.4,
		OnsetLogSD: 0.4, LeadLogSD: 0.5, SpeedLogSD: 0.2}, looks, []float64{0.3})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// blindShare is on how many parts the eye sees nothing, however often it looks.
const blindShare = 0.15

// eyeAndHand is the same kind seen by an eye, sort 0, that may be blind on a part, and a hand, sort 1, that is not.
func eyeAndHand(t testing.TB, scatter float64) condition.Prior {
	t.Helper()
	p := livesPrior(t, scatter)
	p.Kind.Looks = append(p.Kind.Looks, p.Kind.Looks[0])
	p.Looks = append(p.Looks, p.Looks[0])
	return p
}

// life is one part's true stays, and looks at it.
type life struct {
	ends  []float64 // of each stage
	looks []condition.Look
	both  bool // seen by eye and hand
}

func (l life) failed() float64 { return l.ends[len(l.ends)-1] }

// live draws a life, and looks at it at irregular intervals for as long as it lasts.
func live(r *rand.Rand, k condition.Kind) life {
	l := life{both: len(k.Looks) > 1}
	blind := l.both && r.Float64() < blindShare
	speed, at := math.Exp(k.SpeedLogSD*r.NormFloat64()), 0.0
	for _, s := range k.Stages {
		at += distuv.Gamma{Alpha: s.Shape, Beta: s.Shape / s.Mean[0], Src: r}.Rand() / speed
		l.ends = append(l.ends, at)
	}
	for at = 15 * r.Float64(); at < l.failed(); at += 6 + 18*r.Float64() {
		stage := 0
		for l.ends[stage] < at {
			stage++
		}
		sort := 0
		if l.both && r.IntN(3) == 0 {
			sort = 1
		}
		if blind && sort == 0 {
			stage = 0
		}
		grade, u := 0, r.Float64()
		for row := k.Looks[sort].Says[stage]; grade < len(row)-1 && u > row[grade]; grade++ {
			u -= row[grade]
		}
		l.looks = append(l.looks, condition.Look{At: []float64{at}, Sort: sort, Grade: grade})
	}
	return l
}

// past is how a life ended for the yard: at failure, sold at some age, taken off at the worst grade and that
// written down, or not written down.
func (l life) past(r *rand.Rand) condition.History {
	sold := 40 + 160*r.Float64()
	h := condition.History{Outcome: condition.Failed, At: []float64{l.failed()}}
	for _, look := range l.looks {
		if look.At[0] > sold {
			break
		}
		if look.Grade == 2 && r.IntN(2) == 0 {
			if (look.Sort == 1 || !l.both) && r.IntN(2) == 0 {
				h.Outcome, h.At, h.By, h.To = condition.RemovedBad, look.At, look.Sort, 2
				return h
			}
			h.Looks = append(h.Looks, look)
			h.Outcome, h.At = condition.Removed, look.At
			return h
		}
		h.Looks = append(h.Looks, look)
	}
	if sold < l.failed() {
		h.Outcome, h.At = condition.Removed, []float64{sold}
	}
	return h
}

// simulateLives forecasts lives in worlds drawn from the prior, each with past parts of its own, and asks of so many
// lives in a world.
func simulateLives(t *testing.T, prior condition.Prior, past, lives, each int, seed uint64) [10]tally {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, uint64(past)))
	var bins [10]tally
	var post *condition.Posterior
	for done := 0; done < lives; {
		kind, err := prior.Draw(r)
		if err != nil {
			t.Fatal(err)
		}
		if post == nil || past > 0 {
			post = learnPast(t, r, prior, kind, past)
		}
		for range each {
			if p, failed, ok := askLife(t, r, post, kind); ok {
				bins[min(int(10*p), 9)].add(p, failed)
				done++
			}
		}
	}
	return bins
}

// perWorld is how many lives share one world: without past parts each has its own.
func perWorld(past int) int {
	if past == 0 {
		return 1
	}
	return 40
}

func learnPast(t *testing.T, r *rand.Rand, prior condition.Prior, kind condition.Kind,
	past int) *condition.Posterior {
	t.Helper()
	var histories []condition.History
	for range past {
		l := live(r, kind)
		h := l.past(r)
		if l.both {
			h.Blind = []condition.Blinded{{Share: blindShare, Looks: blindToTheEye(h.Looks)}}
		}
		histories = append(histories, h)
	}
	post, err := prior.Learn(histories, condition.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return post
}

// askLife forecasts a part in use at some age; ok is false where it did not live to it.
func askLife(t *testing.T, r *rand.Rand, post *condition.Posterior, kind condition.Kind) (p float64, failed,
	ok bool) {
	t.Helper()
	l, age, within := live(r, kind), 130*r.Float64(), 5+35*r.Float64()
	if l.failed() <= age {
		return 0, false, false
	}
	h := condition.History{At: []float64{age}}
	for _, look := range l.looks {
		if look.At[0] <= age {
			h.Looks = append(h.Looks, look)
		}
	}
	part, err := post.Part(h)
	if err != nil {
		t.Fatal(err)
	}
	c, err := part.FailWithin([]float64{within})
	if l.both {
		c, err = pooled(t, post, part, h).FailWithin([]float64{within})
	}
	if err != nil {
		t.Fatal(err)
	}
	return c.Mean, l.failed() <= age+within, true
}

// blindToTheEye is what the looks say of a part on which the eye is blind.
func blindToTheEye(looks []condition.Look) []condition.Look {
	out := slices.Clone(looks)
	for i := range out {
		out[i].Blind = out[i].Sort == 0
	}
	return out
}

// pooled is a part of which the eye may see nothing.
func pooled(t *testing.T, post *condition.Posterior, whole *condition.Part, h condition.History) *condition.Pool {
	t.Helper()
	found := slices.ContainsFunc(h.Looks, func(l condition.Look) bool { return l.Grade > 0 })
	h.Looks = slices.DeleteFunc(slices.Clone(h.Looks), func(l condition.Look) bool { return l.Sort == 0 })
	hand, err := post.Part(h)
	if err != nil {
		t.Fatal(err)
	}
	p, err := condition.PoolOf(whole, found, condition.Blind{Share: blindShare, Part: hand})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestLives simulates 20 000 lives a setting, a tenth of them unless UNDERTRAY_SOAK is set: of the parts said to fail
// with a chance, that share must, within 3 points in every bin of 1 000 lives or more and over all.
func TestLives(t *testing.T) {
	soak := os.Getenv("UNDERTRAY_SOAK") != ""
	lives := 2_000
	if soak {
		lives = 20_000
	}
	var text strings.Builder
	text.WriteString("| looks | past parts | bins of 1 000 lives | worst off, points | all lives off, points |\n" +
		"|---|---|---|---|---|\n")
	for _, q := range []struct {
		name    string
		scatter float64
	}{{"seldom err", 0.3}, {"often err", 0.8}, {"hardly tell", 2}} {
		for _, past := range []int{0, 1, 5, 30} {
			t.Run(fmt.Sprintf("looks %s, %d past parts", q.name, past), func(t *testing.T) {
				row := scoreLives(t, simulateLives(t, livesPrior(t, q.scatter), past, lives, perWorld(past),
					uint64(100*q.scatter)), 1000)
				t.Log(row)
				fmt.Fprintf(&text, "| %s | %d %s |\n", q.name, past, row)
			})
		}
	}
	if soak {
		given.Calibration(t, "condition lives", text.String(), *rewrite)
	}
}

// TestLivesWhereTheEyeMayBeBlind does so where an eye is blind on some of the parts. Where looks often err and 30 past
// parts tell, thrice as many lives are asked for, in six times as many worlds, and bins of thrice as many are held to 3
// points: of 20 000 lives one was 3.2 off, twice what chance alone does to a bin of 1 000.
func TestLivesWhereTheEyeMayBeBlind(t *testing.T) {
	soak := os.Getenv("UNDERTRAY_SOAK") != ""
	lives := 2_000
	if soak {
		lives = 20_000
	}
	var text strings.Builder
	text.WriteString("| looks | past parts | bins of 1 000 lives | worst off, points | all lives off, points |\n" +
		"|---|---|---|---|---|\n")
	for _, q := range []struct {
		name    string
		scatter float64
	}{{"seldom err", 0.3}, {"often err", 0.8}} {
		for _, past := range []int{0, 5, 30} {
			t.Run(fmt.Sprintf("looks %s, %d past parts", q.name, past), func(t *testing.T) {
				times, each := 1, perWorld(past)
				if soak && past == 30 && q.scatter == 0.8 { // so many take minutes
					times, each = 3, each/2
				}
				row := scoreLives(t, simulateLives(t, eyeAndHand(t, q.scatter), past, times*lives, each,
					uint64(7+100*q.scatter)), 1000*float64(times))
				t.Log(row)
				fmt.Fprintf(&text, "| %s | %d %s |\n", q.name, past, row)
			})
		}
	}
	if soak {
		given.Calibration(t, "condition lives blind", text.String(), *rewrite)
	}
}

// scoreLives holds the bins of one setting against what happened. Bins below so many lives are held to four standard
// errors only, and not shown.
func scoreLives(t *testing.T, bins [10]tally, least float64) string {
	t.Helper()
	scored, worst, all := 0, 0.0, tally{}
	for i := range bins {
		b := &bins[i]
		all.n, all.said, all.failed = all.n+b.n, all.said+b.said, all.failed+b.failed
		off := 100 * (b.failed - b.said) / b.n
		if b.n < least {
			if b.n > 50 && math.Abs(b.off()) > 4 {
				t.Errorf("said %.3f, %.3f failed of %.0f, %+.1f standard errors", b.said/b.n,
					b.failed/b.n, b.n, b.off())
			}
			continue
		}
		scored++
		if math.Abs(off) > math.Abs(worst) {
			worst = off
		}
		if math.Abs(off) > 3 {
			t.Errorf("said %.3f, %.3f failed of %.0f", b.said/b.n, b.failed/b.n, b.n)
		}
	}
	if math.Abs(all.failed-all.said) > 0.03*all.n {
		t.Errorf("said %.3f, %.3f failed of all", all.said/all.n, all.failed/all.n)
	}
	return fmt.Sprintf("| %d | %+.1f | %+.1f", scored, worst, 100*(all.failed-all.said)/all.n)
}
