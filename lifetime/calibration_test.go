package lifetime_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/lifetime"
)

var rewrite = flag.Bool("update", false, "rewrite the lifetime parts of docs/calibration.md")

const simulatedLives = 20_000

// bin gathers forecasts of about one chance.
type bin struct{ n, said, failed, variance float64 }

func (b *bin) add(p float64, failed bool) {
	b.n++
	b.said += p
	b.variance += p * (1 - p)
	if failed {
		b.failed++
	}
}

// off is how many standard errors the share that failed lies from the chance forecast.
func (b *bin) off() float64 { return (b.failed - b.said) / math.Sqrt(b.variance) }

// trueLife draws the life of a kind from a prior.
func trueLife(r *rand.Rand, p lifetime.Prior) lifetime.Life {
	shape := p.Shape * math.Exp(p.ShapeLogSD*r.NormFloat64())
	age := p.Age * math.Exp(p.AgeLogSD*r.NormFloat64())
	eta := age / math.Pow(-math.Log1p(-p.Share), 1/shape)
	return lifetime.Life{Family: lifetime.Weibull, Mu: math.Log(eta), Sigma: 1 / shape}
}

// drawAge draws the age at failure of a part that has reached the age of entry.
func drawAge(r *rand.Rand, l lifetime.Life, entry float64) float64 {
	return l.Scale() * math.Pow(r.ExpFloat64()+math.Pow(entry/l.Scale(), l.Shape()), l.Sigma)
}

// others observes six parts of a life in all the ways a yard does.
func others(r *rand.Rand, l lifetime.Life) []lifetime.Observation {
	var out []lifetime.Observation
	for range 6 {
		entry := 0.0
		if r.IntN(3) == 0 {
			entry = 60 * r.Float64()
		}
		out = append(out, seenAs(r, drawAge(r, l, entry), entry, entry+1+150*r.Float64()).From(entry))
	}
	return out
}

// seenAs is how a life shows: its end known, bounded by a look half-way or by none, or not reached. The
// way of looking does not depend on the life, so that it tells nothing of it.
func seenAs(r *rand.Rand, life, entry, end float64) lifetime.Observation {
	look, way := entry+(end-entry)*r.Float64(), r.IntN(3)
	switch {
	case life > end:
		return lifetime.RunningAt(end)
	case way == 0:
		return lifetime.FailedAt(life)
	case way == 1:
		return lifetime.FailedBetween(entry, end)
	case life > look:
		return lifetime.FailedBetween(look, end)
	}
	return lifetime.FailedBetween(entry, look)
}

// simulate runs lives drawn from truth against forecasts made with believed. Every other part is
// among the observations itself, so that both forms of the chance are used. Parts that do not reach their age
// are never asked about.
func simulate(t testing.TB, believed, truth lifetime.Prior, lives int, seed uint64) [10]bin {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 17))
	var bins [10]bin
	for done := 0; done < lives; {
		life := trueLife(r, truth)
		obs := others(r, life)
		own, age := drawAge(r, life, 0), 120*r.Float64()
		if own <= age {
			continue
		}
		stretch := 5 + 95*r.Float64()
		p := chance(t, believed, obs, age, stretch, done%2 == 0)
		bins[min(int(10*p), 9)].add(p, own <= age+stretch)
		done++
	}
	return bins
}

