package draw

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g", what, got, want)
	}
}

func loopLength(rt route, radius []float64) float64 {
	l := 0.0
	for i := range rt.spans {
		l += rt.spans[i].length + rt.wraps[i]*radius[i]
	}
	return l
}

// Open drive, D 18, d 6, C 96 in: Shigley's Mechanical Engineering Design,
// chapter 17, problem with answers theta_d 3.0165 rad, theta_D 3.2667 rad,
// L 230.074 in (equations 17-1 and 17-2).
func TestOpenDrive(t *testing.T) {
	at, r := []place{{0, 0}, {96, 0}}, []float64{9, 3}
	rt, err := findRoute(at, r, []float64{1, 1}, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "theta_D", rt.wraps[0], 3.266674, 5e-4)
	near(t, "theta_d", rt.wraps[1], 3.016511, 5e-4)
	near(t, "L", loopLength(rt, r), 230.074, 5e-4)
}

// A crossed belt turns by nothing in all and crosses itself: no run.
func TestCrossedDriveIsRefused(t *testing.T) {
	at, r := []place{{0, 0}, {1950, 0}}, []float64{225, 100}
	if _, err := findRoute(at, r, []float64{1, -1}, 1); err == nil {
		t.Error("a belt that crosses itself was taken for a run")
	}
}

// Three equal pulleys R 50 at the corners of an equilateral triangle of side
// 300: spans 300, wraps 120 degrees, length 900 + 100 pi, by symmetry.
func TestTriangle(t *testing.T) {
	at := []place{{0, 0}, {300, 0}, {150, 150 * math.Sqrt(3)}}
	r := []float64{50, 50, 50}
	rt, err := findRoute(at, r, []float64{1, 1, 1}, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i := range at {
		near(t, "span", rt.spans[i].length, 300, 1e-9)
		near(t, "wrap", rt.wraps[i], 2*math.Pi/3, 1e-9)
	}
	near(t, "length", loopLength(rt, r), 900+100*math.Pi, 1e-9)
}

// A run with a pulley on the back: the tangent of two circles with opposite
// turn has length sqrt(d^2 - (r1+r2)^2), with the same turn sqrt(d^2 -
// (r1-r2)^2) (elementary geometry); each end of a span lies on its circle and
// at right angles to the radius; wraps add to one turn.
func TestRouteLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := func(name string) float64 { return rapid.Float64Range(-12, 12).Draw(t, name) }
		at := []place{{j("x0"), j("y0")}, {260 + j("x1"), -20 + j("y1")}, {250 + j("x2"), 260 + j("y2")},
			{120 + j("x3"), 190 + j("y3")}, {j("x4"), 300 + j("y4")}}
		r := []float64{80 + j("r0"), 60 + j("r1"), 28 + j("r2")/2, 38 + j("r3")/2, 65 + j("r4")}
		s := []float64{1, 1, 1, -1, 1}
		rt, err := findRoute(at, r, s, 1)
		if err != nil {
			t.Fatal(err)
		}
		total := 0.0
		for i := range at {
			k := (i + 1) % len(at)
			sp, d := rt.spans[i], at[i].to(at[k])
			if want := math.Sqrt(d*d - math.Pow(r[i]-s[i]*s[k]*r[k], 2)); math.Abs(sp.length-want) > 1e-9 ||
				math.Abs(sp.from.to(sp.to)-want) > 1e-9 {
				t.Fatalf("span %d: %g, want %g", i, sp.length, want)
			}
			ux, uy := (sp.to.x-sp.from.x)/sp.length, (sp.to.y-sp.from.y)/sp.length
			for _, e := range []struct {
				p, c place
				r    float64
			}{{sp.from, at[i], r[i]}, {sp.to, at[k], r[k]}} {
				if math.Abs(e.p.to(e.c)-e.r) > 1e-9 || math.Abs((e.p.x-e.c.x)*ux+(e.p.y-e.c.y)*uy) > 1e-9 {
					t.Fatalf("span %d does not touch its circle", i)
				}
			}
			total += s[i] * rt.wraps[i]
		}
		if math.Abs(total-2*math.Pi) > 1e-9 {
			t.Fatalf("wraps add to %g", total)
		}
	})
}

func TestRunRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*Run)
		says  string
	}{
		"one":       {func(r *Run) { r.Pulleys = r.Pulleys[:1] }, "2 to"},
		"nan":       {func(r *Run) { r.Pulleys[2].X = math.NaN() }, "finite"},
		"radius":    {func(r *Run) { r.Pulleys[2].Radius = 0 }, "radius above 0"},
		"wrap":      {func(r *Run) { r.Pulleys[2].Wrap = 400 }, "wrap"},
		"number":    {func(r *Run) { r.Pulleys[2].Number = 1 }, "number 1"},
		"overlap":   {func(r *Run) { r.Pulleys[2].Radius = 90 }, "overlap"},
		"direction": {func(r *Run) { r.Anticlockwise = true }, "against the belt's travel"},
		"side": {func(r *Run) {
			r.Pulleys[6].Back = false
			r.Pulleys[2].Back = false
			r.Pulleys[4].Back = false
			r.Pulleys[5].Back = true
		}, "no belt lies round"},
		"thick":     {func(r *Run) { r.Thickness = math.Inf(1) }, "thickness"},
		"tensioner": {func(r *Run) { r.Tensioner.Pulley = 12 }, "number 12"},
		"stops":     {func(r *Run) { r.Tensioner.Low = 3 }, "stops"},
		"mark":      {func(r *Run) { r.Tensioner.Marks[0].At = math.NaN() }, "mark"},
		"href":      {func(r *Run) { r.Pulleys[1].Href = "data:text/html,x" }, "address"},
	} {
		r := sampleRun("")
		c.spoil(&r)
		f, err := BeltRun(r)
		if err == nil || f.SVG != "" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got error %v, want one that says %q", name, err, c.says)
		}
	}
}

// Names and lengths stand clear of the belt, the pulleys, the page's edge and
// each other, at phone and desk width.
func TestRunLabelsStandClear(t *testing.T) {
	for _, width := range []float64{360, 640} {
		spec := sampleRun("")
		spec.Width = width
		if err := spec.check(); err != nil {
			t.Fatal(err)
		}
		s, err := newSheet(&spec)
		if err != nil {
			t.Fatal(err)
		}
		var c canvas
		p := s.labels(&c)
		if len(p.tags) < 7 {
			t.Errorf("at %g px only %d labels", width, len(p.tags))
		}
		tags := p.tags
		for i, g := range tags {
			p.tags = append(append([]*tag{}, tags[:i]...), tags[i+1:]...)
			if bad := p.trouble(g.box); bad > 0 {
				t.Errorf("at %g px %q collides (%g)", width, g.lines, bad)
			}
		}
	}
}

// What the caller knows better is what is written.
func TestGivenFiguresAreWritten(t *testing.T) {
	f, err := BeltRun(sampleSlide())
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{">145<", "54°"} {
		if !strings.Contains(string(f.SVG), want) {
			t.Errorf("%s is not on the drawing", want)
		}
	}
}

// The clipped test agrees with walking along the segment.
func TestBoxMeetsLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := func(name string) float64 { return rapid.Float64Range(-10, 10).Draw(t, name) }
		b := frameBox{-3, -2, 4, 1}
		p, q, r := place{at("px"), at("py")}, place{at("qx"), at("qy")}, rapid.Float64Range(0, 2).Draw(t, "r")
		walk := func(r float64) bool {
			for i := range 2001 {
				f := float64(i) / 2000
				x, y := p.x+f*(q.x-p.x), p.y+f*(q.y-p.y)
				if x >= b.x0-r && x <= b.x1+r && y >= b.y0-r && y <= b.y1+r {
					return true
				}
			}
			return false
		}
		if got := boxMeets(b, p, q, r); got && !walk(r+.02) || !got && walk(r-.02) {
			t.Fatalf("%v to %v, %g: %v", p, q, r, got)
		}
	})
}
