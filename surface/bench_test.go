package surface_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"syscall"
	"testing"

	"undertray.example/undertray/surface"
)

// roughPicture is made of pieces of rough ground side by side.
func roughPicture(r *rand.Rand, across, down int) surface.Picture {
	const w, h = 320, 240
	p := surface.Picture{Width: w * across, Height: h * down, Light: make([]float64, w*h*across*down)}
	for y := 0; y < p.Height; y += h {
		for x := 0; x < p.Width; x += w {
			for i, v := range roughGround(r, w, h).picture.Light {
				p.Light[(y+i/w)*p.Width+x+i%w] = v
			}
		}
	}
	return p
}

// processor is the time that this process has taken of all processors, s.
func processor(b testing.TB) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// BenchmarkCracks tells how much processor time a search takes beside the same steps in scipy and scikit-image in the
// same run (testdata/search.py; time/scipy: least of each; at most 0.5 is wanted), and a million pixels (s/Mpx).
func BenchmarkCracks(b *testing.B) {
	p := roughPicture(rand.New(rand.NewPCG(4, 4)), 3, 3)
	s := surface.Usual()
	in, err := json.Marshal(map[string]any{"width": p.Width, "height": p.Height, "light": p.Light, "sigmas": s.Scales,
		"reach": s.Reach, "high": s.High, "low": s.Low})
	if err != nil {
		b.Fatal(err)
	}
	cmd := exec.Command("/usr/bin/python3", "testdata/search.py")
	cmd.Stdin, cmd.Stderr, cmd.Env = bytes.NewReader(in), os.Stderr, append(os.Environ(), "OMP_NUM_THREADS=1")
	out, err := cmd.Output()
	if err != nil {
		b.Skip("no python3 with scipy and skimage (Debian: python3-scipy, python3-skimage): ", err)
	}
	var theirs struct {
		Seconds float64
		Pieces  int
	}
	if err := json.Unmarshal(out, &theirs); err != nil || theirs.Pieces == 0 {
		b.Fatal(err, theirs)
	}
	var ours []float64
	for b.Loop() {
		start := processor(b)
		if _, err := surface.Cracks(p, s); err != nil {
			b.Fatal(err)
		}
		ours = append(ours, processor(b)-start)
	}
	b.ReportMetric(slices.Min(ours)/theirs.Seconds, "time/scipy")
	b.ReportMetric(slices.Min(ours)/float64(len(p.Light))*1e6, "s/Mpx")
}
