package surface_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"

	"undertray.example/undertray/surface"
)

type reference struct {
	XX, XY, YY, Across, Along []float64
	Seconds                   float64
}

// scipy runs testdata/reference.py with an interpreter that has scipy; it skips by name where there is none, but not in
// CI.
func scipy(t testing.TB, p surface.Picture, sigmas []float64) []reference {
	t.Helper()
	in, err := json.Marshal(map[string]any{"width": p.Width, "height": p.Height, "light": p.Light, "sigmas": sigmas})
	if err != nil {
		t.Fatal(err)
	}
	for _, py := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(py, "-c", "import scipy").Run() != nil {
			continue
		}
		cmd := exec.Command(py, "testdata/reference.py")
		cmd.Stdin, cmd.Stderr = bytes.NewReader(in), os.Stderr
		b, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		var out []reference
		if err := json.Unmarshal(b, &out); err != nil || len(out) != len(sigmas) {
			t.Fatal(err, len(out))
		}
		return out
	}
	if os.Getenv("CI") != "" {
		t.Fatal("no python3 with scipy (Debian: python3-scipy)")
	}
	t.Skip("no python3 with scipy (Debian: python3-scipy)")
	return nil
}

// TestAgainstScipy compares second derivatives with scipy.ndimage.gaussian_filter, cut off and mirrored alike, and the
// eigenvalues with numpy.linalg.eigvalsh, to 1e-6 of the light's whole range, in pictures smaller than the kernel too;
// the strongest ridge of several scales is that of the reference's eigenvalues.
func TestAgainstScipy(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	sigmas := []float64{0.5, 0.8, 1, 1.7, 2.25, 3.4, 6, 12.3}
	for _, size := range [][2]int{{83, 61}, {7, 40}, {1, 5}, {31, 1}, {2, 2}} {
		p := surface.Picture{Width: size[0], Height: size[1], Light: make([]float64, size[0]*size[1])}
		for i := range p.Light {
			p.Light[i] = r.Float64()
		}
		strongest := make([]float64, len(p.Light))
		for k, want := range scipy(t, p, sigmas) {
			sigma := sigmas[k]
			h, err := surface.Curvature(p, sigma)
			if err != nil {
				t.Fatal(err)
			}
			near(t, size, sigma, "XX", h.XX, want.XX)
			near(t, size, sigma, "XY", h.XY, want.XY)
			near(t, size, sigma, "YY", h.YY, want.YY)
			across, along := make([]float64, len(p.Light)), make([]float64, len(p.Light))
			for i := range p.Light {
				var a float64
				across[i], a = h.Across(i)
				along[i] = h.Along(i)
				// The angle is that of an eigenvector: H v = λ v.
				s, c := math.Sincos(a)
				if e := math.Hypot(h.XX[i]*c+h.XY[i]*s-across[i]*c, h.XY[i]*c+h.YY[i]*s-across[i]*s); e > 1e-9 {
					t.Fatalf("%v, sigma %v: pixel %d is off its eigenvector by %g", size, sigma, i, e)
				}
				strongest[i] = max(strongest[i], sigma*sigma*want.Across[i])
			}
			near(t, size, sigma, "greater eigenvalue", across, want.Across)
			near(t, size, sigma, "lesser eigenvalue", along, want.Along)
		}
		got, err := surface.DarkLines(p, sigmas...)
		if err != nil {
			t.Fatal(err)
		}
		near(t, size, 0, "strongest ridge", got.Strength, strongest)
	}
}

func near(t *testing.T, size [2]int, sigma float64, what string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) || len(got) == 0 {
		t.Fatalf("%v, sigma %v: %d values of %s, want %d", size, sigma, len(got), what, len(want))
	}
	worst := 0.0
	for i := range got {
		worst = max(worst, math.Abs(got[i]-want[i]))
	}
	if !(worst < 1e-6) {
		t.Errorf("%v, sigma %v: %s is off by %g", size, sigma, what, worst)
	}
}

// BenchmarkCurvature tells how long second derivatives take beside scipy's in the same run (time/scipy: least of five
// each).
func BenchmarkCurvature(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	p := surface.Picture{Width: 640, Height: 480, Light: make([]float64, 640*480)}
	for i := range p.Light {
		p.Light[i] = r.Float64()
	}
	theirs := scipy(b, p, []float64{2, 2, 2, 2, 2})
	var ours []float64
	for b.Loop() {
		start := time.Now()
		if _, err := surface.Curvature(p, 2); err != nil {
			b.Fatal(err)
		}
		ours = append(ours, time.Since(start).Seconds())
	}
	least := math.Inf(1)
	for _, t := range theirs {
		least = min(least, t.Seconds)
	}
	b.ReportMetric(slices.Min(ours)/least, "time/scipy")
}
