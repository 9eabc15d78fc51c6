package schedule

import (
	"context"
	"math"
)

// lone prices the vehicles of a component that share limits as if they did not. That
// is quick, and good where what they share seldom binds: a limit that several share
// only has a price, which weakens the bound. What no vehicle by itself can do for
// less, none can while it shares.
type lone struct {
	duals []*dual
	bound float64 // the sum of theirs
}

// newLone readies it; nil where there is one vehicle.
func newLone(p *Problem, c *component) *lone {
	if len(c.vehicles) < 2 {
		return nil
	}
	l := &lone{bound: math.Inf(-1)}
	for _, v := range c.vehicles {
		alone := compile(p, []int{v}, false)
		alone.ladders = newLadders(alone)
		l.duals = append(l.duals, newDual(alone))
	}
	return l
}

// rough is that of each.
func (l *lone) rough(on bool) {
	for _, d := range l.duals {
		d.rough(on)
	}
}

// ascend improves the prices of each by so many rounds; it reports whether they are
// at their best.
func (l *lone) ascend(ctx context.Context, rounds int) (done bool) {
	done, l.bound = true, 0
	for _, d := range l.duals {
		b := d.bound
		if d.bundle == nil {
			b = d.evaluate()
		}
		if b < inf {
			b = d.ascend(ctx, rounds, b+0.1*math.Abs(b)+1, inf, 1)
			done = done && (d.bundle == nil || d.bundle.done)
		}
		l.bound += b
	}
	return done
}

// prices copies those of each into the prices of all.
func (l *lone) prices(all *dual) {
	task, pair := 0, len(all.c.tasks)
	for _, d := range l.duals {
		n := len(d.c.tasks)
		copyPrices(all.price[task:], d.price[:n])
		copyPrices(all.price[pair:], d.price[n:])
		task, pair = task+n, pair+len(d.price)-n
	}
}
