package lifetime

import "math"

// problem is a likelihood ready to be maximised: logs taken, covariates centred and scaled. Its
// parameters are the coefficients, the intercept first, and then ln sigma.
type problem struct {
	family Family
	obs    []logged
	p      int // coefficients, with the intercept
	centre []float64
	spread []float64  // scale of each covariate; both without the intercept
	plain  *plainSums // set where the observations allow the short way
}

// plainSums serve a Weibull problem without covariates or intervals, whose terms are few.
type plainSums struct {
	failures, sumY float64     // of failures
	terms          []powerTerm // e^z counts weight times
}

// logged is an observation with logarithms of its ages. entry is -Inf for 0.
type logged struct {
	outcome          Outcome
	y, upper, entry  float64
	weight           float64
	x                []float64 // 1 and the scaled covariates
	entered, fromNew bool      // entry above 0; Between or FoundFailed whose lower end is 0
}

func logObservation(o Observation) logged {
	l := logged{
		outcome: o.Outcome, weight: o.weight(),
		y: math.Log(o.Age), entry: math.Inf(-1), entered: o.Entry > 0,
	}
	if l.entered {
		l.entry = math.Log(o.Entry)
	}
	switch o.Outcome {
	case Between:
		l.upper, l.fromNew = math.Log(o.Upper), o.Age == 0
	case FoundFailed: // failed between entry and Age
		l.outcome, l.y, l.upper, l.fromNew = Between, l.entry, l.y, o.Entry == 0
	}
	return l
}

// slopes are the derivatives of one log-likelihood term by the location e and by s = ln sigma.
type slopes struct{ v, e, s, ee, es, ss float64 }

// add adds a term g(z), z = (y-e)/sigma, with the chain rule dz/de = -1/sigma, dz/ds = -z.
func (d *slopes) add(g curve, z, inv, sign float64) {
	d.v += sign * g.v
	d.e -= sign * g.d1 * inv
	d.s -= sign * g.d1 * z
	d.ee += sign * g.d2 * inv * inv
	d.es += sign * inv * (g.d2*z + g.d1)
	d.ss += sign * z * (g.d2*z + g.d1)
}

// term returns the log-likelihood of one observation of weight 1 with its derivatives.
// Exact f(t)/R(entry), running R(t)/R(entry), between (R(l)-R(u))/R(entry).
func (l *logged) term(f Family, e, logSigma, inv float64) slopes {
	var d slopes
	switch l.outcome {
	case Failed:
		z := (l.y - e) * inv
		d.add(f.logDensity(z), z, inv, 1)
		d.v -= logSigma + l.y
		d.s--
	case Running:
		if !math.IsInf(l.y, -1) {
			z := (l.y - e) * inv
			d.add(f.logSurvival(z), z, inv, 1)
		}
	case Between:
		d = l.between(f, e, inv)
	}
	if l.entered {
		z := (l.entry - e) * inv
		d.add(f.logSurvival(z), z, inv, -1)
	}
	return d
}

func (l *logged) between(f Family, e, inv float64) slopes {
	zb := (l.upper - e) * inv
	if l.fromNew {
		return failedBy(f, zb, inv)
	}
	za := (l.y - e) * inv
	g := f.logBetween(za, zb)
	sum, bend := g.a+g.b, g.aa+2*g.ab+g.bb
	first := g.a*za + g.b*zb
	mixed := g.aa*za + g.ab*(za+zb) + g.bb*zb
	return slopes{
		v: g.v, e: -sum * inv, s: -first,
		ee: bend * inv * inv, es: inv * (mixed + sum),
		ss: g.aa*za*za + 2*g.ab*za*zb + g.bb*zb*zb + first,
	}
}

// failedBy is the term of ln F(z).
func failedBy(f Family, z, inv float64) slopes {
	v := 0.0
	if f == Lognormal { // F(z) = S(-z) keeps its digits far down
		v = normalLogSurvival(-z)
	} else {
		v = math.Log(-math.Expm1(f.logSurvivalValue(z)))
	}
	fz := f.logDensity(z)
	r := math.Exp(fz.v - v)
	var d slopes
	d.add(curve{v, r, r*fz.d1 - r*r}, z, inv, 1)
	return d
}

// evaluate returns the log-likelihood at par and fills its gradient and Hessian (row-major,
// len(par) squared).
func (p *problem) evaluate(par, grad, hess []float64) float64 {
	if p.plain != nil {
		return p.plain.evaluate(par, grad, hess)
	}
	n := len(par)
	clear(grad)
	clear(hess)
	logSigma := par[n-1]
	inv := math.Exp(-logSigma)
	total := 0.0
	for i := range p.obs {
		o := &p.obs[i]
		e := par[0]
		for j := 1; j < p.p; j++ {
			e += par[j] * o.x[j]
		}
		d := o.term(p.family, e, logSigma, inv)
		total += o.weight * d.v
		p.accumulate(o, d, grad, hess)
	}
	for i := range n {
		for j := range i {
			hess[i*n+j] = hess[j*n+i]
		}
	}
	return total
}

// accumulate adds one term to the gradient and to the upper half of the Hessian.
func (p *problem) accumulate(o *logged, d slopes, grad, hess []float64) {
	n, w := p.p+1, o.weight
	grad[n-1] += w * d.s
	hess[n*n-1] += w * d.ss
	if p.p == 1 {
		grad[0] += w * d.e
		hess[0] += w * d.ee
		hess[1] += w * d.es
		return
	}
	for j := range p.p {
		grad[j] += w * d.e * o.x[j]
		hess[j*n+n-1] += w * d.es * o.x[j]
		for k := j; k < p.p; k++ {
			hess[j*n+k] += w * d.ee * o.x[j] * o.x[k]
		}
	}
}

// shorten sets plain where that is possible.
func (p *problem) shorten() {
	if p.family == Lognormal || p.p > 1 {
		return
	}
	s := &plainSums{terms: make([]powerTerm, 0, len(p.obs))}
	for i := range p.obs {
		o := &p.obs[i]
		if o.outcome == Between {
			return
		}
		if o.outcome == Failed {
			s.failures += o.weight
			s.sumY += o.weight * o.y
		}
		if !math.IsInf(o.y, -1) {
			s.terms = append(s.terms, powerTerm{o.y, o.weight})
		}
		if o.entered {
			s.terms = append(s.terms, powerTerm{o.entry, -o.weight})
		}
	}
	p.plain = s
}

// evaluate is problem.evaluate by the sums of e^z, z e^z and z² e^z.
func (s *plainSums) evaluate(par, grad, hess []float64) float64 {
	e, logSigma := par[0], par[1]
	inv := math.Exp(-logSigma)
	var e0, e1, e2 float64
	for _, t := range s.terms {
		z := (t.y - e) * inv
		x := t.weight * math.Exp(z)
		e0 += x
		e1 += x * z
		e2 += x * z * z
	}
	sumZ := (s.sumY - s.failures*e) * inv
	grad[0] = -inv * (s.failures - e0)
	grad[1] = e1 - sumZ - s.failures
	hess[0] = -inv * inv * e0
	hess[1] = inv * (s.failures - e0 - e1)
	hess[2] = hess[1]
	hess[3] = sumZ - e2 - e1
	return sumZ - s.failures*logSigma - s.sumY - e0
}
