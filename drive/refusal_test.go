package drive

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// reason is the reason of the first refusal in an error.
func reason(err error) Reason {
	var r *Refusal
	if errors.As(err, &r) {
		return r.Reason
	}
	return NoFault
}

func TestWrongRunsSayWhatIsWrong(t *testing.T) {
	cases := []struct {
		name   string
		change func(*Run)
		reason Reason
		names  []string // in the error: its code and arguments
	}{
		{"pulley inside", func(r *Run) { r.Pulleys[2].Centre = Point{10, 10} }, PulleyInside,
			[]string{`pulley inside another "alternator" "crank"`}},
		{"overlap", func(r *Run) { r.Pulleys[1].Centre = Point{100, 0} }, PulleysOverlap,
			[]string{`pulleys overlap "crank" "compressor"`}},
		{"inside on the wrong side", func(r *Run) {
			r.Pulleys[3].Side, r.Pulleys[3].Centre = RibSide, Point{120, 60}
		}, DoesNotClose,
			[]string{"turns round revolutions=2"}},
		{"swapped", func(r *Run) { r.Pulleys[1], r.Pulleys[2] = r.Pulleys[2], r.Pulleys[1] }, WrongOrder,
			[]string{"wrong order"}},
		{"wrong side", func(r *Run) { r.Pulleys[3].Side = RibSide }, NotReached,
			[]string{"tensioner"}},
		{"backwards", func(r *Run) { r.DriverTurns = Clockwise }, TurnsBackwards,
			[]string{`turns anticlockwise "crank"`}},
		{"one pulley", func(r *Run) { r.Pulleys = r.Pulleys[:1] }, PulleyCount, []string{"pulleys=1 least=2 most=20"}},
		{"no driver", func(r *Run) { r.Pulleys[0].Driver = false }, BadInput, []string{"drivers=0"}},
		{"not a number", func(r *Run) {
			r.Pulleys[2].Centre.X = math.NaN()
		}, BadInput, []string{`centre pulley="alternator" x=NaNmm`}},
		{"no diameter", func(r *Run) {
			r.Pulleys[2].DiameterMM = 0
		}, BadInput, []string{`diameter pulley="alternator" diameter=0mm`}},
		{"same name", func(r *Run) { r.Pulleys[2].Name = "pump" }, BadInput, []string{`name twice pulley="pump"`}},
		{"no such tensioner", func(r *Run) {
			r.Tensioner.Pulley = "jockey"
		}, BadInput, []string{`tensioner pulley pulley="jockey"`}},
		{"stops", func(r *Run) { r.Tensioner.Low = 5 }, BadInput, []string{"low=5degrees high=20degrees"}},
		{"load table", func(r *Run) {
			r.Pulleys[1].Load = Load{Kind: TorqueLoad, Table: []LoadPoint{{900, 1}, {800, 2}}}
		}, BadInput,
			[]string{"load order", "from=900rpm to=800rpm"}},
	}
	for _, c := range cases {
		r := reference()
		c.change(&r)
		_, err := New(r)
		if got := reason(err); got != c.reason {
			t.Errorf("%s: reason %v, want %v (%v)", c.name, got, c.reason, err)
			continue
		}
		for _, w := range c.names {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not say %q", c.name, err, w)
			}
		}
	}
}

func TestAllFaultsOfInputComeAtOnce(t *testing.T) {
	r := reference()
	r.Pulleys[1].DiameterMM, r.Pulleys[2].DiameterMM, r.Belt.Ribs = -1, math.Inf(1), 0
	_, err := New(r)
	for _, w := range []string{"compressor", "alternator", "ribs=0"} {
		if err == nil || !strings.Contains(err.Error(), w) {
			t.Errorf("%q does not mention %q", err, w)
		}
	}
}

func TestGeometryFaultsOfTheKernel(t *testing.T) {
	third := func(x, y float64) []Circle {
		return []Circle{{R: 50, Rim: 50, Turn: 1}, {X: 400, R: 50, Rim: 50, Turn: 1},
			{X: x, Y: y, R: 30, Rim: 30, Turn: -1}}
	}
	cases := []struct {
		name string
		cs   []Circle
		want Reason
	}{
		{"no tangent", []Circle{{R: 100, Turn: 1}, {X: 30, R: 20, Turn: 1}}, NoTangent},
		{"crossed needs room", []Circle{{R: 100, Turn: 1}, {X: 110, R: 20, Turn: -1}}, NoTangent},
		{"figure of eight", []Circle{{R: 50, Turn: 1}, {X: 300, R: 50, Turn: -1}}, DoesNotClose},
		{"place in the order", []Circle{
			{R: 50, Rim: 50, Turn: 1}, {X: 400, R: 50, Rim: 50, Turn: 1}, {X: 400, Y: 400, R: 50, Rim: 50, Turn: 1},
			{X: 200, Y: -60, R: 30, Rim: 30, Turn: 1}}, DoesNotClose},
		{"too large", []Circle{{X: 1e300, R: 50, Turn: 1}, {X: -1e300, R: 50, Turn: 1}}, BadInput},
		{"fine", third(200, 60), NoFault},
	}
	var s Solver
	for _, c := range cases {
		p, f := s.Solve(c.cs)
		if f.OK() {
			f = s.Check(c.cs, p)
		}
		if f.Reason != c.want {
			t.Errorf("%s: %v, want %v", c.name, f.Reason, c.want)
		}
	}
	if _, f := s.Solve(make([]Circle, 21)); f.Reason != PulleyCount {
		t.Errorf("21 pulleys: %v", f.Reason)
	}
}

