package wear_test

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/wear"
)

// lone is one forecast of a unit treated as the only one of its kind.
type lone struct {
	early, late bool // the crossing came before, after the 80 % band
	off         float64
	lines       [3]float64 // errors of least squares: raw, logarithm of the value, both logarithms
}

// lonely is a set with the value of a new part and the limits that are asked about.
type lonely struct {
	degradation
	start  float64
	limits []float64
}

func lonelySets(t testing.TB) []lonely {
	return []lonely{
		{alloy(t), 0.9, []float64{1.2, 1.4, 1.6}},
		{lasers(t), 0, []float64{4, 6, 10}},
		{metal(t, 15), 0, []float64{6, 10, 15, 30}},
	}
}

// asked is how a unit is shown: so many readings, spread evenly over the first part of those before
// the crossing or the very first ones, the value when new known (its reading is then left out) or not.
type asked struct {
	n            int
	known, early bool
}

// alone forecasts every unit that reaches the limit without any other unit.
func (d lonely) alone(t testing.TB, ask asked) []lone {
	var out []lone
	for _, limit := range d.limits {
		l, prior := wear.Limit{Value: limit}, wear.Prior{HasStart: ask.known}
		if ask.known {
			prior.Start = d.start
		}
		kind, err := wear.Prepare(l, prior, nil, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range d.paths {
			truth, ok := wear.FirstCrossing(p, l, 0)
			if !ok {
				continue
			}
			for _, own := range ask.show(p, truth) {
				c := forecast(t, kind, own).Crossing()
				o := lone{early: truth < c.Earliest, late: truth > c.Latest, off: math.Abs(c.Expected-truth) / truth}
				o.lines = d.plainLines(own, l, truth, ask.known)
				out = append(out, o)
			}
		}
	}
	return out
}

// show returns the readings to forecast from, for each cut; none where there are too few.
func (a asked) show(p wear.Path, truth float64) []wear.Path {
	var before wear.Path
	for _, o := range p {
		if o.Exposure[0] < truth && !(a.known && o.Exposure[0] == 0) {
			before = append(before, o)
		}
	}
	if a.early {
		if len(before) <= a.n {
			return nil
		}
		return []wear.Path{before[:a.n]}
	}
	var out []wear.Path
	for _, cut := range cuts {
		m := int(math.Ceil(cut*float64(len(before)) - 1e-9))
		if m < a.n {
			continue
		}
		var own wear.Path
		for i := range a.n {
			own = append(own, before[i*(m-1)/(a.n-1)])
		}
		out = append(out, own)
	}
	return out
}

// plainLines are the errors of three plain lines; the raw one is given the value when new too.
func (d lonely) plainLines(own wear.Path, l wear.Limit, truth float64, known bool) (off [3]float64) {
	whole := own
	if known {
		whole = append(wear.Path{{Exposure: []float64{0}, Value: d.start}}, own...)
	}
	for i, b := range []wear.Bend{{Value: 1, Exposure: 1}, {Value: 0, Exposure: 1}, {Value: 0, Exposure: 0}} {
		off[i] = math.Inf(1)
		with := own
		if i == 0 {
			with = whole
		}
		if fit, err := wear.PlainLine(with, l, 0, b, false); err == nil {
			off[i] = math.Abs(fit.Crossing-truth) / truth
		}
	}
	return off
}

// loneSum is what came of many forecasts, as shares and medians.
type loneSum struct{ in, early, late, off, plain float64 }

func sumLone(os []lone) loneSum {
	s := loneSum{plain: math.Inf(1)}
	var off []float64
	var lines [3][]float64
	for _, o := range os {
		off = append(off, o.off)
		for i := range lines {
			lines[i] = append(lines[i], o.lines[i])
		}
		switch {
		case o.early:
			s.early += 1 / float64(len(os))
		case o.late:
			s.late += 1 / float64(len(os))
		default:
			s.in += 1 / float64(len(os))
		}
	}
	s.off = medianOf(off)
	for i := range lines {
		s.plain = math.Min(s.plain, medianOf(lines[i]))
	}
	return s
}

func medianOf(x []float64) float64 {
	sort.Float64s(x)
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

// TestAlone is the promise for a part without others of its kind: from two, three and five readings
// spread over its path, the value when new known and not, the 80 % band holds 70 to 90 % of the crossings, and
// the median error is no worse than that of the plain line that does best in hindsight. From the very first
// readings, a twentieth to a third of the life, the errors are held to that too; the share in the band is
// reported only.
func TestAlone(t *testing.T) {
	var w strings.Builder
	w.WriteString("| readings | value when new | forecasts | in the 80 % band | before it | after it | median error " +
		"| plain line |\n" +
		"|---|---|---|---|---|---|---|---|\n")
	for i := range 12 {
		ask := asked{n: []int{2, 3, 5}[i%3], known: i/3%2 == 0, early: i >= 6}
		var all []lone
		for _, d := range lonelySets(t) {
			all = append(all, d.alone(t, ask)...)
		}
		s := sumLone(all)
		fmt.Fprintf(&w, "| %d %s | %s | %d | %.0f %% | %.0f %% | %.0f %% | %.1f %% | %.1f %% |\n", ask.n,
			map[bool]string{true: "first", false: "spread"}[ask.early],
			map[bool]string{true: "known", false: "not"}[ask.known],
			len(all), 100*s.in, 100*s.early, 100*s.late, 100*s.off, 100*s.plain)
		if !ask.early && (s.in < 0.7 || s.in > 0.9) {
			t.Errorf("%+v: the 80 %% band holds %.1f %%", ask, 100*s.in)
		}
		if s.off > s.plain {
			t.Errorf("%+v: median error %.3f, plain line %.3f", ask, s.off, s.plain)
		}
	}
	given.Calibration(t, "wear alone", w.String(), *update)
}

// Two readings, the first near nothing, do not say that the limit is reached now.
func TestTwoReadingsFromNearNothing(t *testing.T) {
	c := forecast(t, prepare(t, wear.Limit{Value: 8}, wear.Prior{}, nil, 1),
		path([2]float64{0, 0.02}, [2]float64{1, 4})).Crossing()
	if c.Earliest < 1.1 || c.Earliest > 1.8 || c.Expected < 1.6 || c.Expected > 2.4 || c.Latest < 2.4 {
		t.Errorf("a straight line reaches the limit at 2: %+v", c)
	}
}
