package condition_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"sync"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/lifetime"
)

func table(t testing.TB, name string) [][]float64 {
	t.Helper()
	var out [][]float64
	for _, row := range given.Table(t, "data", "condition", name) {
		var nums []float64
		for _, cell := range row {
			nums = append(nums, given.Number(t, cell))
		}
		out = append(out, nums)
	}
	return out
}

// unit is one part of shared/data/condition that ran until it failed.
type unit struct {
	looks  []condition.Look
	failed float64
}

func (u unit) history() condition.History {
	return condition.History{Looks: u.looks, Outcome: condition.Failed, At: []float64{u.failed}}
}

func units(t testing.TB) []unit {
	t.Helper()
	ends := table(t, "ends.csv")
	out := make([]unit, len(ends))
	index := map[float64]int{}
	for i, e := range ends {
		out[i].failed = e[1]
		index[e[0]] = i
	}
	for _, l := range table(t, "looks.csv") {
		u := &out[index[l[0]]]
		u.looks = append(u.looks, condition.Look{At: []float64{l[1]}, Grade: int(l[2])})
	}
	return out
}

const horizon = 30

// fleetPrior is what would be written down of such parts before any was seen: as many stages as
// grades, 200 cycles in all, stays a good deal more regular than chance, an eye that errs now and then, and
// parts that look better or worse than they are for all their life.
func fleetPrior() condition.Prior {
	levels := []float64{0, 1, 2, 3}
	kind := condition.Kind{HabitSD: 0.7, Looks: []condition.Sort{condition.Graded(levels, []float64{0.5, 1.5, 2.5},
		0.5)}}
	for range levels {
		kind.Stages = append(kind.Stages, condition.Stage{Mean: []float64{50}, Shape: 4})
	}
	four := func(x float64) []float64 { return []float64{x, x, x, x} }
	return condition.Prior{Kind: kind, Stays: four(0.7), Habit: 0.5, Looks: []float64{0.7}}
}

// folds shuffles the units into four parts.
func folds(n int, seed uint64) []int {
	out := make([]int, n)
	for i, k := range rand.New(rand.NewPCG(seed, 4)).Perm(n) {
		out[k] = i % 4
	}
	return out
}

// method fits on some units and gives, for each look of others, the chance of failing within the horizon.
type method func(t testing.TB, train, test []unit) [][]float64

func byCondition(t testing.TB, train, test []unit) [][]float64 {
	t.Helper()
	var histories []condition.History
	for _, u := range train {
		histories = append(histories, u.history())
	}
	post, err := fleetPrior().Learn(histories, condition.Options{Nodes: 64})
	if err != nil {
		t.Error(err)
		return nil
	}
	return eachLook(test, func(u unit, i int) float64 {
		part, err := post.Part(condition.History{Looks: u.looks[:i+1]})
		if err != nil {
			t.Error(err)
			return 0
		}
		c, err := part.FailWithin([]float64{horizon})
		if err != nil {
			t.Error(err)
		}
		return c.Mean
	})
}

func eachLook(test []unit, chance func(u unit, i int) float64) [][]float64 {
	out := make([][]float64, len(test))
	for k, u := range test {
		for i := range u.looks {
			out[k] = append(out[k], chance(u, i))
		}
	}
	return out
}

func (u unit) fails(i int) bool { return u.failed <= u.looks[i].At[0]+horizon }

// byGrade is the table of the last grade.
func byGrade(_ testing.TB, train, test []unit) [][]float64 {
	var failed, seen [4]float64
	for _, u := range train {
		for i, l := range u.looks {
			seen[l.Grade]++
			if u.fails(i) {
				failed[l.Grade]++
			}
		}
	}
	return eachLook(test, func(u unit, i int) float64 {
		g := u.looks[i].Grade
		return (failed[g] + 0.5) / (seen[g] + 1)
	})
}

// byAge is a Weibull life.
func byAge(t testing.TB, train, test []unit) [][]float64 {
	var obs []lifetime.Observation
	for _, u := range train {
		obs = append(obs, lifetime.FailedAt(u.failed))
	}
	fit, err := lifetime.Estimate(lifetime.Weibull, obs)
	if err != nil {
		t.Error(err)
		return nil
	}
	alive := func(age float64) float64 { return math.Exp(-math.Pow(age/fit.Scale(), fit.Shape())) }
	return eachLook(test, func(u unit, i int) float64 {
		age := u.looks[i].At[0]
		return 1 - alive(age+horizon)/alive(age)
	})
}

// features of the logistic regression: grade, previous grade, mean of three, log age, time since the first sign.
func (u unit) features(i int) []float64 {
	grade := func(k int) float64 { return float64(u.looks[max(k, 0)].Grade) }
	since := 0.0
	for k := range i + 1 {
		if u.looks[k].Grade > 0 {
			since = u.looks[i].At[0] - u.looks[k].At[0]
			break
		}
	}
	return []float64{1, grade(i), grade(i - 1), (grade(i) + grade(i-1) + grade(i-2)) / 3,
		math.Log(u.looks[i].At[0]), since / 100}
}

// byRegression is that regression, by Newton's method.
func byRegression(t testing.TB, train, test []unit) [][]float64 {
	const n = 6
	w := mat.NewVecDense(n, nil)
	for range 30 {
		slope, curve := mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
		for k := range n {
			curve.SetSym(k, k, 1e-6)
		}
		for _, u := range train {
			for i := range u.looks {
				x := mat.NewVecDense(n, u.features(i))
				p := 1 / (1 + math.Exp(-mat.Dot(w, x)))
				y := 0.0
				if u.fails(i) {
					y = 1
				}
				slope.AddScaledVec(slope, y-p, x)
				curve.SymRankOne(curve, p*(1-p), x)
			}
		}
		var step mat.VecDense
		if err := step.SolveVec(curve, slope); err != nil {
			t.Error(err)
		}
		w.AddVec(w, &step)
	}
	return eachLook(test, func(u unit, i int) float64 {
		return 1 / (1 + math.Exp(-mat.Dot(w, mat.NewVecDense(n, u.features(i)))))
	})
}

