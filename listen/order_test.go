package listen

import (
	"math"
	"math/rand/v2"
	"testing"
)

// drifting makes a shaft whose speed rises evenly by the given share, with ten harmonics and an outer ring flaw
// that rings a 2.5 kHz resonance, in noise. Invented, to known rates.
func drifting(hz, share, orderOfKnocks, seconds float64) Recording {
	const rate = 16000
	rng := rand.New(rand.NewPCG(7, 7))
	n := int(rate * seconds)
	x := make([]float64, n)
	turns, last := 0.0, 0.0
	ring := 0.0
	since := 1e9
	for i := range x {
		f := hz * (1 + share*(float64(i)/float64(n)-0.5))
		turns += f / rate
		if k := math.Floor(turns * orderOfKnocks); k > last {
			last, since, ring = k, 0, 1
		}
		v := 0.02 * rng.NormFloat64()
		for h := 1.0; h <= 10; h++ {
			v += 0.01 / h * math.Cos(2*math.Pi*h*turns+h*h)
		}
		v += 0.1 * ring * math.Exp(-since/12) * math.Sin(2*math.Pi*2500*since/rate)
		since++
		x[i] = v
	}
	return Recording{Rate: rate, Channels: [][]float64{x}}
}

func TestFollow(t *testing.T) {
	r := drifting(30, 0.05, 3.0531, 10)
	tr, err := Follow(r, Speed{30, 0.05}, nil)
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for i, s := range tr.Times {
		worst = max(worst, math.Abs(tr.Hz[i]/(30*(1+0.05*(s/10-0.5)))-1))
	}
	if worst > 0.004 {
		t.Errorf("speed followed to %.2f %%, want 0.4 %%", 100*worst)
	}
	s, err := OrderSpectrum(r, tr)
	if err != nil {
		t.Fatal(err)
	}
	if o, _ := s.Peak(0.5, 1.5); math.Abs(o-1) > 0.003 {
		t.Errorf("shaft at order %.4f", o)
	}
}

func TestDriftingSpeedIsFollowed(t *testing.T) {
	for _, share := range []float64{0, 0.02, 0.04} {
		r := drifting(30, share, 3.0531, 10)
		d, err := Diagnose(r, Speed{30, 0.03}, []Bearing{shelf["6203"]})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("drift %.2f: %s %s score %.2f margin %.2f support %.1f/%.1f drift %.3f", share, d.Outcome, d.Element,
			d.Score, d.Margin, d.Speed.Support, d.Speed.Rival, d.Speed.Drift)
		// Smeared by 4 %, the lines of this one resonance are no deeper than a sound race's beat.
		faint := share > 0.03 && d.Outcome == Unclear && d.Why == FaintBeat
		if d.Outcome != Named && !faint || d.Element != OuterRing || !d.Speed.Supported {
			t.Errorf("drift %.2f: %s %s: %s", share, d.Outcome, d.Element, d.Why)
		}
	}
}

// TestByAngleKeepsTone: a tone locked to a speed that rises by half comes out as one order.
func TestByAngleKeepsTone(t *testing.T) {
	const rate, n = 8000.0, 40000
	x := make([]float64, n)
	phase := 0.0
	speed := func(s float64) float64 { return 20 + 2*s }
	for i := range x {
		phase += 2 * math.Pi * 7.25 * speed((float64(i)+0.5)/rate) / rate
		x[i] = math.Sin(phase)
	}
	s, err := OrderSpectrum(Recording{Rate: rate, Channels: [][]float64{x}}, Track{[]float64{0, 5}, []float64{20, 30}})
	if err != nil {
		t.Fatal(err)
	}
	o, _ := s.Peak(1, 20)
	if math.Abs(o-7.25) > 0.001 {
		t.Errorf("order %.4f, want 7.25", o)
	}
}
