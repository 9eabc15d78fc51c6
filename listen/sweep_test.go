package listen

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
)

// moreBearings are common deep-groove bearings, dimensions from memory, for flaws that are not in a recording.
func moreBearings() []Bearing {
	return []Bearing{shelf["6203"], shelf["6205"], {Name: "6202", Balls: 8, Ball: 5.953, Pitch: 25},
		{Name: "6303", Balls: 7, Ball: 8.731, Pitch: 32},
		{Name: "6206", Balls: 9, Ball: 9.525, Pitch: 46}, {Name: "6004", Balls: 9, Ball: 6.35, Pitch: 31}}
}

// alike reports whether any rates of two bearings, cages aside, come within 2 %.
func alike(a, b Bearing) bool {
	fa, _ := families(0, a)
	fb, _ := families(0, b)
	for _, p := range fa {
		for _, q := range fb {
			if math.Abs(p.base/q.base-1) < 0.02 && !p.cage && !q.cage {
				return true
			}
		}
	}
	return false
}

type counts struct{ n, right, wrong, none, unclear int }

func (c counts) String() string {
	return fmt.Sprintf("%4d: %3.0f %% right, %2d wrong, %3.0f %% none, %3.0f %% unclear", c.n,
		100*float64(c.right)/float64(c.n), c.wrong, 100*float64(c.none)/float64(c.n),
		100*float64(c.unclear)/float64(c.n))
}

// sweep counts answers by row, wrong names and why nothing was named.
type sweep struct {
	mu    sync.Mutex
	rows  map[string]*counts
	wrong []string
	why   map[string]int
}

func newSweep(t *testing.T) *sweep {
	t.Helper()
	if os.Getenv("UNDERTRAY_LONG") == "" {
		t.Skip("long; set UNDERTRAY_LONG")
	}
	return &sweep{rows: map[string]*counts{}, why: map[string]int{}}
}

func (s *sweep) add(row string, d Diagnosis, want Element, what string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.rows[row]
	if c == nil {
		c = &counts{}
		s.rows[row] = c
	}
	c.n++
	switch {
	case d.Outcome == Named && d.Element == want:
		c.right++
	case d.Outcome == Named:
		c.wrong++
		s.wrong = append(s.wrong, fmt.Sprintf("WRONG %s %s: %s want %s score %.2f margin %.2f false %.2f rival %.2f "+
			"offset %+.2f support %.1f/%.1f firm %v", row, what, d.Element, want, d.Score, d.Margin, d.False, d.Rival,
			d.Offset*100, d.Speed.Support, d.Speed.Rival, d.Firm))
	case d.Outcome == Quiet:
		c.none++
	default:
		c.unclear++
	}
	if d.Outcome != Named && want != NoElement {
		s.why[row+": "+whyNot(d)]++
	}
}

func whyNot(d Diagnosis) string {
	if d.Why != NothingOut && d.Why != StandsOut {
		return string(d.Why)
	}
	switch {
	case d.Score < leastScore:
		return "score"
	case d.Score < overFalse*d.False:
		return "false level"
	}
	return "lit"
}

// report prints all and fails when over 1 % of what has nothing to be named is named all the same.
func (s *sweep) report(t *testing.T) {
	n, wrong := 0, 0
	for _, row := range slices.Sorted(maps.Keys(s.rows)) {
		c := s.rows[row]
		t.Logf("%-34s %s", row, c)
		if strings.HasPrefix(row, "neg") || strings.HasPrefix(row, "healthy") {
			n, wrong = n+c.n, wrong+c.wrong
		}
	}
	for _, l := range s.wrong {
		t.Log(l)
	}
	for _, k := range slices.Sorted(maps.Keys(s.why)) {
		t.Logf("   %s %d", k, s.why[k])
	}
	t.Logf("%d of %d with nothing to be named are named", wrong, n)
	if 100*wrong > n {
		t.Errorf("%d of %d with nothing to be named are named", wrong, n)
	}
}

