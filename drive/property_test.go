package drive

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// drawDrive is a run that can be laid; others end the case.
func drawDrive(t *rapid.T) *Drive {
	d, err := New(drawRun(rapidDraw{t}))
	if err != nil {
		t.Skip(err)
	}
	return d
}

func near(t *rapid.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Fatalf("%s: got %.12g, want %.12g within %g", what, got, want, tol)
	}
}

func TestAFairShareOfRandomRunsCanBeLaid(t *testing.T) {
	laid, src := 0, rand.New(rand.NewPCG(1, 2))
	for range 500 {
		if _, err := New(drawRun(seeded{src})); err == nil {
			laid++
		}
	}
	if laid < 150 {
		t.Errorf("only %d of 500 random runs can be laid: the properties hardly test anything", laid)
	}
}

func TestTurningAnglesCloseInOneTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDrive(t)
		p := solve(d.cs...)
		sum := 0.0
		for i, w := range p.WrapRad {
			if w < 0 || w >= 2*math.Pi {
				t.Fatalf("wrap %g", w)
			}
			sum += d.cs[i].Turn * w
		}
		near(t, "turn", math.Abs(sum), 2*math.Pi, 1e-9)
		line := d.run.Belt.Section.LineMM
		pitch := append([]Circle(nil), d.cs...)
		for i := range pitch {
			pitch[i].R = d.pitch[i]
		}
		near(t, "pitch less effective length", solve(pitch...).LengthMM-p.LengthMM, 2*math.Pi*line, 1e-7)
	})
}

func TestLengthFollowsVirtualWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDrive(t)
		k := rapid.IntRange(0, len(d.cs)-1).Draw(t, "moved")
		a := rapid.Float64Range(0, 2*math.Pi).Draw(t, "towards")
		const h = 1e-4
		at := func(step float64) Path {
			cs := append([]Circle(nil), d.cs...)
			cs[k].X += step * math.Cos(a)
			cs[k].Y += step * math.Sin(a)
			return solve(cs...)
		}
		p := at(0)
		near(t, "rate", p.LengthRate(k, math.Cos(a), math.Sin(a)), (at(h).LengthMM-at(-h).LengthMM)/(2*h), 1e-5)
		// A pulley that grows takes up its wrap: the rule for rib wear.
		cs := append([]Circle(nil), d.cs...)
		cs[k].R += h
		near(t, "growth", solve(cs...).LengthMM-p.LengthMM, p.WrapRad[k]*h, 1e-6)
	})
}

func TestLengthDoesNotDependOnTheView(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRun(rapidDraw{t})
		d, err := New(r)
		if err != nil {
			t.Skip(err)
		}
		want := d.Drawn()
		a := rapid.Float64Range(-3, 3).Draw(t, "rotation")
		sin, cos := math.Sincos(a)
		views := map[string]func(Point) Point{
			"rotated":  func(p Point) Point { return Point{50 + p.X*cos - p.Y*sin, -70 + p.X*sin + p.Y*cos} },
			"mirrored": func(p Point) Point { return Point{-p.X, p.Y} },
		}
		for name, see := range views {
			v := r.clone()
			v.Tensioner = Tensioner{SetN: 100}
			for i := range v.Pulleys {
				v.Pulleys[i].Centre = see(v.Pulleys[i].Centre)
			}
			sameLayout(t, name, v, want)
		}
	})
}

func sameLayout(t *rapid.T, name string, v Run, want Layout) {
	t.Helper()
	d, err := New(v)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	got := d.Drawn()
	near(t, name+" length", got.EffectiveMM, want.EffectiveMM, 1e-7)
	for i := range got.Pulleys {
		near(t, name+" wrap", got.Pulleys[i].WrapDeg, want.Pulleys[i].WrapDeg, 1e-7)
		near(t, name+" clearance", got.Pulleys[i].ClearanceMM, want.Pulleys[i].ClearanceMM, 1e-7)
	}
}

