package listen

import (
	"math"
	"slices"
)

// Track is a speed that changes: Hz[i] at Times[i] [s], times rising.
type Track struct {
	Times []float64
	Hz    []float64
}

// Mean speed over the track [Hz].
func (t Track) Mean() float64 { return mean(t.Hz) }

// Drift is the range of the speed over its mean.
func (t Track) Drift() float64 { return spread(t.Hz) / t.Mean() }

// piece is the straight piece of the track at a time [s], level beyond the ends: its value at time 0, its slope,
// and up to when it holds.
func (t Track) piece(s float64) (from, slope, until float64) {
	i, _ := slices.BinarySearch(t.Times, s)
	switch {
	case i == 0:
		return t.Hz[0], 0, t.Times[0]
	case i == len(t.Times):
		return t.Hz[i-1], 0, math.Inf(1)
	}
	slope = (t.Hz[i] - t.Hz[i-1]) / (t.Times[i] - t.Times[i-1])
	return t.Hz[i-1] - slope*t.Times[i-1], slope, t.Times[i]
}

func (t Track) check() error {
	if len(t.Times) == 0 || len(t.Times) != len(t.Hz) {
		return wrap(ErrInput, "uneven track", figure("times", float64(len(t.Times)), ""),
			figure("speeds", float64(len(t.Hz)), ""))
	}
	for i, hz := range t.Hz {
		if !(hz > 0) || math.IsInf(hz, 0) || math.IsNaN(t.Times[i]) || i > 0 && !(t.Times[i] > t.Times[i-1]) {
			return wrap(ErrInput, "track point", figure("point", float64(i+1), ""), figure("speed", hz, "Hz"),
				figure("at", t.Times[i], "s"))
		}
	}
	return nil
}

// trackWindow is the length of the pieces a speed is followed through [s], at least 30 turns.
const trackWindow = 1.0

// Follow follows a drifting speed through the recording: in half-overlapping pieces of a second (or thirty turns),
// the speed whose first ten harmonics gather most line evidence; the way through the pieces that gains most
// evidence while changing by at most 1.5 % of the speed per piece is found by dynamic programming. The tolerance of
// the speed covers the whole drift. orders are the harmonics looked for, none for 1 to 10.
func Follow(r Recording, sp Speed, orders []float64) (Track, error) {
	if err := sp.check(); err != nil {
		return Track{}, err
	}
	x, err := usable(r)
	if err != nil {
		return Track{}, err
	}
	if err := longEnough(r.Seconds(), sp.Hz); err != nil {
		return Track{}, err
	}
	if len(orders) == 0 {
		orders = tenOrders()
	}
	for _, o := range orders {
		if !(o > 0) || o > 1000 {
			return Track{}, wrap(ErrInput, "order", figure("order", o, ""))
		}
	}
	return follow(x, r.Rate, sp, orders), nil
}

// tenOrders are the harmonics a shaft is followed by.
func tenOrders() []float64 { return []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10} }

func follow(x []float64, rate float64, sp Speed, orders []float64) Track {
	size := shorter(min(int(max(trackWindow, 30/sp.Hz)*rate), len(x)))
	lattice, times := pieces(x, rate, size, sp, orders)
	step := 2 * sp.Tolerance * sp.Hz / (trackSpeeds - 1)
	jump := max(int(math.Ceil(0.015*sp.Hz/max(step, 1e-9))), 1)
	t := Track{Times: times}
	for _, j := range bestPath(lattice, min(jump, trackSpeeds)) {
		t.Hz = append(t.Hz, sp.Hz*(1-sp.Tolerance)+float64(j)*step)
	}
	t.Hz = smoothed(t.Hz)
	return t
}

const trackSpeeds = 121

// pieces gives the evidence of every speed in every piece.
func pieces(x []float64, rate float64, size int, sp Speed, orders []float64) (lattice [][]float64, times []float64) {
	step := rate / float64(size)
	top := slices.Max(orders)*sp.Hz*(1+sp.Tolerance) + 4*step
	eachSegment(x, size, size/2, func(start int, c []complex128) {
		p := make([]float64, min(int(top/step)+1, len(c)))
		for k := range p {
			p[k] = abs2(c[k])
		}
		level := levelled(Spectrum{step, p}, max(0.6*sp.Hz, 15*step))
		row := make([]float64, trackSpeeds)
		for j := range row {
			hz := sp.Hz * (1 - sp.Tolerance + 2*sp.Tolerance*float64(j)/(trackSpeeds-1))
			for _, o := range orders {
				row[j] += logBetween(level, o*hz/step)
			}
		}
		lattice = append(lattice, row)
		times = append(times, (float64(start)+float64(size)/2)/rate)
	})
	return lattice, times
}

