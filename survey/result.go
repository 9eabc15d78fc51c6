package survey

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"undertray.example/undertray/drive"
)

// Place is how surely one pulley is placed: standard deviations, mm. The first pulley is where all are measured
// from, and the second is sure across its direction, since a run may be turned at will.
type Place struct {
	Pulley     string
	XSD, YSD   float64
	XYCov      float64 // covariance, mm2
	DiameterSD float64
}

// Fit is how a measure agrees with all others.
type Fit struct {
	Measure
	MisfitMM float64 // what the adjusted run has, less what was measured
	// Share of the measure's own word in the value it now has, 0 to 1: at 1 nothing else checks it and the misfit
	// is 0 whatever was read.
	Share float64
	// Odd is the misfit over its own standard deviation (Baarda 1968): beyond 3 a slip is likely. 0 where unchecked.
	Odd float64
}

// Rim is where a rim is taken to be on the photograph.
type Rim struct {
	Pulley string
	At     []Touch // edges of the picture, or touches as they were marked
	Edges  bool    // which of the two
	RmsPX  float64 // how far they are from the adjusted rim
	// Outline is the rim as adjusted, from one place on the picture to the next all round.
	Outline []Touch
}

// Mirror is another layout that fits the measures as well: one pulley on the other side of a line.
type Mirror struct {
	Pulley    string
	Centre    drive.Point // where it would be, mm
	LengthMM  float64     // effective length then
	ChiSquare float64
}

// Proposal is a measure that may be taken, and what it would do.
type Proposal struct {
	Measure            // MM is what it is expected to read
	LengthSDMM float64 // of the effective length, afterwards
}

// Result is an adjusted run.
type Result struct {
	Run        drive.Run // as given, with centres and diameters as adjusted, without its tensioner
	Pulleys    []Place
	LengthMM   float64 // effective length of the belt as the pulleys stand
	LengthSDMM float64
	Fits       []Fit
	Rims       []Rim      // photograph only
	Camera     Camera     // photograph only
	ChiSquare  float64    // sum of squares of all misfits over their standard errors
	Freedom    int        // how many of them check one another; ChiSquare is expected to be about as large
	Mirrors    []Mirror   // tape measure only
	Next       []Proposal // measures that would tell most of the length, best first

	p   *problem
	x   []float64
	cov *mat.SymDense
}

// BandMM is the range that holds the effective length with a chance such as 0.9.
func (r *Result) BandMM(chance float64) (lo, hi float64) {
	return band(r.LengthMM, r.LengthSDMM, chance)
}

func band(mid, sd, chance float64) (lo, hi float64) {
	k := Half(chance)
	return mid - k*sd, mid + k*sd
}

// Half is how many standard deviations either way hold a value with a chance such as 0.9.
func Half(chance float64) float64 {
	return distuv.UnitNormal.Quantile(0.5 + min(max(chance, 0), 0.999999)/2)
}

// Halving is the measure that brings the standard deviation of the length to half or less, or as near to that as one
// measure can; false where nothing helps.
func (r *Result) Halving() (Proposal, bool) {
	if len(r.Next) == 0 {
		return Proposal{}, false
	}
	return r.Next[0], true
}

// After is the effective length of a run made from this one by a change, such as [drive.Run.Without], and its
// standard deviation, mm. What is unsure of this run is carried through the change.
func (r *Result) After(change func(drive.Run) (drive.Run, error)) (mm, sdMM float64, err error) {
	length := func(x []float64) float64 {
		run, e := change(r.p.at(x))
		if e == nil {
			var d *drive.Drive
			if d, e = drive.New(run); e == nil {
				return d.Drawn().EffectiveMM
			}
		}
		err = cmp.Or(err, e)
		return 0
	}
	mm = length(r.x)
	if err != nil {
		return 0, 0, err
	}
	sdMM = r.spread(length)
	return mm, sdMM, err
}

// spread is the standard deviation of something worked out from the pulleys.
func (r *Result) spread(of func(x []float64) float64) float64 {
	g := r.slope(of)
	return math.Sqrt(mat.Inner(g, r.cov, g))
}

// slope is how something worked out from the pulleys changes with the unknowns.
func (r *Result) slope(of func(x []float64) float64) *mat.VecDense {
	g := mat.NewVecDense(len(r.x), nil)
	x := slices.Clone(r.x)
	part := fd.Gradient(nil, func(head []float64) float64 {
		copy(x, head)
		return of(x)
	}, slices.Clone(r.x[:r.p.size()]), &fd.Settings{Formula: fd.Central})
	copy(g.RawVector().Data, part)
	return g
}

