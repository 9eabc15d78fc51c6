package survey

import (
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undertray.example/undertray/drive"
)

// Tape adjusts a run to measures by tape and calliper. The centres of the run are its sketch: roughly where the
// pulleys are, in any scale; it settles which of several mirrored layouts is meant. Diameters of the run are used as a
// beginning only. Errors: *[Fault] or *[drive.Refusal].
func Tape(run drive.Run, measures []Measure) (*Result, error) {
	p, err := newProblem(run, measures)
	if err != nil {
		return nil, err
	}
	x, err := p.sketch()
	if err != nil {
		return nil, err
	}
	if len(p.ms) == 0 {
		return nil, p.undetermined(slices.Repeat([]bool{true}, len(x)))
	}
	r, err := p.finish(x)
	if err != nil {
		return nil, err
	}
	r.Mirrors = p.mirrors(r)
	return r, nil
}

// Photograph adjusts a run to a photograph of it, with any measures. One at least must tell how large things are: a
// diameter, a distance, or the length of the belt that is on. Centres and diameters of the run are not looked at;
// which side of the belt each pulley runs on and their order are. Errors: *[Fault] or *[drive.Refusal].
func Photograph(run drive.Run, photo Photo, measures []Measure) (*Result, error) {
	p, err := newProblem(run, measures)
	if err != nil {
		return nil, err
	}
	if p.photo, err = newPhoto(&p.run, &photo); err != nil {
		return nil, err
	}
	if len(p.ms) == 0 {
		return nil, fault(NoScale, 0)
	}
	p, x, err := p.likeliest()
	if err != nil {
		return nil, err
	}
	if photo.Grey != nil {
		if p, x, err = p.edged(photo.Grey, x); err != nil {
			return nil, err
		}
	}
	return p.finish(x)
}

const (
	traces     = 3   // in which edges are looked for
	mostMisled = 3   // rims whose edges are taken back after each
	rounds     = 4   // in which edges that are off are left out
	beginnings = 6   // that are tried, planes
	apartDeg   = 4.0 // apart at least
)

// edged puts edges of the picture in the place of touches: at first where the touches say, then nearer to where those
// edges say. Since edges tell better from where the picture was taken, all is begun afresh each time. A wrong edge
// taken for one rim would turn the whole picture, and the other rims lose theirs: it is taken back before.
func (p *problem) edged(g *image.Gray, x []float64) (*problem, []float64, error) {
	for k := range traces {
		p.trace(g, x, k > 0)
		var err error
		if p, x, err = p.likeliest(); err != nil {
			return nil, nil, err
		}
		for range mostMisled {
			q, y, ok := p.misled(x)
			if !ok {
				break
			}
			p, x = q, y
		}
		for range rounds {
			p.drop(x)
			if !p.solve(x, rough) {
				return nil, nil, fault(NotSettled, 0)
			}
		}
	}
	return p, x, nil
}

// likeliest adjusts the picture from each of its likeliest beginnings and keeps the best.
func (p *problem) likeliest() (best *problem, x []float64, err error) {
	all, err := p.starts()
	if err != nil {
		return nil, nil, err
	}
	var tried []r3.Vec
	least := math.Inf(1)
	for _, s := range all {
		near := func(n r3.Vec) bool { return r3.Dot(n, s.turn[2]) > math.Cos(apartDeg*math.Pi/180) }
		if slices.ContainsFunc(tried, near) {
			continue
		}
		if tried = append(tried, s.turn[2]); len(tried) > beginnings {
			break
		}
		q, y, err := p.begin(s)
		if err == nil && q.solve(y, rough) && q.cost(y) < least {
			best, x, least = q, y, q.cost(y)
		}
	}
	if best == nil {
		return nil, nil, fault(NotSettled, 0)
	}
	return best, x, nil
}

func newProblem(run drive.Run, ms []Measure) (*problem, error) {
	n := len(run.Pulleys)
	if !within(float64(n), drive.MinPulleys, drive.MaxPulleys) {
		return nil, &drive.Refusal{Reason: drive.PulleyCount, Code: drive.Code(drive.PulleyCount.String())}
	}
	run.Tensioner = drive.Tensioner{}
	t, err := take(&run, ms)
	if err != nil {
		return nil, err
	}
	return &problem{run: run, ms: t}, nil
}

