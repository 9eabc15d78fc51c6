package condition_test

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"undertray.example/undertray/condition"
)

// R's msm package (C. H. Jackson, Multi-state models for panel data: the msm package for R, J. Stat.
// Software 38(8), 2011; Debian r-cran-msm) is the general-purpose reference for exponential stays. Its data set cav,
// grades of disease after a heart transplant with known times of death, comes from the package when the test runs.

type cavRow struct {
	subject int
	years   float64
	state   int
	stages  [3]float64 // msm's chance of each stage after this row
}

type msmOutput struct {
	rows        []cavRow
	logLik, fit float64
	matrices    map[float64][]float64 // three rows of the transition matrix, by years
}

var runMSM = sync.OnceValues(func() (*msmOutput, error) {
	cmd := exec.Command("Rscript", "testdata/msm.R")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	m := &msmOutput{matrices: map[float64][]float64{}}
	lines := bufio.NewScanner(bytes.NewReader(out))
	for lines.Scan() {
		if err := m.line(lines.Text()); err != nil {
			return nil, err
		}
	}
	return m, lines.Err()
})

func (m *msmOutput) line(text string) error {
	word, rest, _ := strings.Cut(text, " ")
	var err error
	switch word {
	case "loglik":
		_, err = fmt.Sscan(rest, &m.logLik)
	case "fit":
		_, err = fmt.Sscan(rest, &m.fit)
	case "row":
		var r cavRow
		rest = strings.ReplaceAll(rest, "NA", "0")
		_, err = fmt.Sscan(rest, &r.subject, &r.years, &r.state, &r.stages[0], &r.stages[1], &r.stages[2])
		m.rows = append(m.rows, r)
	case "pmatrix":
		var t float64
		p := make([]float64, 12)
		into := []any{&t}
		for i := range p {
			into = append(into, &p[i])
		}
		_, err = fmt.Sscan(rest, into...)
		m.matrices[t] = p
	}
	if err != nil {
		return fmt.Errorf("%q: %w", text, err)
	}
	return nil
}

func msm(t testing.TB) *msmOutput {
	t.Helper()
	path, err := exec.LookPath("Rscript")
	if err == nil {
		err = exec.Command(path, "-e", "library(msm)").Run()
	}
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("Rscript with the msm package is not there, and CI is set")
		}
		t.Skip("Rscript with the msm package is not there")
	}
	m, err := runMSM()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// cavKind is msm's one-way model with death from every state, at the rates and misclassification
// chances of testdata/msm.R.
func cavKind() condition.Kind {
	return condition.Kind{
		Stages: []condition.Stage{
			{Mean: []float64{1 / 0.148}, Fails: []float64{0.0171}},
			{Mean: []float64{1 / 0.202}, Fails: []float64{0.081}},
			{Mean: []float64{1 / 0.126}},
		},
		Looks: []condition.Sort{{Says: [][]float64{{0.9, 0.1, 0}, {0.1, 0.8, 0.1}, {0, 0.1, 0.9}}}},
	}
}

// histories turns rows into histories; the first row of each is the known start.
func (m *msmOutput) histories() []condition.History {
	var out []condition.History
	for i, r := range m.rows {
		if i == 0 || r.subject != m.rows[i-1].subject {
			out = append(out, condition.History{})
			continue
		}
		h := &out[len(out)-1]
		if r.state == 4 {
			h.Outcome, h.At = condition.Failed, []float64{r.years}
		} else {
			h.Looks = append(h.Looks, condition.Look{At: []float64{r.years}, Grade: r.state - 1})
		}
	}
	return out
}

func logLik(t testing.TB, k condition.Kind, histories []condition.History) float64 {
	t.Helper()
	h, err := k.Ready(histories)
	if err != nil {
		t.Fatal(err)
	}
	sum, err := k.LogLik(h)
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

func TestMSMLikelihood(t *testing.T) {
	m := msm(t)
	near(t, "log-likelihood", logLik(t, cavKind(), m.histories()), m.logLik, 1e-9)
}

func TestMSMStagesAfterEachLook(t *testing.T) {
	m := msm(t)
	post, err := condition.Known(cavKind())
	if err != nil {
		t.Fatal(err)
	}
	var h condition.History
	checked := 0
	for i, r := range m.rows {
		if i == 0 || r.subject != m.rows[i-1].subject {
			h = condition.History{}
			continue
		}
		if r.state == 4 {
			continue
		}
		h.Looks = append(h.Looks, condition.Look{At: []float64{r.years}, Grade: r.state - 1})
		part, err := post.Part(h)
		if err != nil {
			t.Fatal(err)
		}
		for j, p := range part.Stages() {
			near(t, fmt.Sprintf("subject %d at %g, stage %d", r.subject, r.years, j), p, r.stages[j], 1e-6)
		}
		checked++
	}
	if checked < 1900 {
		t.Errorf("only %d looks compared", checked)
	}
}

// TestMSMTransitions: after a perfect look the chances of the stages, and of failing, are the transition matrix.
func TestMSMTransitions(t *testing.T) {
	m := msm(t)
	kind := cavKind()
	kind.Looks = []condition.Sort{condition.Perfect(3)}
	post, err := condition.Known(kind)
	if err != nil {
		t.Fatal(err)
	}
	for years, p := range m.matrices {
		for j := range 3 {
			start, err := post.Part(condition.History{Looks: []condition.Look{{At: []float64{2}, Grade: j}}})
			if err != nil {
				t.Fatal(err)
			}
			fail, err := start.FailWithin([]float64{years})
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprintf("failed after %g from %d", years, j), fail.Mean, p[4*j+3], 1e-6)
			later, err := start.Later([]float64{years})
			if err != nil {
				t.Fatal(err)
			}
			for k, q := range later.Stages() {
				near(t, fmt.Sprintf("%d after %g from %d", k, years, j), q*(1-fail.Mean), p[4*j+k], 1e-6)
			}
		}
	}
	if len(m.matrices) != 5 {
		t.Errorf("%d matrices", len(m.matrices))
	}
}

// TestMSMFit: with nothing known beforehand the fit reaches the likelihood of msm's own.
func TestMSMFit(t *testing.T) {
	m := msm(t)
	flat := []float64{condition.Flat, condition.Flat, condition.Flat}
	prior := condition.Prior{Kind: cavKind(), Stays: flat, Fails: flat[:2], Looks: flat[:1]}
	post, err := prior.Learn(m.histories(), condition.Options{Nodes: 2})
	if err != nil {
		t.Fatal(err)
	}
	if post.LogLik() < m.fit-1e-4 {
		t.Errorf("log-likelihood %.8f, msm reaches %.8f", post.LogLik(), m.fit)
	}
	near(t, "the mode's own log-likelihood", logLik(t, post.Mode(), m.histories()), post.LogLik(), 1e-8)
}

// near fails unless got is want within a relative tolerance.
func near(t testing.TB, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.10g, want %.10g (off by %.2g)", what, got, want, math.Abs(got-want)/math.Abs(want))
	}
}
