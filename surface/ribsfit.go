package surface

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
)

const (
	// grooveDeep is by how much a groove, as it is seen, lies below the tips, mm, and its standard deviation.
	grooveDeep, grooveSpread = 0.8, 0.5
	// lineStray is the standard deviation of a rib's border from its place, as it is seen, in pitches: wear, dirt and
	// shadows move it all along.
	lineStray = 0.012
	// usualFocal is the focal length of a telephone's main camera, in diagonals of its picture (24 to 28 mm where the
	// diagonal of the film is 43.3 mm: common practice), and focalSpread the standard deviation of its logarithm.
	usualFocal, focalSpread = 0.6, 0.12
	// cutFocal and cutSpread stand for those of a picture of less than wholePicture px: it may be a piece of another.
	cutFocal, cutSpread = 1.0, 0.4
	wholePicture        = 4_000_000
	// centreSpread is the standard deviation of where the camera's axis goes through a picture, in diagonals: people
	// crop.
	centreSpread = 0.04
)

// fit finds the pose of a belt from its grooves, by least squares over the distances of sightings from its lines
// (Gauss and Newton, after Levenberg and Marquardt damped), with what is known beforehand as further terms.
type fit struct {
	first    pose // where it began
	seen     []sighting
	knots    int
	spread   float64 // of the focal length's logarithm
	crop     float64 // px, standard deviation of the axis's place
	from, to float64 // mm along
	off      float64 // pitches by which tips lie further across than the middles between the places' lines
	x        []float64
	covar    [][]float64
	rms      float64
	cost     float64
	// Bayes's, of the course that was kept
	criterion float64
}

// The unknowns, by their places in x: each about 1 where it is one standard deviation, or small.
const (
	xFocal = iota // logarithm
	xTurn         // of across in the picture, radians
	xLean         // of across away from the camera, radians
	xOff          // px in the picture, square to the belt
	xFar          // logarithm of the distance
	xCropX        // centreSpread of the picture's diagonal by which the camera's axis lies off its middle
	xCropY
	xDeep  // grooveSpread by which grooves lie deeper
	xTilts // and on
)

// unknowns is how many there are: strays of inner lines come last.
func (f *fit) unknowns() int { return xTilts + f.knots + f.first.ribs - 1 }

// pose is what unknowns x stand for.
func (f *fit) pose(x []float64, p *pose) {
	first := &f.first
	nodes := p.nodes
	*p = *first
	p.nodes = nodes
	p.focal = first.focal * math.Exp(x[xFocal])
	turn := math.Atan2(first.across[1], first.across[0]) + x[xTurn]
	lean := x[xLean]
	p.across = vec3{math.Cos(turn) * math.Cos(lean), math.Sin(turn) * math.Cos(lean), math.Sin(lean)}
	p.e1 = vec3{-math.Sin(turn), math.Cos(turn), 0}
	p.e2 = cross(p.across, p.e1)
	z := first.at[2] * math.Exp(x[xFar]+x[xFocal])
	p.deep += grooveSpread * x[xDeep]
	p.centre = p.centre.plus(Point{x[xCropX], x[xCropY]}.times(f.crop))
	at := first.see(first.at).plus(Point{first.across[0], first.across[1]}.times(x[xOff]))
	p.at = vec3{(at.X - p.centre.X) / p.focal * z, (at.Y - p.centre.Y) / p.focal * z, z}
	p.knots, p.tilts = f.knotPlaces(), x[xTilts:xTilts+f.knots]
	p.walk(f.from, f.to)
}

