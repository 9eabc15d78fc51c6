package listen

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func noisy(r Recording, db float64, seed uint64) Recording {
	rng := rand.New(rand.NewPCG(seed, 1))
	x := r.Mono()
	sq := 0.0
	for _, v := range x {
		sq += v * v
	}
	sd := math.Sqrt(sq/float64(len(x))) * math.Pow(10, -db/20)
	for i := range x {
		x[i] += sd * rng.NormFloat64()
	}
	return Recording{Rate: r.Rate, Channels: [][]float64{x}}
}

// TestDegraded: shortened and in white noise, the answer is right or absent, never wrong; with a second bearing to
// choose from it stays right.
func TestDegraded(t *testing.T) {
	_, recs := collection(t)
	both := []Bearing{shelf["6203"], shelf["6205"]}
	for _, r := range recs {
		rec := readFile(t, r.file)
		own := []Bearing{shelf[r.bearing]}
		for _, c := range []struct {
			name string
			rec  Recording
			bs   []Bearing
			must bool
		}{
			{"both bearings", rec, both, true},
			{"first half", rec.Part(0, rec.Seconds()/2), own, false},
			{"second half", rec.Part(rec.Seconds()/2, 99), own, false},
			{"2.5 s", rec.Part(1, 3.5), own, false},
			{"0 dB", noisy(rec, 0, 3), own, false},
			{"-6 dB", noisy(rec, -6, 4), own, false},
			{"-10 dB", noisy(rec, -10, 5), own, false},
		} {
			d, err := DiagnoseWith(c.rec, RPM(r.rpm, meterTolerance), c.bs, laboratory)
			if err != nil {
				t.Errorf("%s %s: %v", r.name, c.name, err)
				continue
			}
			got := fmt.Sprintf("%s %-14s want %-24s %-8s %-24s margin %.2f score %.2f false %.2f rival %.2f support "+
				"%.1f/%.1f at %.2f", r.name, c.name, r.want(), d.Outcome, d.Element, d.Margin, d.Score, d.False,
				d.Rival, d.Speed.Support, d.Speed.Rival, d.Speed.RivalHz/d.Speed.Hz)
			t.Log(got)
			if d.Outcome == Named && d.Element != r.want() {
				t.Errorf("wrong name: %s", got)
			}
			if c.must && r.want() != NoElement && d.Outcome != Named {
				t.Errorf("not named: %s", got)
			}
		}
	}
}

// TestHealthyInPieces: the healthy record is not accused in any of nine overlapping pieces, of either bearing.
func TestHealthyInPieces(t *testing.T) {
	_, recs := collection(t)
	for _, r := range recs {
		if r.want() != NoElement {
			continue
		}
		rec := readFile(t, r.file)
		for i := range 9 {
			from := float64(i) * (rec.Seconds() - 2.5) / 8
			for name, b := range shelf {
				d, err := DiagnoseWith(rec.Part(from, from+2.5), RPM(r.rpm, meterTolerance), []Bearing{b}, laboratory)
				if err != nil {
					t.Fatal(err)
				}
				if d.Outcome == Named {
					t.Errorf("%s from %.2f s: %s of a %s named, score %.2f margin %.2f false %.2f", r.name, from,
						d.Element, name, d.Score, d.Margin, d.False)
				}
			}
		}
	}
}

// TestWrongSpeed: with a speed wrong by any of many factors nothing is named. Each record takes its own two of the
// sixteen; -update tries all on each.
func TestWrongSpeed(t *testing.T) {
	_, recs := collection(t)
	for i, r := range recs {
		rec := readFile(t, r.file)
		for _, f := range wrongSpeeds(i) {
			d, err := DiagnoseWith(rec, RPM(r.rpm*f, meterTolerance), []Bearing{shelf[r.bearing]}, laboratory)
			if err != nil {
				t.Fatal(err)
			}
			if d.Outcome == Named {
				t.Errorf("%s at %.2f times its speed: %s named, support %.2f/%.2f at %.2f score %.2f margin %.2f "+
					"offset %.2f", r.name, f, d.Element, d.Speed.Support, d.Speed.Rival, d.Speed.RivalHz/d.Speed.Hz,
					d.Score, d.Margin, d.Offset*100)
			}
		}
	}
}

func wrongSpeeds(record int) []float64 {
	all := []float64{1.37, 0.81, 0.53, 0.63, 0.69, 0.74, 0.88, 0.94, 1.06, 1.13, 1.19, 1.28, 1.44, 1.57, 1.69, 1.83}
	if *update {
		return all
	}
	i := 2 * record % len(all)
	return all[i : i+2]
}

// TestLoudnessDoesNotMatter: a recording a hundred times quieter, or turned upside down, gives the same answer.
func TestLoudnessDoesNotMatter(t *testing.T) {
	r := drifting(30, 0, 4.9469, 6)
	want, err := Diagnose(r, Speed{30, 0.02}, []Bearing{shelf["6203"]})
	if err != nil || want.Outcome != Named || want.Element != InnerRing {
		t.Fatalf("%s %s %v", want.Outcome, want.Element, err)
	}
	for _, g := range []float64{0.01, -1, 30} {
		x := r.Mono()
		for i := range x {
			x[i] *= g
		}
		got, err := Diagnose(Recording{Rate: r.Rate, Channels: [][]float64{x}}, Speed{30, 0.02},
			[]Bearing{shelf["6203"]})
		if err != nil || got.Outcome != want.Outcome || got.Element != want.Element ||
			math.Abs(got.Score-want.Score) > 1e-6 {
			t.Errorf("times %g: %s %s %.6f, want %.6f %v", g, got.Outcome, got.Element, got.Score, want.Score, err)
		}
	}
}

// TestDiagnoseRefuses: what cannot be answered is an error of its own kind.
func TestDiagnoseRefuses(t *testing.T) {
	r := drifting(30, 0, 4.9469, 3)
	b := []Bearing{shelf["6203"]}
	for _, c := range []struct {
		name string
		rec  Recording
		sp   Speed
		bs   []Bearing
		want error
	}{
		{"no samples", Recording{Rate: 1}, Speed{30, 0.02}, b, ErrTooShort},
		{"one second", r.Part(0, 1), Speed{30, 0.02}, b, ErrTooShort},
		{"too few turns", r, Speed{5, 0.02}, b, ErrTooShort},
		{"no speed", r, Speed{}, b, ErrInput},
		{"NaN speed", r, Speed{math.NaN(), 0}, b, ErrInput},
		{"wide tolerance", r, Speed{30, 0.5}, b, ErrInput},
		{"no bearing", r, Speed{30, 0.02}, nil, ErrInput},
		{"silence", Recording{Rate: 8000, Channels: [][]float64{make([]float64, 80000)}},
			Speed{30, 0.02}, b, ErrSilent},
		{"uneven channels", Recording{Rate: 8000, Channels: [][]float64{r.Channels[0], r.Channels[0][:9]}},
			Speed{30, 0.02}, b, ErrInput},
	} {
		if _, err := Diagnose(c.rec, c.sp, c.bs); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	clip := r.Mono()
	for i := range clip {
		clip[i] = min(max(clip[i], -0.02), 0.02)
	}
	d, err := Diagnose(Recording{Rate: r.Rate, Channels: [][]float64{clip}}, Speed{30, 0.02}, b)
	if err != nil || !warned(d.Warnings, Clipped) || d.Firm {
		t.Errorf("clipped: %v %v firm %v", d.Warnings, err, d.Firm)
	}
}