func TestASpanThroughAThirdPulleyIsRefused(t *testing.T) {
	r := Run{
		Pulleys: []Pulley{
			{Name: "crank", Centre: Point{0, 0}, DiameterMM: 150, Driver: true},
			{Name: "pump", Centre: Point{400, 0}, DiameterMM: 120},
			{Name: "alternator", Centre: Point{200, 300}, DiameterMM: 60},
			{Name: "idler", Centre: Point{200, 120}, DiameterMM: 80, Measured: Plain, Side: BackSide},
			{Name: "fan", Centre: Point{0, 300}, DiameterMM: 100},
		},
		Belt: Belt{Section: PK(), Ribs: 5}, Tensioner: Tensioner{SetN: 300},
	}
	r.Pulleys[3].Centre = Point{310, 160}
	r.Pulleys[3], r.Pulleys[4] = r.Pulleys[4], r.Pulleys[3]
	_, err := New(r)
	if got := reason(err); got != SpanBlocked {
		t.Fatalf("reason %v: %v", got, err)
	}
	for _, w := range []string{`span through a third pulley "pump" "alternator" "idler"`} {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%q does not say %q", err, w)
		}
	}
}

// Random circles meet every fault of the geometry, and each fault found is
// confirmed by walking along the span.
func TestGeometryFaultsAreReal(t *testing.T) {
	src, seen := rand.New(rand.NewPCG(7, 8)), map[Reason]int{}
	var s Solver
	for range 20_000 {
		cs := make([]Circle, 3+src.IntN(5))
		for i := range cs {
			r := 20 + 60*src.Float64()
			cs[i] = Circle{500 * src.Float64(), 500 * src.Float64(), r, r, 1}
			if src.IntN(3) == 0 {
				cs[i].Turn = -1
			}
		}
		p, f := s.Solve(cs)
		if f.OK() {
			f = s.Check(cs, p)
		}
		seen[f.Reason]++
		switch f.Reason {
		case SpanBlocked:
			if least := walkTo(p.Spans[f.A], cs[f.C]); least > cs[f.C].Rim {
				t.Fatalf("span called blocked passes at %g of a rim of %g", least, cs[f.C].Rim)
			}
		case NoFault:
			for i, sp := range p.Spans {
				for k, c := range cs {
					if k != i && k != (i+1)%len(cs) && walkTo(sp, c) < c.Rim-1e-3 {
						t.Fatal("a blocked span got through")
					}
				}
			}
		}
	}
	for _, r := range []Reason{NoFault, PulleyInside, PulleysOverlap, NoTangent, SpanBlocked, SpansCross,
		NotReached, DoesNotClose} {
		if seen[r] == 0 {
			t.Errorf("no case of %v in 20 000", r)
		}
	}
}

// walkTo is the least distance from the points of a span to a centre.
func walkTo(sp Span, c Circle) float64 {
	least := math.Inf(1)
	for k := range 501 {
		f := sp.LengthMM * float64(k) / 500
		least = math.Min(least, math.Hypot(sp.From.X+f*sp.Dir.X-c.X, sp.From.Y+f*sp.Dir.Y-c.Y))
	}
	return least
}

func TestSuggestionsWork(t *testing.T) {
	base := slackSide()
	for i := range base.Pulleys {
		for j := range i {
			r := base.clone()
			r.Pulleys[i], r.Pulleys[j] = r.Pulleys[j], r.Pulleys[i]
			_, err := New(r)
			if err == nil {
				continue
			}
			var ref *Refusal
			if !errors.As(err, &ref) || len(ref.Suggestions) == 0 {
				t.Errorf("swapping %d and %d: no suggestion in %v", i, j, err)
				continue
			}
			for _, s := range ref.Suggestions {
				if _, err := New(s.Run); err != nil {
					t.Errorf("%s: %v", s.Code, err)
				}
			}
		}
	}
}

func TestEveryReasonHasItsWords(t *testing.T) {
	for r := NoFault; r <= NoTension; r++ {
		if s := r.String(); s == "" || strings.HasPrefix(s, "reason") {
			t.Errorf("reason %d has no words", r)
		}
	}
	if int(NoTension) != len(reasonText)-1 {
		t.Error("texts and reasons differ in number")
	}
}