// scores of one method, over all splits.
type scores struct {
	log, brier float64   // means over looks
	units      []float64 // summed log score of each unit
	said       [][]float64
}

// fleetScores runs a method over the splits.
func fleetScores(t testing.TB, us []unit, splits int, m method) *scores {
	t.Helper()
	s := &scores{units: make([]float64, len(us)), said: make([][]float64, len(us))}
	for i, u := range us {
		s.said[i] = make([]float64, len(u.looks))
	}
	var lock sync.Mutex
	var all sync.WaitGroup
	turn := make(chan struct{}, 2)
	for k := range 4 * splits {
		all.Go(func() {
			turn <- struct{}{}
			defer func() { <-turn }()
			train, test, index := split(us, folds(len(us), uint64(k/4)), k%4)
			chances := m(t, train, test)
			lock.Lock()
			defer lock.Unlock()
			for i, ps := range chances {
				s.add(index[i], test[i], ps, float64(splits))
			}
		})
	}
	all.Wait()
	looks := 0.0
	for _, u := range us {
		looks += float64(len(u.looks))
	}
	s.log /= looks * float64(splits)
	s.brier /= looks * float64(splits)
	return s
}

func split(us []unit, fold []int, out int) (train, test []unit, index []int) {
	for i, u := range us {
		if fold[i] == out {
			test, index = append(test, u), append(index, i)
		} else {
			train = append(train, u)
		}
	}
	return train, test, index
}

func (s *scores) add(unit int, u unit, ps []float64, splits float64) {
	for i, p := range ps {
		s.said[unit][i] += p / splits
		p = min(max(p, 1e-9), 1-1e-9)
		missed := p
		if u.fails(i) {
			missed = 1 - p
		}
		s.log -= math.Log1p(-missed)
		s.units[unit] -= math.Log1p(-missed)
		s.brier += missed * missed
	}
}

// paired is Student's t of the differences between two methods over units; below -2 the first is better.
func paired(a, b *scores) float64 {
	var d []float64
	for i := range a.units {
		d = append(d, a.units[i]-b.units[i])
	}
	mean, sd := stat.MeanStdDev(d, nil)
	return mean / sd * math.Sqrt(float64(len(d)))
}

// fleetSplits is into how many different quarters the parts are split: all that docs/calibration.md shows, and as many
// as an ordinary check takes.
const (
	fleetSplits = 20
	checkSplits = 3
)

// TestFleet scores the chances of failing within 30 cycles at every look of parts that were not learnt from: over three
// splits, or over all with UNDERTRAY_SOAK.
func TestFleet(t *testing.T) {
	us := units(t)
	splits := checkSplits
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		splits = fleetSplits
	}
	names := []string{"hidden condition", "logistic regression", "last grade", "age alone"}
	methods := []method{byCondition, byRegression, byGrade, byAge}
	var all []*scores
	var text strings.Builder
	text.WriteString("| knows | log | Brier | hidden condition better by t of |\n|---|---|---|---|\n")
	for i, m := range methods {
		s := fleetScores(t, us, splits, m)
		all = append(all, s)
		better := ""
		if i > 0 {
			better = fmt.Sprintf("%+.1f", -paired(all[0], s))
		}
		fmt.Fprintf(&text, "| %s | %.3f | %.3f | %s |\n", names[i], s.log, s.brier, better)
	}
	hidden := all[0]
	if hidden.log > 0.186 || hidden.brier > 0.057 {
		t.Errorf("log %.4f, Brier %.4f; allowed 0.186 and 0.057", hidden.log, hidden.brier)
	}
	if p := paired(hidden, all[1]); p > 2 {
		t.Errorf("worse than a logistic regression, t = %.1f", p)
	}
	for i := 2; i < 4; i++ {
		if p := paired(hidden, all[i]); p > -2 {
			t.Errorf("not better than %s, t = %.1f", names[i], p)
		}
	}
	text.WriteString("\n" + fleetBins(t, us, hidden))
	if splits == fleetSplits {
		given.Calibration(t, "condition fleet", text.String(), *rewrite)
	}
}

// fleetBins holds the chances against what happened in six bins; with the splits' mean for each look. Looks of
// one part
// are not independent, so three standard errors are allowed.
func fleetBins(t *testing.T, us []unit, s *scores) string {
	var bins [6]tally
	for i, u := range us {
		for k, p := range s.said[i] {
			bins[min(int(6*p), 5)].add(p, u.fails(k))
		}
	}
	var text strings.Builder
	text.WriteString("| chance said | looks | mean chance | share that failed | standard errors off |\n" +
		"|---|---|---|---|---|\n")
	for i := range bins {
		b := &bins[i]
		fmt.Fprintf(&text, "| %d to %d %% | %.0f | %.1f %% | %.1f %% | %+.1f |\n", 100*i/6, 100*(i+1)/6, b.n,
			100*b.said/b.n, 100*b.failed/b.n, b.off())
		if math.Abs(b.off()) > 3 {
			t.Errorf("bin %d: said %.3f, %.3f failed of %.0f", i, b.said/b.n, b.failed/b.n, b.n)
		}
	}
	return text.String()
}
