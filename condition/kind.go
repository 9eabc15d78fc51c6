package condition

import (
	"fmt"
	"math"
	"slices"
)

// Family is the form of the distribution of a stay in a stage.
type Family int

const (
	Gamma   Family = iota // shape 1 is the exponential stay
	Weibull               // shape 1 is the exponential stay
)

// Stage is one stage of worsening, from which a part goes to the next; from the last it goes to
// failure.
type Stage struct {
	// Mean is the mean stay, one number for each exposure: how much of that exposure alone the
	// stay would take. 0 means that the exposure does not count here. Where several count they add
	// up: 3 of an exposure with mean 10 and 2 of one with mean 5 use up 0.3 + 0.4 of the stay.
	Mean []float64

	// Shape of the stay, 0 for 1 (exponential). Above 1 the stay is more regular than chance,
	// below 1 less. Mean and spread are those of the family; see the package page for how.
	Shape  float64
	Family Family

	// Fails is the rate of failing straight from this stage, without passing through the later ones, per
	// unit of each exposure. Nil for none.
	Fails []float64
}

// Sort is one way of looking, with how it can mislead. Either Says or Level is set.
type Sort struct {
	// Says is the chance of each grade, from best to worst, in each stage: one row a stage, each
	// adding up to 1. A worse grade must speak for a worse stage: between any two stages and any two grades the odds
	// of the worse grade must not fall as the stage worsens.
	Says [][]float64

	// Level is the mean of a measured value in each stage, rising or falling throughout, and
	// Scatter the standard deviation around it, besides the error stated with a [Look].
	Level   []float64
	Scatter float64
}

// Kind is what is known of a kind of part, as if it were certain. See [Prior] for doubt.
type Kind struct {
	Stages []Stage
	Looks  []Sort

	// SpeedLogSD is how much parts of the kind differ: the standard deviation of the logarithm of
	// the speed at which a part passes through all its stages. The median part has speed 1.
	SpeedLogSD float64

	// HabitSD is how much parts of a kind that are in the same stage differ in looks: the standard deviation of a
	// part's own
	// shift, the same in all its looks at grades, in the log-odds of each grade against the one before.
	HabitSD float64
}

// Glance is a look that says sound (grade 0) or not (grade 1): one chance of saying not sound for
// each stage. The first is that of a false alarm; 1 less each of the others is that of a miss.
func Glance(notSound ...float64) Sort {
	var s Sort
	for _, p := range notSound {
		s.Says = append(s.Says, []float64{1 - p, p})
	}
	return s
}

// Graded is a look whose eye takes the condition at a level that rises with the stage, errs by a normal scatter, and
// writes down how many of the cuts were passed.
func Graded(levels, cuts []float64, scatter float64) Sort {
	var s Sort
	for _, level := range levels {
		row, below := make([]float64, len(cuts)+1), math.Inf(-1)
		for g, cut := range cuts {
			upTo := (cut - level) / scatter
			row[g], below = normalBetween(below, upTo), upTo
		}
		row[len(cuts)] = normalBetween(below, math.Inf(1))
		s.Says = append(s.Says, row)
	}
	return s
}

// Perfect is a look that names the stage without fail, of that many stages.
func Perfect(stages int) Sort {
	s := Sort{Says: make([][]float64, stages)}
	for j := range s.Says {
		s.Says[j] = make([]float64, stages)
		s.Says[j][j] = 1
	}
	return s
}

// normalBetween is the chance of a standard normal value between a and b, from the nearer tail, so that
// far from the middle little is left of nothing by a difference of two numbers near 1.
func normalBetween(a, b float64) float64 {
	if a > 0 {
		a, b = -b, -a
	}
	return 0.5 * (math.Erfc(-b/math.Sqrt2) - math.Erfc(-a/math.Sqrt2))
}

// Exposures is how many exposures the kind counts.
func (k Kind) Exposures() int {
	if len(k.Stages) == 0 {
		return 0
	}
	return len(k.Stages[0].Mean)
}

// Check says whether the kind is possible.
func (k Kind) Check() error {
	if err := bad(len(k.Stages) > 0, "kind", "Stages", 0, "one stage or more"); err != nil {
		return err
	}
	if err := bad(k.Exposures() > 0, "stage 0", "Mean", 0, "one number for each exposure"); err != nil {
		return err
	}
	if err := bad(k.SpeedLogSD >= 0 && k.SpeedLogSD <= 2, "kind", "SpeedLogSD", k.SpeedLogSD, "0 to 2"); err != nil {
		return err
	}
	if err := bad(k.HabitSD >= 0 && k.HabitSD <= 5, "kind", "HabitSD", k.HabitSD, "0 to 5"); err != nil {
		return err
	}
	for j, s := range k.Stages {
		if err := s.check(fmt.Sprintf("stage %d", j), k.Exposures()); err != nil {
			return err
		}
	}
	for i, s := range k.Looks {
		if err := s.check(fmt.Sprintf("look %d", i), len(k.Stages)); err != nil {
			return err
		}
	}
	return nil
}

// maxShape keeps a stay to a number of phases that is quick to follow; see the package page.
const (
	minShape = 0.1
	maxShape = 24
)