func chance(t testing.TB, prior lifetime.Prior, obs []lifetime.Observation, age, stretch float64,
	counted bool) float64 {
	t.Helper()
	if counted {
		obs = append(obs, lifetime.RunningAt(age))
	}
	post := update(t, prior, obs, lifetime.GridOptions{Nodes: 17})
	ask := post.FailWithin
	if counted {
		ask = post.FailWithinCounted
	}
	p, err := ask(age, stretch)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func tabulate(bins [10]bin) string {
	var b strings.Builder
	b.WriteString("| chance said | parts | mean chance | share that failed | off by |\n|---|---|---|---|---|\n")
	for i := range bins {
		if v := &bins[i]; v.n > 0 {
			fmt.Fprintf(&b, "| %d to %d %% | %.0f | %.1f %% | %.1f %% | %+.1f |\n", 10*i, 10*i+10, v.n, 100*v.said/v.n,
				100*v.failed/v.n, v.off())
		}
	}
	return b.String()
}

// TestCalibration simulates 20 000 lives: of the parts said to fail with chance p, a share p must,
// within four standard errors in every tenth of the scale and 1.5 percentage points overall.
func TestCalibration(t *testing.T) {
	prior := must(lifetime.FromInterval(90, lifetime.Reading{}))
	bins := simulate(t, prior, prior, simulatedLives, 1)
	var all bin
	for i := range bins {
		b := &bins[i]
		all.n, all.said, all.failed = all.n+b.n, all.said+b.said, all.failed+b.failed
		if b.n > 50 && math.Abs(b.off()) > 4 {
			t.Errorf("said %.3f, %.3f failed of %v: %+.1f standard errors", b.said/b.n, b.failed/b.n, b.n, b.off())
		}
	}
	if all.n != simulatedLives || math.Abs(all.said-all.failed)/all.n > 0.015 {
		t.Errorf("overall: said %.4f, %.4f failed of %v", all.said/all.n, all.failed/all.n, all.n)
	}
	given.Calibration(t, "lifetime", tabulate(bins), *rewrite)
	drawing(t, bins)
}

// TestMisreadInterval shows what a wrong reading of the interval does; it asserts only that the
// error is on the side it must be.
func TestMisreadInterval(t *testing.T) {
	believed := must(lifetime.FromInterval(90, lifetime.Reading{}))
	var text strings.Builder
	for _, share := range []float64{0.01, 0.5} {
		truth := believed
		truth.Share = share
		var all bin
		for _, b := range simulate(t, believed, truth, 2000, 2) {
			all.n, all.said, all.failed = all.n+b.n, all.said+b.said, all.failed+b.failed
		}
		if early := all.failed > all.said; early != (share > believed.Share) {
			t.Errorf("the interval is B%g: said %.3f, %.3f failed", 100*share, all.said/all.n, all.failed/all.n)
		}
		if text.Len() == 0 {
			text.WriteString("| the interval is in truth | parts | mean chance said | share that failed " +
				"|\n|---|---|---|---|\n")
		}
		fmt.Fprintf(&text, "| B%g | %.0f | %.1f %% | %.1f %% |\n", 100*share, all.n, 100*all.said/all.n,
			100*all.failed/all.n)
	}
	given.Calibration(t, "lifetime misread", text.String(), *rewrite)
}

func save(t *testing.T, file, text string) {
	t.Helper()
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// drawing writes or compares the diagram: a dot per tenth of the scale, its bar two standard errors either way.
func drawing(t *testing.T, bins [10]bin) {
	t.Helper()
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 260 260" width="390" height="390"` +
		` role="img" font-family="sans-serif" font-size="9">
<title>Share that failed against the chance forecast</title>
<rect width="260" height="260" fill="#fdfcf7"/>
<path d="M40 20V220H240" fill="none" stroke="#222"/>
<path d="M40 220L240 20" stroke="#888" stroke-dasharray="3 3"/>
<text x="140" y="250" text-anchor="middle">chance forecast, %</text>
<text x="12" y="120" text-anchor="middle" transform="rotate(-90 12 120)">share that failed, %</text>
`)
	for v := 0; v <= 100; v += 20 {
		fmt.Fprintf(&b, "<text x=\"%d\" y=\"232\" text-anchor=\"middle\">%d</text><text x=\"34\" y=\"%d\" "+
			"text-anchor=\"end\">%d</text>\n", 40+2*v, v, 223-2*v, v)
	}
	for i := range bins {
		if v := &bins[i]; v.n > 0 {
			x, y, bar := 40+200*v.said/v.n, 220-200*v.failed/v.n, 400*math.Sqrt(v.variance)/v.n
			fmt.Fprintf(&b, "<path d=\"M%.1f %.1fV%.1f\" stroke=\"#0072b2\"/><circle cx=\"%.1f\" cy=\"%.1f\" "+
				"r=\"2.5\" fill=\"#0072b2\"/>\n", x, y-bar, y+bar, x, y)
		}
	}
	b.WriteString("</svg>\n")
	const file = "../docs/calibration.svg"
	if *rewrite {
		save(t, file, b.String())
		return
	}
	if old, err := os.ReadFile(file); err != nil || string(old) != b.String() {
		t.Errorf("%s is out of date: run go test ./lifetime -update (%v)", file, err)
	}
}