// parallel runs jobs on two goroutines.
func parallel(n int, do func(i int)) {
	var wait sync.WaitGroup
	for w := range 2 {
		wait.Go(func() {
			for i := w; i < n; i += 2 {
				do(i)
			}
		})
	}
	wait.Wait()
}

// TestSweepSimulated measures naming and false naming on simulated machines: UNDERTRAY_LONG=1 go test ./listen -run
// Sweep -v
func TestSweepSimulated(t *testing.T) {
	s := newSweep(t)
	snrs := []float64{0, -6, -12, -16, -20}
	parallel(240, func(i int) {
		rng := rand.New(rand.NewPCG(uint64(i), 5))
		bs := moreBearings()
		b := bs[rng.IntN(len(bs))]
		m := shaft{rng: rng, rate: 12000, seconds: 10, element: Element(i % 4), snr: snrs[i/4%len(snrs)],
			loose: i/20%4 == 0}
		rec, hz := m.run(b)
		row := fmt.Sprintf("sim %-24s %+3.0f dB", m.element, m.snr)
		if m.element == NoElement {
			row = "healthy sim"
		}
		sp := Speed{hz * (1 + 0.02*(2*rng.Float64()-1)), 0.025}
		diagnose := func(row string, sp Speed, b Bearing, want Element) {
			d, err := DiagnoseWith(rec, sp, []Bearing{b}, laboratory)
			if err != nil {
				t.Error(err)
				return
			}
			s.add(row, d, want, fmt.Sprintf("%d %s %.1f Hz loose %v", i, b.Name, hz, m.loose))
		}
		diagnose(row, sp, b, m.element)
		w := sp
		w.Hz *= []float64{1.37, 0.81, 0.63, 1.23, 1.58, 0.71, 1.33, 0.67}[rng.IntN(8)]
		diagnose("neg speed sim", w, b, NoElement)
		for _, o := range bs {
			if !alike(o, b) {
				diagnose("neg bearing sim", sp, o, NoElement)
				break
			}
		}
	})
	s.report(t)
}

// sweepJob is one question put to a degraded record.
type sweepJob struct {
	r    record
	rec  Recording
	row  string
	rpm  float64
	b    Bearing
	want Element
}

// jobsOf asks for the flaw, at four wrong speeds and as other bearings.
func jobsOf(r record, rec Recording, row string) []sweepJob {
	want, group := r.want(), "faulty "
	if want == NoElement {
		group = "healthy "
	}
	out := []sweepJob{{r, rec, group + row, r.rpm, shelf[r.bearing], want}}
	for _, f := range []float64{1.37, 0.81, 4.0 / 3, 2.0 / 3} {
		out = append(out, sweepJob{r, rec, "neg speed " + row, r.rpm * f, shelf[r.bearing], NoElement})
	}
	for _, b := range moreBearings() {
		if b.Name == r.bearing || alike(b, shelf[r.bearing]) {
			continue
		}
		group := "neg bearing "
		if want == RollingOrCage { // all cages turn at about 0.4 of the shaft
			group = "neg bearing of a cage "
		}
		out = append(out, sweepJob{r, rec, group + row, r.rpm, b, NoElement})
	}
	return out
}