func cross(a, b vec3) vec3 {
	return vec3{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func (f *fit) knotPlaces() []float64 {
	k := make([]float64, f.knots)
	for i := range k {
		if f.knots > 1 {
			k[i] = f.from + (f.to-f.from)*float64(i)/float64(f.knots-1)
		}
	}
	return k
}

// deviations are the terms of the sum: distances of sightings over their standard deviations and what is known
// beforehand.
func (f *fit) deviations(x []float64, p *pose, out []float64) []float64 {
	f.pose(x, p)
	out = out[:0]
	strays := x[xTilts+f.knots:]
	for i := range f.seen {
		s := &f.seen[i]
		s.off = p.offset(s, strays[s.line-1]*p.pitch*lineStray)
		out = append(out, s.fall*s.off/s.sd)
	}
	lean := (x[xLean] - leanOfOff*f.off) / leanSpread
	out = append(out, x[xFocal]/f.spread, lean, x[xTurn]/0.5, x[xCropX], x[xCropY], x[xDeep])
	for i := range f.knots {
		out = append(out, x[xTilts+i]/0.7)
		if i > 1 {
			out = append(out, (x[xTilts+i]-2*x[xTilts+i-1]+x[xTilts+i-2])/0.15)
		}
	}
	return append(out, strays...)
}

// run improves x until nothing changes.
func (f *fit) run() bool {
	n := f.unknowns()
	var p pose
	damp := 1e-4
	d := f.deviations(f.x, &p, nil)
	f.cost = sumSquares(d)
	for range 25 {
		normal, right := f.normal(d, &p)
		step, ok := []float64(nil), false
		next := make([]float64, n)
		var cost float64
		var dn []float64
		for range 6 {
			a := clone(normal)
			for i := range a {
				a[i][i] *= 1 + damp
			}
			if step, ok = solve(a, right, 1e-12); !ok {
				return false
			}
			for i := range next {
				next[i] = f.x[i] + step[i]
			}
			dn = f.deviations(next, &p, dn)
			if cost = sumSquares(dn); cost <= f.cost || math.IsNaN(f.cost) {
				break
			}
			damp *= 10
		}
		if !(cost <= f.cost) {
			break
		}
		gain := f.cost - cost
		copy(f.x, next)
		f.cost, d = cost, slices.Clone(dn)
		damp = max(damp/10, 1e-9)
		if gain < 1e-3 {
			break
		}
	}
	return !math.IsNaN(f.cost)
}

// normal is the matrix and the right side of the normal equations, by differences.
func (f *fit) normal(d []float64, p *pose) (a [][]float64, b []float64) {
	n := len(f.x)
	rows := make([][]float64, n)
	x := slices.Clone(f.x)
	for i := range n {
		h := 1e-4
		switch line := i - xTilts - f.knots; {
		case line >= 0:
			rows[i] = f.strayed(line, len(d))
			continue
		case i == xOff || i == xCropX || i == xCropY || i == xDeep:
			h = 1e-2
		}
		x[i] += h
		rows[i] = f.deviations(x, p, nil)
		x[i] -= h
		for k := range rows[i] {
			rows[i][k] = (rows[i][k] - d[k]) / h
		}
	}
	a, b = make([][]float64, n), make([]float64, n)
	for i := range n {
		a[i] = make([]float64, n)
		for j := range i + 1 {
			a[i][j] = dot(rows[i], rows[j])
			a[j][i] = a[i][j]
		}
		b[i] = -dot(rows[i], d)
	}
	return a, b
}

// strayed is by how much deviations change where a line strays: its sightings by its share of their pitch.
func (f *fit) strayed(line, n int) []float64 {
	row := make([]float64, n)
	for i, s := range f.seen {
		if s.line == line+1 {
			row[i] = -s.fall / s.sd * lineStray * s.pitch
		}
	}
	row[n-f.first.ribs+1+line] = 1
	return row
}

// weigh sets the weights of sightings by how far they are out of line (Tukey's biweight; its tuning constant 4.685 from
// memory), and the standard deviation of those in line.
func (f *fit) weigh() {
	off := make([]float64, len(f.seen))
	for i, s := range f.seen {
		off[i] = math.Abs(s.off)
	}
	sd := max(1.4826*median(off), 0.02)
	for i := range f.seen {
		s := &f.seen[i]
		u := s.off / (4.685 * sd)
		s.fall = 0
		if math.Abs(u) < 1 {
			s.fall = 1 - u*u
		}
		s.sd = sd
	}
	f.rms = sd
}

// settle sets the covariances of the unknowns.
func (f *fit) settle() bool {
	var p pose
	d := f.deviations(f.x, &p, nil)
	a, _ := f.normal(d, &p)
	f.covar = make([][]float64, len(f.x))
	for i := range f.x {
		e := make([]float64, len(f.x))
		e[i] = 1
		column, ok := solve(clone(a), e, 1e-12)
		if !ok {
			return false
		}
		f.covar[i] = column
	}
	return true
}

// draws is how many poses are drawn by lot to see how widely a value spreads.
const draws = 300

// lots are poses as likely as the fit leaves them: the normal distribution of the unknowns about the best.
func (f *fit) lots() []*pose {
	lower, ok := cholesky(f.covar)
	if !ok {
		return nil
	}
	r := rand.New(rand.NewPCG(1, 2)) // the same for all pictures: a reading can be repeated
	x, z := make([]float64, len(f.x)), make([]float64, len(f.x))
	out := make([]*pose, draws)
	for k := range out {
		for i := range z {
			z[i] = r.NormFloat64()
		}
		for i := range x {
			x[i] = f.x[i] + dot(lower[i][:i+1], z[:i+1])
		}
		out[k] = &pose{}
		f.pose(x, out[k])
		out[k].tilts = slices.Clone(out[k].tilts)
	}
	return out
}

// cholesky is the lower triangle whose product with its own transpose is a matrix.
func cholesky(a [][]float64) ([][]float64, bool) {
	l := clone(a)
	for i := range l {
		for j := range i + 1 {
			v := a[i][j] - dot(l[i][:j], l[j][:j])
			if i > j {
				l[i][j] = v / l[j][j]
				continue
			}
			if !(v > 0) {
				return nil, false
			}
			l[i][i] = math.Sqrt(v)
		}
	}
	return l, true
}

func sumSquares(v []float64) float64 { return dot(v, v) }

func dot(a, b []float64) (sum float64) {
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

func clone(a [][]float64) [][]float64 {
	out := make([][]float64, len(a))
	for i := range a {
		out[i] = slices.Clone(a[i])
	}
	return out
}

// solve solves a symmetric positive definite system and spoils its matrix; ok is false where a pivot is no more than
// least.
func solve(a [][]float64, b []float64, least float64) (x []float64, ok bool) {
	x = slices.Clone(b)
	n := len(x)
	for i := range n {
		if !(a[i][i] > least) {
			return nil, false
		}
		for j := i + 1; j < n; j++ {
			if k := a[j][i] / a[i][i]; k != 0 {
				for c := i; c < n; c++ {
					a[j][c] -= k * a[i][c]
				}
				x[j] -= k * x[i]
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		for j := i + 1; j < n; j++ {
			x[i] -= a[i][j] * x[j]
		}
		x[i] /= a[i][i]
	}
	return x, true
}

// lay sets a reading's frame and scales from the places of a belt.
func (b *belt) lay(r *Reading, o BeltOptions, p *image.Gray) (*fit, bool) {
	if b.ribs < 2 {
		return nil, false
	}
	w, h := float64(p.Rect.Dx()), float64(p.Rect.Dy())
	f := &fit{spread: 0.01, crop: centreSpread * math.Hypot(w, h)}
	f.first = pose{focal: o.Focal, centre: Point{(w - 1) / 2, (h - 1) / 2}, pitch: o.Pitch, ribs: b.ribs,
		deep: grooveDeep * o.Pitch / pitchPK}
	if o.Focal == 0 {
		f.first.focal, f.spread = usualFocal*math.Hypot(w, h), focalSpread
		if w*h < wholePicture {
			f.first.focal, f.spread = cutFocal*math.Hypot(w, h), cutSpread
		}
	}
	all := b.tipsOff()
	f.off = all[0].off
	if len(b.sightings(f)) < 6 || !f.choose(all) {
		return nil, false
	}
	return f, f.report(r, b)
}

// sightings measures each groove at each place, and sets where the fit begins. It returns the places that were used.
func (b *belt) sightings(f *fit) []place {
	var good []place
	for _, q := range b.places {
		if q.fit > 0.5 {
			good = append(good, q)
		}
	}
	if len(good) < 6 {
		return nil
	}
	middle := ((b.first+b.last())/2 - farRibs*perPitch) / perPitch
	m := len(good) / 2
	z := f.first.focal * f.first.pitch / good[m].pitch
	c := good[m].on(middle, 0)
	f.first.at = vec3{(c.X - f.first.centre.X) / f.first.focal * z, (c.Y - f.first.centre.Y) / f.first.focal * z, z}
	a := good[m].across()
	f.first.across = vec3{a.X, a.Y, 0}
	along := make([]float64, len(good))
	last := f.first.at
	run := func(i int, sign float64, from float64) {
		q := good[i]
		c := q.on(middle, 0)
		z := f.first.focal * f.first.pitch / q.pitch
		at := vec3{(c.X - f.first.centre.X) / f.first.focal * z, (c.Y - f.first.centre.Y) / f.first.focal * z, z}
		d := at.plus(-1, last)
		step := math.Sqrt(d[0]*d[0] + d[1]*d[1])
		along[i] = from + sign*step
		last = at
	}
	for i := m + 1; i < len(good); i++ {
		run(i, 1, along[i-1])
	}
	last = f.first.at
	for i := m - 1; i >= 0; i-- {
		run(i, -1, along[i+1])
	}
	margin := 0.15*(along[len(good)-1]-along[0]) + 5
	f.from, f.to = along[0]-margin, along[len(good)-1]+margin
	n := max(4, min(200, int(math.Ceil((f.to-f.from)/1.5))+1))
	gap := (f.to - f.from) / float64(n-1)
	shifts := b.grooveShifts(good)
	// Not more than sixty or so: a few next to each other are taken together.
	few := max(1, len(good)/60)
	for i := few / 2; i < len(good); i += few {
		q := good[i]
		for k := 1; k < b.ribs; k++ {
			var near []float64
			for j := max(0, i-few/2); j <= min(len(good)-1, i+(few-1)/2); j++ {
				if s := shifts[j][k-1]; !math.IsNaN(s) {
					moved := good[j].on((b.line(k)-farRibs*perPitch)/perPitch+s, 0).minus(q.at)
					near = append(near, moved.dot(q.across()))
				}
			}
			if len(near) > 0 {
				at := q.at.plus(q.across().times(median(near)))
				f.seen = append(f.seen, sighting{at: at, line: k, sd: 0.02 * q.pitch, pitch: q.pitch,
					t: (along[i] - f.from) / gap, fall: 1})
			}
		}
	}
	return good
}

// grooveShifts is by how much each inner groove of each place lies off its place in the mean section's comb, pitches.
func (b *belt) grooveShifts(places []place) [][]float64 {
	// What a groove looks like: the mean of the inner ones.
	const wing = perPitch/2 + 2
	var usual [2*wing + 1]float64
	for k := 1; k < b.ribs; k++ {
		for j := range usual {
			usual[j] += between(b.wide[:], b.line(k)+float64(j-wing)) / float64(b.ribs-1)
		}
	}
	out := make([][]float64, len(places))
	for i := range places {
		out[i] = make([]float64, b.ribs-1)
		for k := 1; k < b.ribs; k++ {
			out[i][k-1] = shiftOf(usual[:], places[i].light[:], b.line(k))
		}
	}
	return out
}

// between is a value between two samples; not a number outside them.
func between(v []float64, x float64) float64 {
	i := int(math.Floor(x))
	if i < 0 || i+1 >= len(v) {
		return math.NaN()
	}
	return v[i] + (x-float64(i))*(v[i+1]-v[i])
}

// shiftOf is by how many pitches a section's samples around one lie further across than a pattern; not a number where
// they do not show it.
func shiftOf(usual, v []float64, at float64) float64 {
	wing := len(usual) / 2
	shift := 0.0
	for range 4 {
		var a [3][4]float64
		moved := shift * perPitch
		for j := 1; j < len(usual)-1; j++ {
			y := between(v, at+float64(j-wing)+moved)
			if math.IsNaN(y) {
				return math.NaN()
			}
			f := [3]float64{1, usual[j], (usual[j+1] - usual[j-1]) / 2 * perPitch}
			for r := range f {
				for c := range f {
					a[r][c] += f[r] * f[c]
				}
				a[r][3] += f[r] * y
			}
		}
		x, ok := solve([][]float64{a[0][:3], a[1][:3], a[2][:3]}, []float64{a[0][3], a[1][3], a[2][3]},
			1e-12)
		if !ok || x[1] <= 0.1 {
			return math.NaN()
		}
		d := -x[2] / x[1]
		shift += min(max(d, -0.15), 0.15)
		if math.Abs(shift) > 0.3 {
			return math.NaN()
		}
		if math.Abs(d) < 1e-3 {
			break
		}
	}
	return shift
}

// solveCourse fits a straight belt, one bent evenly, and one bent anyhow, and keeps the simplest that will do. Where
// none does, it begins anew from other tilts across: bends have more than one pose that lies near.
func (f *fit) solveCourse() bool {
	free := min(max(int((f.to-f.from)/12)+1, 3), 12)
	best, least := fit{}, math.Inf(1)
	for i, lean := range []float64{leanOfOff * f.off, 0, 0.4, -0.4} {
		for _, knots := range []int{1, 2, free}[min(i, 1):] {
			try := *f
			try.seen = slices.Clone(f.seen)
			try.knots, try.x = knots, nil
			if c, ok := try.course(lean); ok && c < least {
				least, best = c, try
			}
		}
		if best.x != nil && best.rms < poseClose*best.seen[len(best.seen)/2].pitch {
			break
		}
	}
	if best.x == nil {
		return false
	}
	*f = best
	f.criterion = least
	return f.settle()
}

// rival is how much unlikelier another place of the tips may be by the section alone (twice the difference of the
// logarithms) for the pose to have a say; fit on seeds 5 600 000 on and 7 000 000 on.
const rival = 10

// choose fits the course with the tips where they are likeliest, and where they may lie as well. By how far they lie
// off the outline's middle the belt leans, and how pitches grow across tells of that too: that place is taken for which
// section and pose together are likeliest. To be compared poses are begun anew from the best of them, with its weights.
func (f *fit) choose(all []tipsAt) bool {
	var fits []fit
	var cues []float64
	best := 0
	for _, c := range all {
		if c.cost > all[0].cost+rival {
			break
		}
		g := *f
		g.off, g.seen = c.off, slices.Clone(f.seen)
		if !g.solveCourse() {
			continue
		}
		if fits, cues = append(fits, g), append(cues, c.cost); g.criterion < fits[best].criterion {
			best = len(fits) - 1
		}
	}
	if len(fits) == 0 {
		return false
	}
	chosen, least := 0, math.Inf(1)
	for i := range fits {
		if len(fits) == 1 {
			break
		}
		g := fits[best].anew(fits[i].off, math.NaN())
		if h := fits[best].anew(fits[i].off, leanOfOff*fits[i].off); h.cost < g.cost {
			g = h
		}
		if g.cost+cues[i] < least {
			chosen, least = i, g.cost+cues[i]
		}
	}
	*f = fits[chosen]
	return true
}

// anew is a fit begun from the unknowns of another, with its weights, for tips elsewhere, and with another lean
// where it is a number; its cost is infinite where there is none.
func (f *fit) anew(off, lean float64) fit {
	g := *f
	g.off, g.seen, g.x = off, slices.Clone(f.seen), slices.Clone(f.x)
	if !math.IsNaN(lean) {
		g.x[xLean] = lean
	}
	if !g.run() {
		g.cost = math.Inf(1)
	}
	return g
}

// poseClose is by how many pitches grooves lie off a pose that will do.
const poseClose = 0.035

// course fits with as many knots as are set; the criterion is Bayes's (Schwarz 1978) with a standard deviation that is
// estimated too.
func (f *fit) course(lean float64) (criterion float64, ok bool) {
	f.x = make([]float64, f.unknowns())
	f.x[xLean] = lean
	for round := range 3 {
		if !f.run() {
			return 0, false
		}
		if round < 2 {
			f.weigh()
		}
	}
	off := make([]float64, len(f.seen))
	for i, s := range f.seen {
		off[i] = math.Abs(s.off)
	}
	n, sd := float64(len(off)), max(1.4826*median(off), 0.02)
	return 2*n*math.Log(sd) + float64(f.knots)*math.Log(n), true
}

// report sets frame and measures.
func (f *fit) report(r *Reading, b *belt) bool {
	var p pose
	f.pose(f.x, &p)
	// What the places cover, whole ribs within the picture.
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range f.seen {
		if s.fall > 0 {
			low, high = min(low, p.from+s.t*p.gap), max(high, p.from+s.t*p.gap)
		}
	}
	half := float64(p.ribs) / 2 * p.pitch
	move := b.onTips(&p, f)
	inside := func(s float64) bool {
		t := (s - p.from) / p.gap
		return b.layer.inside(p.see(p.place(move-half, t, 0)), 0) && b.layer.inside(p.see(p.place(move+half, t, 0)), 0)
	}
	const step = 0.5
	for ; low < high && !inside(low); low += step {
	}
	for ; low < high && !inside(high); high -= step {
	}
	if high-low < 2 {
		return false
	}
	n := max(2, int(math.Ceil((high-low)/2))+1)
	for i := range n {
		s := (high - low) * float64(i) / float64(n-1)
		t := (low + s - p.from) / p.gap
		st := Station{Along: s}
		for k := range p.ribs + 1 {
			st.Lines = append(st.Lines, p.see(p.place(move+(float64(k)-float64(p.ribs)/2)*p.pitch, t, 0)))
		}
		r.Frame.Stations = append(r.Frame.Stations, st)
	}
	r.Frame.Pitch = p.pitch
	middle := (low + high) / 2
	lots := f.lots()
	if lots == nil {
		return false
	}
	r.Across = measure(&p, lots, func(p *pose) float64 {
		t := (middle - p.from) / p.gap
		return p.see(p.place(move+0.5, t, 0)).distance(p.see(p.place(move-0.5, t, 0)))
	})
	r.Along = measure(&p, lots, func(p *pose) float64 {
		t, d := (middle-p.from)/p.gap, 0.5/p.gap
		return p.see(p.place(move, t+d, 0)).distance(p.see(p.place(move, t-d, 0)))
	})
	r.Tilt = measure(&p, lots, func(p *pose) float64 { return p.tiltAt(middle) })
	return true
}

// measure is a value with its band: from the 5th to the 95th of a hundred poses.
func measure(best *pose, lots []*pose, value func(*pose) float64) Measure {
	m := Measure{Value: value(best)}
	all := make([]float64, len(lots))
	for i, p := range lots {
		all[i] = value(p)
	}
	slices.Sort(all)
	m.Low, m.High = min(all[len(all)/20], m.Value), max(all[len(all)-1-len(all)/20], m.Value)
	return m
}
