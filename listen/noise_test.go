package listen

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// belt makes ten seconds of noise with whatever add puts in. Invented, to known rates.
func belt(add func(t float64, rng *rand.Rand) float64) Recording {
	const rate = 44100
	rng := rand.New(rand.NewPCG(11, 5))
	x := make([]float64, rate*10)
	for i := range x {
		x[i] = 0.01*rng.NormFloat64() + add(float64(i)/rate, rng)
	}
	return Recording{Rate: rate, Channels: [][]float64{x}}
}

func TestSortNoise(t *testing.T) {
	const pass = 5.37
	beats := []Beat{{"belt", pass}, {"idler", 29.1}, {"alternator", 36.45}}
	for _, c := range []struct {
		name string
		add  func(float64, *rand.Rand) float64
		want Sort
	}{
		{"chirp", func(t float64, rng *rand.Rand) float64 {
			p := math.Mod(t*pass, 1) / pass
			return 0.2 * rng.NormFloat64() * math.Exp(-p/0.02)
		}, Chirp},
		{"squeal", func(t float64, rng *rand.Rand) float64 {
			on := 1.0
			if math.Mod(t, 4) < 0.7 {
				on = 0
			}
			return 0.1 * on * (math.Sin(2*math.Pi*3150*t) + 0.3*rng.NormFloat64())
		}, Squeal},
		{"steady squeal", func(t float64, _ *rand.Rand) float64 { return 0.1 * math.Sin(2*math.Pi*4100*t) }, Squeal},
		{"whine", func(t float64, _ *rand.Rand) float64 { return 0.05 * math.Sin(2*math.Pi*1296*t) }, Whine},
		{"rumble", func(t float64, rng *rand.Rand) float64 {
			if math.Mod(t, 5) < 0.8 {
				return 0
			}
			return 0.1 * rng.NormFloat64()
		}, Rumble},
		{"nothing", func(float64, *rand.Rand) float64 { return 0 }, NoSort},
	} {
		got, err := SortNoise(belt(c.add), beats)
		if err != nil {
			t.Fatal(err)
		}
		if got.Sort != c.want {
			t.Errorf("%s: %s %+v", c.name, got.Sort, got)
		}
		if c.want == Chirp && (math.Abs(got.Rate/pass-1) > 0.005 || len(got.Matches) != 1 || got.Matches[0] != "belt") {
			t.Errorf("chirp at %.3f per second, matches %v", got.Rate, got.Matches)
		}
		if c.name == "whine" && math.Abs(got.Tone/1296-1) > 0.01 {
			t.Errorf("whine at %.1f Hz", got.Tone)
		}
	}
}

func TestSortNoiseRefuses(t *testing.T) {
	r := belt(func(float64, *rand.Rand) float64 { return 0 })
	if _, err := SortNoise(r.Part(0, 2), nil); !errors.Is(err, ErrTooShort) {
		t.Error(err)
	}
	if _, err := SortNoise(r, []Beat{{"x", math.NaN()}}); !errors.Is(err, ErrInput) {
		t.Error(err)
	}
	if _, err := SortNoise(Recording{Rate: 4000, Channels: r.Channels}, nil); !errors.Is(err, ErrInput) {
		t.Error(err)
	}
}

func TestCompare(t *testing.T) {
	a := belt(func(float64, *rand.Rand) float64 { return 0 })
	b := belt(func(t float64, _ *rand.Rand) float64 { return 0.05 * math.Sin(2*math.Pi*2000*t) })
	for _, c := range b.Channels {
		for i := range c {
			c[i] *= 2
		}
	}
	c, err := Compare(a, b)
	if err != nil {
		t.Fatal(err)
	}
	m := c.Bands[c.Most]
	// The tone carries 0.05^2/2; the noise in its band 1e-4 (To-From)/22050: a rise of 10 lg(1 + ratio) over the
	// doubling.
	want := 10 * math.Log10(1+0.00125/(1e-4*(m.To-m.From)/22050))
	if math.Abs(c.Gain-20*math.Log10(2)) > 0.1 || m.From > 2000 || m.To < 2000 || math.Abs(m.Change-want) > 0.5 {
		t.Errorf("gain %.2f dB, most %+v, want %.2f", c.Gain, m, want)
	}
	same, err := Compare(a, a)
	if err != nil || same.Gain != 0 || same.Bands[same.Most].Change != 0 {
		t.Errorf("a recording against itself: %+v %v", same, err)
	}
	if _, err := Compare(a, a.Part(0, 0.5)); !errors.Is(err, ErrTooShort) {
		t.Error(err)
	}
}
