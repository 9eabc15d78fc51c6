package reckon

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
)

// NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1 (from memory): four
// defectives among twenty give 0.071354 and 0.401029 at 90 %. None of thirty: the upper
// bound is 1 - (0.05/2)^(1/30), by definition.
func TestSharesOfAHandbook(t *testing.T) {
	low, high := Share(4, 20, 0.90)
	if math.Abs(low-0.071354) > 1e-6 || math.Abs(high-0.401029) > 1.5e-6 {
		t.Errorf("4 of 20: %.6f to %.6f", low, high)
	}
	low, high = Share(0, 30, 0.95)
	if low != 0 || math.Abs(high-(1-math.Pow(0.025, 1.0/30))) > 1e-12 {
		t.Errorf("0 of 30: %g to %g", low, high)
	}
	if low, high = Share(0, 0, 0.95); low != 0 || high != 1 {
		t.Errorf("0 of 0: %g to %g", low, high)
	}
}

// The reference is R (Debian r-base-core): binom.test for shares; for counts of unequal
// chances the distribution from its characteristic function by fft (Fernandez and
// Williams 2010), another way than ours; sums of squares and logarithms for scores.
const inR = `
d <- jsonlike <- scan("stdin", quiet=TRUE)
i <- 1
take <- function(n) { x <- d[i:(i+n-1)]; i <<- i+n; x }
sets <- take(1)
for (s in seq_len(sets)) {
  n <- take(1); p <- take(n); y <- take(n)
  w <- exp(2i*pi*(0:n)/(n+1))
  phi <- sapply(w, function(z) prod(1-p+p*z))
  pmf <- Re(fft(phi))/(n+1)
  ci <- binom.test(sum(y), n)$conf.int
  cat(ci, mean((p-y)^2), -mean(y*log(p)+(1-y)*log(1-p)), pmf, "\n")
}`

func rscript(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("Rscript is not there, and CI is set")
		}
		t.Skip("Rscript is not there")
	}
	return path
}

func TestAgainstR(t *testing.T) {
	r := rscript(t)
	random := rand.New(rand.NewPCG(7, 11))
	const sets = 40
	var in bytes.Buffer
	fmt.Fprintln(&in, sets)
	all := make([][]Trial, sets)
	for s := range all {
		n := 1 + random.IntN(80)
		var p, y strings.Builder
		for range n {
			trial := Trial{Chance: math.Pow(random.Float64(), 3)*0.98 + 0.01, Failed: random.IntN(4) == 0}
			came := 0
			if trial.Failed {
				came = 1
			}
			all[s] = append(all[s], trial)
			fmt.Fprintf(&p, "%.17g ", trial.Chance)
			fmt.Fprintf(&y, "%d ", came)
		}
		fmt.Fprintln(&in, n, p.String(), y.String())
	}
	cmd := exec.Command(r, "-e", inR)
	cmd.Stdin, cmd.Stderr = &in, os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != sets {
		t.Fatalf("%d answers to %d sets", len(lines), sets)
	}
	for s, line := range lines {
		var want []float64
		if err := json.Unmarshal([]byte("["+strings.Join(strings.Fields(line), ",")+"]"), &want); err != nil {
			t.Fatal(err)
		}
		came, chances := 0, []float64{}
		for _, trial := range all[s] {
			chances = append(chances, trial.Chance)
			if trial.Failed {
				came++
			}
		}
		low, high := Share(came, len(chances), 0.95)
		brier, log := scores(all[s])
		got := append([]float64{low, high, brier, log}, Counts(chances)...)
		if len(got) != len(want) {
			t.Fatalf("set %d: %d figures, want %d", s, len(got), len(want))
		}
		for i := range got {
			if math.Abs(got[i]-want[i]) > 2e-6*math.Max(1e-3, math.Abs(want[i])) && math.Abs(got[i]-want[i]) > 1e-7 {
				t.Errorf("set %d of %d chances, figure %d: %g, R has %g", s, len(chances), i, got[i], want[i])
			}
		}
	}
}

// Every trial falls into one bin, and bins add up to all.
func TestBinsHoldAllTrialsOnce(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	r := &Reckoning{Period: LastYear(civil.MustParse("2026-01-01"))}
	for range 500 {
		r.Trials = append(r.Trials, Trial{Chance: math.Pow(random.Float64(), 4), Failed: random.IntN(9) == 0})
	}
	r.Trials = append(r.Trials, Trial{}, Trial{Chance: 1, Failed: true})
	r.sum()
	said, came, expected := 0, 0, 0.0
	for _, b := range r.Bins {
		said, came, expected = said+b.Said, came+b.Came, expected+b.Expected
		if b.Low > b.High || float64(b.Low) > b.Expected+1 || float64(b.High) < b.Expected-1 {
			t.Errorf("%s: %.2f expected, %d to %d", b.SaidWords(), b.Expected, b.Low, b.High)
		}
	}
	if said != len(r.Trials) || said != r.All.Said || came != r.All.Came || math.Abs(expected-r.All.Expected) > 1e-9 {
		t.Errorf("bins hold %d, %d, %g; all are %d, %d, %g", said, came, expected, r.All.Said,
			r.All.Came, r.All.Expected)
	}
}

// What is said of a yard of 5 expected failures: none is fewer, twelve are more, five are
// too few to tell; of 60, five are fewer and 60 as said.
func TestTooFewIsSaid(t *testing.T) {
	chances := func(n int, p float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = p
		}
		return out
	}
	for _, c := range []struct {
		n    int
		p    float64
		came int
		want Told
	}{{50, 0.02, 0, TooFew}, {50, 0.02, 4, More}, {250, 0.02, 0, Fewer}, {250, 0.02, 5, TooFew}, {250, 0.02, 12, More},
		{3000, 0.02, 60, AsSaid}, {3000, 0.02, 5, Fewer}, {0, 0, 0, TooFew}} {
		if _, _, got := tell(chances(c.n, c.p), c.came, 0.95); got != c.want {
			t.Errorf("%d chances of %g, %d came true: %s, want %s", c.n, c.p, c.came, got, c.want)
		}
	}
}
