package condition_test

import (
	"os/exec"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"undertray.example/undertray/condition"
)

// processor is the processor time that this process has used.
func processor(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// measured runs what is measured and reports its processor time, so that other work on the machine counts little.
func measured(b *testing.B, run func()) {
	b.Helper()
	run()
	runtime.GC()
	from := processor(b)
	for b.Loop() {
		run()
	}
	b.ReportMetric(float64(processor(b)-from)/1e6/float64(b.N), "cpu-ms/op")
}

// BenchmarkCav is one log-likelihood of msm's cav data at fixed parameters; bench/condition.sh times msm's on
// the same.
func BenchmarkCav(b *testing.B) {
	out, err := exec.Command("Rscript", "-e",
		`library(msm); cat(sprintf("row %d %.17g %d 0 0 0\n", cav$PTNUM, cav$years, cav$state), sep = "")`).Output()
	if err != nil {
		b.Skip("Rscript with the msm package is not there")
	}
	m := &msmOutput{}
	for line := range strings.Lines(string(out)) {
		if err := m.line(strings.TrimSpace(line)); err != nil {
			b.Fatal(err)
		}
	}
	kind := cavKind()
	h, err := kind.Ready(m.histories())
	if err != nil {
		b.Fatal(err)
	}
	measured(b, func() {
		if _, err := kind.LogLik(h); err != nil {
			b.Fatal(err)
		}
	})
}

// BenchmarkYard is the chance of failing within a trip for each of 300 parts of 12 kinds, each with ten
// years of looks, four a year, from histories as recorded to chances with their bands; the kinds are learnt
// beforehand, each of 16 nodes, of stages and doubts like those the program uses.
func BenchmarkYard(b *testing.B) {
	var posts []*condition.Posterior
	for kind := range 12 {
		levels := []float64{0, 1, 2, 3}
		looks := []condition.Sort{condition.Graded(levels, []float64{0.8, 1.8, 2.8}, 0.6),
			condition.Graded(levels, []float64{1.2, 2, 3}, 1)}
		years := 4 + float64(kind)
		prior, err := condition.FromLead(condition.Lead{Onset: []float64{15_000 * years, 2 * 365 * years},
			Lead:  []float64{18_000, 1_400}, // about a year
			Shape: 4 + float64(kind)/2, Shares: []float64{0.6, 0.33, 0.07}, Within: true,
			OnsetLogSD: 0.5, LeadLogSD: 0.7, ShapeLogSD: 0.8}, looks, nil)
		if err != nil {
			b.Fatal(err)
		}
		post, err := prior.Learn(nil, condition.Options{Nodes: 16})
		if err != nil {
			b.Fatal(err)
		}
		posts = append(posts, post)
	}
	parts := make([]condition.History, 300)
	for i := range parts {
		for q := 1; q <= 40; q++ {
			parts[i].Looks = append(parts[i].Looks, condition.Look{At: []float64{3_500 * float64(q), 91 * float64(q)},
				Sort: q % 2})
		}
	}
	measured(b, func() {
		for i, h := range parts {
			part, err := posts[i%12].Part(h)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := part.FailWithin([]float64{1_200, 3}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
