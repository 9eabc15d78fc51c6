package drive

import "math"

// pose is scratch for laying the run out with its tensioner moved.
type pose struct {
	cs     []Circle
	buf    [MaxPulleys]Circle
	solver Solver
	path   *Path
}

func (d *Drive) newPose() *pose {
	ps := new(pose)
	ps.cs = ps.buf[:copy(ps.buf[:], d.cs)]
	return ps
}

// sink lowers the belt line on every pulley gripped by the ribs, mm.
func (d *Drive) sink(ps *pose, mm float64) {
	for i := range ps.cs {
		if d.ribbed[i] {
			ps.cs[i].R = d.cs[i].R - mm
		}
	}
}

// move lays the run out at q and returns the rate of length with q.
func (d *Drive) move(ps *pose, q float64) (rate float64, f Fault) {
	var v Point
	if d.mv.idx >= 0 {
		var c Point
		c, v = d.mv.at(q)
		ps.cs[d.mv.idx].X, ps.cs[d.mv.idx].Y = c.X, c.Y
	}
	ps.path, f = ps.solver.Solve(ps.cs)
	if !f.OK() || d.mv.idx < 0 {
		return 0, f
	}
	return ps.path.LengthRate(d.mv.idx, v.X, v.Y), f
}

// sweep is the part of the tensioner's travel over which the run can be laid
// and its length rises or falls throughout.
type sweep struct {
	lo, hi       float64 // q
	loWhy, hiWhy Fault   // why it ends; no fault means at the stop
	sense        float64 // sign of dL/dq
	loLen, hiLen float64 // length at lo and hi, mm
	whole        float64 // +1 or -1: sign of the turn
}

const (
	sweepSteps   = 16
	sweepHalving = 30
)

func (d *Drive) findSweep() sweep {
	ps := d.newPose()
	rate, _ := d.move(ps, 0)
	w := sweep{sense: sign(rate), loLen: ps.path.LengthMM, hiLen: ps.path.LengthMM, whole: sign(ps.path.TurnRad)}
	if d.mv.idx < 0 {
		return w
	}
	t := &d.run.Tensioner
	w.lo, w.loWhy = d.sweepEnd(ps, &w, t.Low*d.mv.unit)
	w.hi, w.hiWhy = d.sweepEnd(ps, &w, t.High*d.mv.unit)
	d.move(ps, w.lo)
	w.loLen = ps.path.LengthMM
	d.move(ps, w.hi)
	w.hiLen = ps.path.LengthMM
	return w
}

// sweepEnd walks from 0 towards stop and halves the step that fails.
func (d *Drive) sweepEnd(ps *pose, w *sweep, stop float64) (float64, Fault) {
	good, bad := 0.0, 0.0
	var why Fault
	for i := 1; i <= sweepSteps; i++ {
		q := stop * float64(i) / sweepSteps
		if why = d.usable(ps, w, q); !why.OK() {
			bad = q
			break
		}
		good = q
	}
	if why.OK() {
		return stop, why
	}
	for range sweepHalving {
		q := (good + bad) / 2
		if f := d.usable(ps, w, q); f.OK() {
			good = q
		} else {
			bad, why = q, f
		}
	}
	return good, why
}

// usable reports whether the run can lie at q with its length still changing in
// the same sense.
func (d *Drive) usable(ps *pose, w *sweep, q float64) Fault {
	rate, f := d.move(ps, q)
	if !f.OK() {
		return f
	}
	if f = ps.solver.Check(ps.cs, ps.path); !f.OK() {
		return f
	}
	if rate*w.sense <= 0 || ps.path.TurnRad*w.whole < 0 {
		return Fault{Reason: OutsideTravel}
	}
	return f
}

// seek finds q at which the path has a length, to 1e-9 mm, by Newton steps kept
// inside a shrinking bracket. The caller has made sure that it lies between the
// ends of the sweep.
func (d *Drive) seek(ps *pose, length float64) (q, rate float64) {
	lo, hi := d.sweep.lo, d.sweep.hi
	q = 0
	for range 80 {
		r, f := d.move(ps, q)
		if !f.OK() {
			break
		}
		rate = r
		miss := length - ps.path.LengthMM
		if math.Abs(miss) < 1e-9 || hi-lo < 1e-14 {
			break
		}
		if miss*d.sweep.sense > 0 {
			lo = q
		} else {
			hi = q
		}
		next := q + miss/rate
		if rate == 0 || !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		q = next
	}
	return q, rate
}

// ends are the stop that fits the belt (path shortest) and the one at which
// take-up is spent (path longest).
func (w *sweep) ends() (fitQ, takeQ, shortest, longest float64) {
	if w.sense > 0 {
		return w.lo, w.hi, w.loLen, w.hiLen
	}
	return w.hi, w.lo, w.hiLen, w.loLen
}