// sketch is where the tape-measure mode begins: the sketch, as large as the measures say.
func (p *problem) sketch() ([]float64, error) {
	n := len(p.run.Pulleys)
	s := &shape{make([]drive.Point, n), make([]float64, n), nil}
	for i, q := range p.run.Pulleys {
		if !within(q.Centre.X, -mostMM, mostMM) || !within(q.Centre.Y, -mostMM, mostMM) {
			return nil, fault(BadNumber, q.Centre.X, q.Name)
		}
		for j := range i {
			if q.Centre == s.c[j] {
				return nil, fault(NoSketch, 0, p.run.Pulleys[j].Name, q.Name)
			}
		}
		s.c[i], s.d[i] = q.Centre, usualMM
		if within(q.DiameterMM, 1, mostMM) {
			s.d[i] = q.DiameterMM
		}
	}
	for i := range p.ms {
		if m := &p.ms[i]; m.Kind == Diameter {
			s.d[m.a] = m.MM
		}
	}
	var told, seen float64
	for i := range p.ms {
		m := &p.ms[i]
		if !m.Kind.pair() {
			continue
		}
		d := math.Hypot(s.c[m.a].X-s.c[m.b].X, s.c[m.a].Y-s.c[m.b].Y)
		told, seen = told+d*(m.MM-m.of(s)+d), seen+d*d
	}
	f := 1.0
	if told > 0 {
		f = told / seen
	}
	for i := range s.c {
		s.c[i].X, s.c[i].Y = s.c[i].X*f, s.c[i].Y*f
	}
	far := math.Hypot(s.c[1].X-s.c[0].X, s.c[1].Y-s.c[0].Y)
	p.bear = drive.Point{X: (s.c[1].X - s.c[0].X) / far, Y: (s.c[1].Y - s.c[0].Y) / far}
	return p.unknowns(s), nil
}

const (
	mirrorChi = 4   // how much worse, in squares, another layout may fit
	mirrorMM  = 1   // how far a distance between centres must differ to make it another layout
	hopeless  = 500 // squares before adjusting beyond which no other layout is tried
)

// mirrors lays each pulley on the other side of the line through two others it was measured from, adjusts again, and
// keeps what fits as well, is another layout, and lets the belt go round.
func (p *problem) mirrors(r *Result) (out []Mirror) {
	known := []*shape{p.shape(r.x)}
	for i := len(p.run.Pulleys) - 1; i >= 0; i-- {
		by := p.partners(i)
		for k, a := range by {
			for _, b := range by[:k] {
				q := *p
				s := q.shape(r.x)
				s.c[i] = reflected(s.c[i], s.c[a], s.c[b])
				x := q.unknowns(s)
				if !(q.cost(x) < r.ChiSquare+hopeless) || !q.solve(x, exact) || 2*q.cost(x) > r.ChiSquare+mirrorChi {
					continue
				}
				s = q.shape(x)
				if slices.ContainsFunc(known, s.like) || q.lay(x) != nil {
					continue
				}
				known = append(known, s)
				out = append(out, Mirror{p.run.Pulleys[i].Name, s.c[i], q.shape(x).length(), 2 * q.cost(x)})
			}
		}
	}
	return out
}

// partners are the pulleys one was measured from.
func (p *problem) partners(i int) (out []int) {
	for k := range p.ms {
		m := &p.ms[k]
		for _, j := range []int{m.a, m.b} {
			if m.Kind.pair() && (m.a == i || m.b == i) && j != i && !slices.Contains(out, j) {
				out = append(out, j)
			}
		}
	}
	return out
}

func reflected(c, a, b drive.Point) drive.Point {
	ux, uy := b.X-a.X, b.Y-a.Y
	t := ((c.X-a.X)*ux + (c.Y-a.Y)*uy) / (ux*ux + uy*uy)
	return drive.Point{X: 2*(a.X+t*ux) - c.X, Y: 2*(a.Y+t*uy) - c.Y}
}

// like reports whether two shapes are the same, or one the other's mirror image as a whole.
func (s *shape) like(o *shape) bool {
	for i := range s.c {
		for j := range i {
			d := math.Hypot(s.c[i].X-s.c[j].X, s.c[i].Y-s.c[j].Y) - math.Hypot(o.c[i].X-o.c[j].X, o.c[i].Y-o.c[j].Y)
			if math.Abs(d) > mirrorMM {
				return false
			}
		}
	}
	return true
}