func (s Stage) check(where string, exposures int) error {
	if err := first(
		bad(len(s.Mean) == exposures, where, "Mean", float64(len(s.Mean)), "one number for each exposure"),
		bad(s.Family == Gamma || s.Family == Weibull, where, "Family", float64(s.Family), "Gamma or Weibull"),
		bad(s.Shape == 0 || s.Family == Weibull || s.Shape >= minShape && s.Shape <= maxShape, where, "Shape", s.Shape,
			fmt.Sprintf("%v to %v", minShape, maxShape)),
		bad(s.Shape == 0 || s.Family == Gamma || s.Shape >= 0.4 && s.Shape <= 5.5, where, "Shape",
			s.Shape, "0.4 to 5.5"),
		bad(len(s.Fails) == 0 || len(s.Fails) == exposures, where, "Fails", float64(len(s.Fails)),
			"none or one rate for each exposure"),
	); err != nil {
		return err
	}
	counts := false
	for _, m := range s.Mean {
		counts = counts || m > 0
		if err := bad(finite(m) && m >= 0, where, "Mean", m,
			"an exposure above 0, or 0 where it does not count"); err != nil {
			return err
		}
	}
	for _, f := range s.Fails {
		if err := bad(finite(f) && f >= 0, where, "Fails", f, "a rate, 0 or above"); err != nil {
			return err
		}
	}
	return bad(counts, where, "Mean", 0, "at least one exposure that counts")
}

func (s Sort) check(where string, stages int) error {
	if s.measured() {
		return s.checkLevel(where, stages)
	}
	if err := bad(len(s.Says) == stages, where, "Says", float64(len(s.Says)), "one row for each stage"); err != nil {
		return err
	}
	for j, row := range s.Says {
		sum := 0.0
		for _, p := range row {
			if err := bad(p >= 0 && p <= 1, where, fmt.Sprintf("Says[%d]", j), p, "chances of 0 to 1"); err != nil {
				return err
			}
			sum += p
		}
		if err := first(bad(len(row) > 0 && len(row) == len(s.Says[0]), where, fmt.Sprintf("Says[%d]", j),
			float64(len(row)), "as many grades as the other rows"),
			bad(math.Abs(sum-1) < 1e-6, where, fmt.Sprintf("Says[%d]", j), sum,
				"chances that add up to 1")); err != nil {
			return err
		}
	}
	return bad(s.ordered(), where, "Says", 0, "a worse grade to speak for a worse stage")
}

func (s Sort) checkLevel(where string, stages int) error {
	if err := first(
		bad(len(s.Says) == 0, where, "Says", float64(len(s.Says)), "none where Level is given"),
		bad(len(s.Level) == stages, where, "Level", float64(len(s.Level)), "one mean for each stage"),
		bad(finite(s.Scatter) && s.Scatter >= 0, where, "Scatter", s.Scatter, "0 or above"),
	); err != nil {
		return err
	}
	up, down := true, true
	for j, x := range s.Level {
		if err := bad(finite(x), where, "Level", x, "a finite number"); err != nil {
			return err
		}
		if j > 0 {
			up, down = up && x >= s.Level[j-1], down && x <= s.Level[j-1]
		}
	}
	return bad(up || down, where, "Level", s.Level[0], "levels that rise or fall throughout")
}

func (s Sort) measured() bool { return len(s.Level) > 0 }

// ordered is true when every two rows and every two grades have a likelihood ratio that favours
// the worse stage for the worse grade.
func (s Sort) ordered() bool {
	for j := range s.Says {
		for _, worse := range s.Says[j+1:] {
			for g := range worse {
				for h := g + 1; h < len(worse); h++ {
					if s.Says[j][g]*worse[h] < s.Says[j][h]*worse[g]*(1-1e-9) {
						return false
					}
				}
			}
		}
	}
	return true
}

// Orderly is true when every later stage is worse: failing straight from it is no less likely than from the stage
// before, and its stay, if it is not the first, is of shape 1 or more, so that having lasted in it is no good
// sign. Only
// then is it certain that a better answer never raises the chance of failing.
func (k Kind) Orderly() bool {
	for j := 1; j < len(k.Stages); j++ {
		if k.Stages[j].nominal() < 1 {
			return false
		}
		for e := range k.Stages[j].Mean {
			if fails(k.Stages[j], e) < fails(k.Stages[j-1], e) {
				return false
			}
		}
	}
	return true
}

func fails(s Stage, exposure int) float64 {
	if len(s.Fails) == 0 {
		return 0
	}
	return s.Fails[exposure]
}

func (k Kind) clone() Kind {
	k.Stages = slices.Clone(k.Stages)
	for j := range k.Stages {
		k.Stages[j].Mean = slices.Clone(k.Stages[j].Mean)
		k.Stages[j].Fails = slices.Clone(k.Stages[j].Fails)
	}
	k.Looks = slices.Clone(k.Looks)
	for i, s := range k.Looks {
		k.Looks[i].Level = slices.Clone(s.Level)
		k.Looks[i].Says = slices.Clone(s.Says)
		for j := range s.Says {
			k.Looks[i].Says[j] = slices.Clone(s.Says[j])
		}
	}
	return k
}