// TestSweepCollection does so on the collection whole, cut, in noise, in part of its band and with speeds a little off.
func TestSweepCollection(t *testing.T) {
	s := newSweep(t)
	_, recs := collection(t)
	var jobs []sweepJob
	for _, r := range recs {
		rec := readFile(t, r.file)
		add := func(rec Recording, row string) { jobs = append(jobs, jobsOf(r, rec, row)...) }
		add(rec, "whole")
		for p := range 4 {
			at := float64(p) * (rec.Seconds() - 2.5) / 3
			add(rec.Part(at, at+2.5), "2.5 s")
			add(rec.Part(at/7.5*5, at/7.5*5+5), "5 s")
		}
		for _, db := range []float64{10, 5, 0, -5, -10, -15} {
			for k := range 2 {
				add(noisy(rec, db, uint64(k+7)), fmt.Sprintf("noise %+3.0f dB", db))
			}
		}
		for _, f := range []float64{0.97, 0.977, 0.985, 1.015, 1.023, 1.03} {
			jobs = append(jobs, sweepJob{r, rec, fmt.Sprintf("speed %+.1f %%", 100*f-100), r.rpm * f,
				shelf[r.bearing], r.want()})
		}
		for _, hz := range []float64{1500, 2500, 4000} {
			add(cutBand(rec, 0, hz), fmt.Sprintf("below %.0f Hz", hz))
			add(cutBand(rec, hz, rec.Rate), fmt.Sprintf("above %.0f Hz", hz))
		}
	}
	s.run(t, jobs)
}

// TestSweepWrongSpeed tries every speed from 0.56 to 1.8 times the right one in steps of 1.5 %, but for those
// within 7 % of it, on every record whole and on pieces of 5 and 3 s.
func TestSweepWrongSpeed(t *testing.T) {
	s := newSweep(t)
	_, recs := collection(t)
	var jobs []sweepJob
	for _, r := range recs {
		rec := readFile(t, r.file)
		for f := 0.56; f < 1.8; f += 0.015 {
			if math.Abs(f-1) < 0.07 {
				continue
			}
			for row, p := range map[string]Recording{"neg whole": rec, "neg 5 s": rec.Part(f, f+5),
				"neg 3 s": rec.Part(f+1, f+4)} {
				jobs = append(jobs, sweepJob{r, p, row, r.rpm * f, shelf[r.bearing], NoElement})
			}
		}
	}
	s.run(t, jobs)
}

// run asks them all and reports.
func (s *sweep) run(t *testing.T, jobs []sweepJob) {
	t.Helper()
	parallel(len(jobs), func(i int) {
		j := jobs[i]
		d, err := DiagnoseWith(j.rec, RPM(j.rpm, meterTolerance), []Bearing{j.b}, laboratory)
		if err != nil {
			t.Error(err)
			return
		}
		s.add(j.row, d, j.want, fmt.Sprintf("%s as %s %.0f", j.r.name, j.b.Name, j.rpm))
	})
	s.report(t)
}

// TestCageOfAnother: a cage that beats is not taken for that of another bearing, though in 2.5 s the two combs overlap.
func TestCageOfAnother(t *testing.T) {
	_, recs := collection(t)
	for _, r := range recs {
		if r.name != "288" {
			continue
		}
		rec := readFile(t, r.file)
		for _, at := range []float64{0, 2.5, 5, 7.5} {
			for _, b := range moreBearings() {
				own := b.Name == r.bearing
				if !own && alike(b, shelf[r.bearing]) {
					continue
				}
				d, err := DiagnoseWith(rec.Part(at, at+2.5), RPM(r.rpm, meterTolerance), []Bearing{b}, laboratory)
				if err != nil {
					t.Fatal(err)
				}
				if own != (d.Outcome == Named) {
					t.Errorf("from %.1f s as a %s: %s %s, score %.2f offset %+.2f %%: %s", at, b.Name, d.Outcome,
						d.Element, d.Score, 100*d.Offset, d.Why)
				}
			}
		}
	}
}

// cutBand keeps what lies between two frequencies, and a thousandth of the rest.
func cutBand(r Recording, from, to float64) Recording {
	x := r.Mono()
	n := shorter(len(x))
	c := transform(x[:n])
	step := r.Rate / float64(n)
	for k := range c {
		if f := float64(k) * step; f < from || f > to {
			c[k] *= 0.001
		}
	}
	return Recording{Rate: r.Rate, Channels: [][]float64{inverse(c, n)}}
}