// logBetween is the log of a levelled spectrum read between bins, between 0 and 8.
func logBetween(level []float64, p float64) float64 {
	j := int(p)
	if j < 0 || j+1 >= len(level) {
		return 0
	}
	q := p - float64(j)
	v := math.Log(max(level[j], 1e-9))*(1-q) + math.Log(max(level[j+1], 1e-9))*q
	return min(max(v-1, 0), 8)
}

// bestPath is the way of highest sum through the rows, moving by at most jump columns.
func bestPath(rows [][]float64, jump int) []int {
	n := len(rows[0])
	sum := slices.Clone(rows[0])
	from := make([][]int, len(rows))
	for i := 1; i < len(rows); i++ {
		next := make([]float64, n)
		from[i] = make([]int, n)
		for j := range next {
			best := j
			for k := max(j-jump, 0); k <= min(j+jump, n-1); k++ {
				if sum[k] > sum[best] {
					best = k
				}
			}
			next[j], from[i][j] = sum[best]+rows[i][j], best
		}
		sum = next
	}
	path := make([]int, len(rows))
	for j, v := range sum {
		if v > sum[path[len(rows)-1]] {
			path[len(rows)-1] = j
		}
	}
	for i := len(rows) - 1; i > 0; i-- {
		path[i-1] = from[i][path[i]]
	}
	return path
}

// smoothed takes the mean of three with weights 1, 2, 1.
func smoothed(x []float64) []float64 {
	if len(x) < 3 {
		return x
	}
	out := slices.Clone(x)
	for i := 1; i+1 < len(x); i++ {
		out[i] = (x[i-1] + 2*x[i] + x[i+1]) / 4
	}
	return out
}

// ByAngle resamples a recording to even steps of shaft angle along a track, at perTurn samples per turn: its
// frequencies are orders then and its Rate is perTurn (samples per turn), its times turns. Values between samples
// come from a cubic through four; content above half of perTurn orders must be absent or filtered beforehand, so
// perTurn should be no less than Rate over the lowest speed. Only the mean of the channels is kept.
func ByAngle(r Recording, t Track, perTurn float64) (Recording, error) {
	x, err := usable(r)
	if err != nil {
		return Recording{}, err
	}
	if err := t.check(); err != nil {
		return Recording{}, err
	}
	if !(perTurn >= 4) || perTurn > 1e7 || perTurn*float64(len(x))/r.Rate*slices.Max(t.Hz) > MaxSamples {
		return Recording{}, wrap(ErrInput, "samples per turn", figure("samples", perTurn, ""))
	}
	return Recording{Rate: perTurn, Channels: [][]float64{byAngle(x, r.Rate, t, perTurn)}, Warnings: r.Warnings}, nil
}

// byAngle also takes off the mean.
func byAngle(x []float64, rate float64, t Track, perTurn float64) []float64 {
	out := make([]float64, 0, int(float64(len(x))/rate*perTurn*t.Mean()*1.02)+1)
	next, turns := 0.0, 0.0
	dt := 1 / rate
	m := mean(x)
	from, slope, until := 0.0, 0.0, math.Inf(-1) // of the straight piece of the track, at time 0
	for i := range len(x) - 1 {
		now := (float64(i) + 0.5) * dt
		if now > until {
			from, slope, until = t.piece(now)
		}
		d := (from + slope*now) * dt
		for ; next < turns+d; next += 1 / perTurn {
			out = append(out, cubic(x, i, (next-turns)/d)-m)
		}
		turns += d
	}
	return out
}

// cubic is the value between x[i] and x[i+1] from the cubic through four points (Lagrange).
func cubic(x []float64, i int, q float64) float64 {
	a, b, c, d := x[max(i-1, 0)], x[i], x[i+1], x[min(i+2, len(x)-1)]
	p, m, n := q+1, q-1, q-2
	return -a*q*m*n/6 + b*p*m*n/2 - c*p*q*n/2 + d*p*q*m/6
}

// OrderSpectrum is the power density by order of the shaft: ByAngle along the track, then a single Hann-windowed
// spectrum. Step is in orders.
func OrderSpectrum(r Recording, t Track) (Spectrum, error) {
	if err := t.check(); err != nil {
		return Spectrum{}, err
	}
	a, err := ByAngle(r, t, math.Ceil(r.Rate/slices.Min(t.Hz)))
	if err != nil {
		return Spectrum{}, err
	}
	return Welch(a, shorter(len(a.Channels[0])))
}