func TestReversedOrderTurnsEverythingTheOtherWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDrive(t)
		n := len(d.cs)
		rev := make([]Circle, n)
		for i := range rev {
			rev[i] = d.cs[n-1-i]
			rev[i].Turn = -rev[i].Turn
		}
		a, b := solve(d.cs...), solve(rev...)
		near(t, "length", b.LengthMM, a.LengthMM, 1e-7)
		near(t, "turn", b.TurnRad, -a.TurnRad, 1e-9)
		for i := range n {
			near(t, "wrap", b.WrapRad[i], a.WrapRad[n-1-i], 1e-9)
			near(t, "span", b.Spans[(2*n-2-i)%n].LengthMM, a.Spans[i].LengthMM, 1e-7)
		}
	})
}

func TestLengthScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDrive(t)
		k := rapid.Float64Range(0.01, 50).Draw(t, "scale")
		cs := append([]Circle(nil), d.cs...)
		for i := range cs {
			cs[i].X, cs[i].Y, cs[i].R, cs[i].Rim = k*cs[i].X, k*cs[i].Y, k*cs[i].R, k*cs[i].Rim
		}
		a, b := solve(d.cs...), solve(cs...)
		near(t, "length", b.LengthMM, k*a.LengthMM, 1e-9*k*a.LengthMM)
		for i := range cs {
			near(t, "wrap", b.WrapRad[i], a.WrapRad[i], 1e-9)
		}
	})
}

func TestTwoPulleysMatchTheClosedForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		small := rapid.Float64Range(1, 300).Draw(t, "small")
		large := rapid.Float64Range(small, 400).Draw(t, "large")
		c := rapid.Float64Range((small+large)/2+1, 3000).Draw(t, "centres")
		open, err := OpenBelt(large, small, c)
		if err != nil {
			t.Fatal(err)
		}
		crossed, err := CrossedBelt(large, small, c)
		if err != nil {
			t.Fatal(err)
		}
		a := solve(Circle{R: large / 2, Turn: -1}, Circle{X: c, R: small / 2, Turn: -1})
		b := solve(Circle{R: large / 2, Turn: 1}, Circle{X: c, R: small / 2, Turn: -1})
		near(t, "open", a.LengthMM, open.LengthMM, 1e-8)
		near(t, "open small wrap", a.WrapRad[1], open.SmallRad, 1e-9)
		near(t, "open large wrap", a.WrapRad[0], open.LargeRad, 1e-9)
		near(t, "crossed", b.LengthMM, crossed.LengthMM, 1e-8)
		near(t, "crossed wrap", b.WrapRad[0], crossed.LargeRad, 1e-9)
		near(t, "crossed turn", b.TurnRad, 0, 1e-9)
	})
}

func TestLengthMatchesAPolyline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDrive(t)
		p := solve(d.cs...)
		near(t, "polyline of 100 000 points", polyline(d.cs, 100_000), p.LengthMM, 1e-8*p.LengthMM)
	})
}

// polyline measures the belt by another method: the heading of each span by
// bisection on its distance from both circles, then points along every arc.
func polyline(cs []Circle, points int) float64 {
	n := len(cs)
	psi := make([]float64, n)
	for i := range cs {
		psi[i] = headingByBisection(cs[i], cs[(i+1)%n])
	}
	at := func(c Circle, a float64) (float64, float64) {
		sin, cos := math.Sincos(a)
		return c.X + c.Turn*c.R*sin, c.Y - c.Turn*c.R*cos
	}
	length, per := 0.0, points/n
	px, py := at(cs[0], psi[n-1])
	for i, c := range cs {
		in := psi[(i+n-1)%n]
		turn := math.Mod(c.Turn*(psi[i]-in)+4*math.Pi, 2*math.Pi)
		if turn > 2*math.Pi-1e-7 {
			turn = 0
		}
		for k := range per + 1 {
			x, y := at(c, in+c.Turn*turn*float64(k)/float64(per))
			length += math.Hypot(x-px, y-py)
			px, py = x, y
		}
	}
	x, y := at(cs[0], psi[n-1])
	return length + math.Hypot(x-px, y-py)
}

// headingByBisection finds the direction of a line that has circle a on its
// proper side and circle b on its own.
func headingByBisection(a, b Circle) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	want := b.Turn*b.R - a.Turn*a.R
	off := func(psi float64) float64 { // how far b's centre lies left of a's, less what it should
		return -dx*math.Sin(psi) + dy*math.Cos(psi) - want
	}
	mid := math.Atan2(dy, dx)
	lo, hi := mid-math.Pi/2, mid+math.Pi/2
	for range 100 {
		m := (lo + hi) / 2
		if off(m) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
