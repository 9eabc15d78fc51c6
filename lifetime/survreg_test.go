package lifetime_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/lifetime"
)

// R's survival package (Therneau; Debian r-cran-survival) is the general-purpose reference: 200
// random censored data sets are fitted by survreg in one R process, and by Regress here.

func rscript(t testing.TB) string {
	t.Helper()
	path, err := exec.LookPath("Rscript")
	if err == nil {
		err = exec.Command(path, "-e", "library(survival)").Run()
	}
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("Rscript with the survival package is not there, and CI is set")
		}
		t.Skip("Rscript with the survival package is not there")
	}
	return path
}

type randomSet struct {
	family lifetime.Family
	obs    []lifetime.Observation
}

// draw makes a set of 12 to 60 parts of one family with a covariate, a third or so running, some
// interval- or left-censored, from a seed.
func draw(seed uint64) randomSet {
	r := rand.New(rand.NewPCG(seed, 7))
	set := randomSet{family: []lifetime.Family{lifetime.Weibull, lifetime.Lognormal, lifetime.Exponential}[seed%3]}
	mu, sigma, slope := 3+4*r.Float64(), 0.2+r.Float64(), r.NormFloat64()/2
	if set.family == lifetime.Exponential {
		sigma = 1
	}
	for range 12 + r.IntN(49) {
		x := r.NormFloat64()
		z := math.Log(r.ExpFloat64())
		if set.family == lifetime.Lognormal {
			z = r.NormFloat64()
		}
		life := math.Exp(mu + slope*x + sigma*z)
		end := math.Exp(mu + sigma*(r.NormFloat64()+0.5))
		o := lifetime.FailedAt(life)
		switch kind := r.IntN(10); {
		case life > end:
			o = lifetime.RunningAt(end)
		case kind == 0:
			o = lifetime.FoundFailedAt(life * (1 + r.Float64()))
		case kind <= 2:
			o = lifetime.FailedBetween(life*r.Float64(), life*(1+r.Float64()))
		}
		set.obs = append(set.obs, o.With(x).Times(float64(1+r.IntN(3))))
	}
	return set
}

func (s randomSet) csv(out *bytes.Buffer, id int) {
	for _, o := range s.obs {
		low, high := fmt.Sprintf("%.17g", o.Age), fmt.Sprintf("%.17g", o.Age)
		switch o.Outcome {
		case lifetime.Running:
			high = ""
		case lifetime.FoundFailed:
			low = ""
		case lifetime.Between:
			high = fmt.Sprintf("%.17g", o.Upper)
		}
		fmt.Fprintf(out, "%d,%s,%s,%s,%v,%.17g\n", id, strings.ToLower(s.family.String()), low, high,
			o.Weight, o.Covariates[0])
	}
}

func TestAgainstSurvreg(t *testing.T) {
	path := rscript(t)
	const count = 200
	sets := make([]randomSet, count)
	input := bytes.NewBufferString("set,family,low,high,weight,x\n")
	for i := range sets {
		sets[i] = draw(uint64(i))
		sets[i].csv(input, i)
	}
	command := exec.Command(path, "testdata/compare.R")
	command.Stdin = input
	var complaints bytes.Buffer
	command.Stderr = &complaints
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, complaints.String())
	}
	fits, failed := 0, 0
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		f := strings.Split(line, ",")
		id := int(given.Number(t, f[1]))
		fits++
		if f[2] != "1" {
			failed++
		}
		compareFit(t, id, sets[id], f)
	}
	if fits != count {
		t.Fatalf("R fitted %d sets of %d", fits, count)
	}
	t.Logf("%d sets compared; R did not converge on %d of them, this package on none", fits, failed)
}

func compareFit(t *testing.T, id int, set randomSet, f []string) {
	t.Helper()
	fit, err := lifetime.Regress(set.family, set.obs, lifetime.FitOptions{})
	if err != nil {
		t.Errorf("set %d: %v", id, err)
		return
	}
	if f[2] != "1" {
		return // R gave up: its numbers are no yardstick
	}
	name := fmt.Sprintf("set %d (%v)", id, set.family)
	within(t, name+" intercept", fit.Coef[0], given.Number(t, f[3]), 1e-5)
	within(t, name+" slope", fit.Coef[1], given.Number(t, f[4]), 1e-5)
	near(t, name+" scale", math.Exp(fit.LogSigma), given.Number(t, f[5]), 1e-5)
	within(t, name+" loglik", fit.LogLik, given.Number(t, f[6]), 1e-6)
}
