package listen

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"testing"
)

type reference struct {
	Step float64
	Bins [][2]float64
}

// scipy runs testdata/reference.py with an interpreter that has scipy; it skips by name where there is none, but
// not in CI.
func scipy(t testing.TB, args ...string) []byte {
	t.Helper()
	for _, py := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(py, "-c", "import scipy").Run() != nil {
			continue
		}
		cmd := exec.Command(py, args...)
		cmd.Stderr = os.Stderr
		b, err := cmd.Output()
		if err != nil {
			t.Fatalf("%s %v: %v", py, args, err)
		}
		return b
	}
	if os.Getenv("CI") != "" {
		t.Fatal("no python3 with scipy (Debian: python3-scipy)")
	}
	t.Skip("no python3 with scipy (Debian: python3-scipy)")
	return nil
}

// TestAgainstScipy compares the forty strongest bins of every spectrum, on every recording, with scipy.signal and
// numpy: the strongest bin is the same, levels agree to 0.1 dB, envelope lines to 1 %.
func TestAgainstScipy(t *testing.T) {
	_, recs := collection(t)
	sounds := make([]Recording, len(recs))
	args := []string{"testdata/reference.py"}
	for i, r := range recs {
		sounds[i] = readFile(t, r.file)
		n := shorter(len(sounds[i].Channels[0]))
		sounds[i].Channels[0] = sounds[i].Channels[0][:n]
		args = append(args, r.file, fmt.Sprint(n))
	}
	var refs []map[string]reference
	if err := json.Unmarshal(scipy(t, args...), &refs); err != nil || len(refs) != len(recs) {
		t.Fatal(err, len(refs))
	}
	for i, r := range recs {
		rec, ref := sounds[i], refs[i]
		pic, err := Spectrogram(rec, 1000, 250)
		if err != nil {
			t.Fatal(err)
		}
		for name, got := range map[string]Spectrum{
			"welch":      must(t)(Welch(rec, 4096)),
			"single":     must(t)(Welch(rec, 0)),
			"picture":    {pic.Step, pic.Frames[7]},
			"plain":      must(t)(EnvelopeSpectrum(rec, Band{}, Plain, 900)),
			"cepstral":   must(t)(EnvelopeSpectrum(rec, Band{}, Cepstral, 900)),
			"prediction": must(t)(EnvelopeSpectrum(rec, Band{}, Prediction, 900)),
		} {
			tol := math.Pow(10, 0.01) - 1 // 0.1 dB
			if name == "plain" || name == "cepstral" || name == "prediction" {
				tol = 0.01
			}
			compareBins(t, r.name+" "+name, got, ref[name], tol)
		}
	}
}

func must(t *testing.T) func(Spectrum, error) Spectrum {
	return func(s Spectrum, err error) Spectrum {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
}

func compareBins(t *testing.T, name string, got Spectrum, want reference, tol float64) {
	t.Helper()
	if len(want.Bins) != 40 || math.Abs(got.Step/want.Step-1) > 1e-9 {
		t.Fatalf("%s: step %g, scipy %g with %d bins", name, got.Step, want.Step, len(want.Bins))
	}
	top := 0
	for k, p := range got.Power {
		if p > got.Power[top] {
			top = k
		}
	}
	if top != int(want.Bins[0][0]) {
		t.Errorf("%s: strongest bin %d, scipy %g", name, top, want.Bins[0][0])
	}
	worst := 0.0
	for _, b := range want.Bins {
		worst = max(worst, math.Abs(got.Power[int(b[0])]/b[1]-1))
	}
	if worst > tol {
		t.Errorf("%s: worst of forty bins off by %.2f %%, %.2f %% allowed", name, 100*worst, 100*tol)
	}
}