func (p *problem) result(x []float64, cov *mat.SymDense) (*Result, error) {
	r := &Result{Run: p.at(x), p: p, x: x, cov: cov, Freedom: p.count() - len(x), ChiSquare: 2 * p.cost(x)}
	length := func(x []float64) float64 { return p.shape(x).length() }
	r.LengthMM, r.LengthSDMM = length(x), r.spread(length)
	if !within(r.LengthSDMM, 0, mostMM) || !within(r.LengthMM, 0, 20*mostMM) {
		return nil, fault(NotSettled, 0)
	}
	n := len(p.run.Pulleys)
	for i := range p.run.Pulleys {
		var px, py []float64 // places of the centre's coordinates among the unknowns, as weights
		px, py = make([]float64, len(x)), make([]float64, len(x))
		switch {
		case i == 1:
			px[n], py[n] = p.bear.X*unit, p.bear.Y*unit
		case i > 1:
			px[n+2*i-3], py[n+2*i-2] = unit, unit
		}
		gx, gy := mat.NewVecDense(len(x), px), mat.NewVecDense(len(x), py)
		r.Pulleys = append(r.Pulleys, Place{p.run.Pulleys[i].Name, math.Sqrt(mat.Inner(gx, cov, gx)),
			math.Sqrt(mat.Inner(gy, cov, gy)), mat.Inner(gx, cov, gy), unit * math.Sqrt(cov.At(i, i))})
	}
	s := p.shape(x)
	for i := range p.ms {
		m := &p.ms[i]
		f := Fit{Measure: m.Measure, MisfitMM: m.of(s) - m.MM}
		sd := r.spread(func(x []float64) float64 { return m.of(p.shape(x)) })
		f.Share = min(sd*sd/(m.SDMM*m.SDMM), 1)
		if f.Share < 0.99 {
			f.Odd = f.MisfitMM / (m.SDMM * math.Sqrt(1-f.Share))
		}
		r.Fits = append(r.Fits, f)
	}
	r.propose(length)
	if p.photo != nil {
		r.tellPhoto(s)
	}
	return r, nil
}

// proposals is how many are given.
const proposals = 6

// propose ranks measures by what is expected of the length's variance once they are taken: v - (g'Ca)^2 / (s^2 +
// a'Ca), the update of least squares by one more row a of standard error s.
func (r *Result) propose(length func([]float64) float64) {
	var cg mat.VecDense
	cg.MulVec(r.cov, r.slope(length))
	try := func(k Kind, i, j int) {
		m := taken{Measure{Kind: k, A: r.p.run.Pulleys[i].Name, SDMM: k.UsualSD()}, i, j}
		if k.pair() {
			m.B = r.p.run.Pulleys[j].Name
		}
		of := func(x []float64) float64 { return m.of(r.p.shape(x)) }
		a := r.slope(of)
		gain := mat.Dot(a, &cg)
		left := r.LengthSDMM*r.LengthSDMM - gain*gain/(m.SDMM*m.SDMM+mat.Inner(a, r.cov, a))
		m.MM = of(r.x)
		if m.MM > 0 {
			r.Next = append(r.Next, Proposal{m.Measure, math.Sqrt(max(left, 0))})
		}
	}
	for i := range r.p.run.Pulleys {
		try(Diameter, i, i)
		for j := range i {
			for _, k := range []Kind{Centres, Over, Gap} {
				try(k, j, i)
			}
		}
	}
	slices.SortStableFunc(r.Next, func(a, b Proposal) int { return cmp.Compare(a.LengthSDMM, b.LengthSDMM) })
	r.Next = r.Next[:min(len(r.Next), proposals)]
}

const corners = 48 // of a rim's outline

func (r *Result) tellPhoto(s *shape) {
	p, c := r.p, r.x[r.p.size():]
	v := p.photo.view(c)
	at := func(k int) int { return p.size() + k }
	r.Camera = Camera{TiltDeg: math.Acos(min(-v.turn[2].Z, 1)) * 180 / math.Pi, AwayMM: v.eye.Z, FocalPX: v.focal,
		FocalSDPX: v.focal * math.Sqrt(r.cov.At(at(cFocal), at(cFocal))), Lens: v.term}
	for i := range p.photo.rims {
		rim := Rim{Pulley: p.run.Pulleys[i].Name}
		for _, t := range p.photo.touches {
			if t.rim == i {
				px, _, _ := v.off(t.at, s.c[i], s.d[i]/2, c[cOut+i]*unit)
				rim.At, rim.Edges, rim.RmsPX = append(rim.At, t.at), t.edge, math.Hypot(rim.RmsPX, px)
			}
		}
		rim.RmsPX /= math.Sqrt(float64(len(rim.At)))
		for k := range corners {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / corners)
			rim.Outline = append(rim.Outline, v.sees(s.c[i].X+s.d[i]/2*cos, s.c[i].Y+s.d[i]/2*sin, c[cOut+i]*unit))
		}
		r.Rims = append(r.Rims, rim)
	}
}
