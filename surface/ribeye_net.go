package surface

import (
	_ "embed"
	"encoding/binary"
	"math"
	"sync"
)

// A rib is looked at by a small convolutional net: over squares of it (near, far, form), over all its width (rib), and
// along it together with a few words of what its neighbours look like (own, left, right, wide). Its weights were fitted
// on drawn belts as they are read (fit/eyes.py; docs/surface.md).

//go:embed ribeye.bin
var eyeWeights []byte

// Sizes of the net: channels.
const (
	eyeNear = 8
	eyeFar  = 16
	eyeRib  = 32
	eyeWord = 8
)

// eyeCell is how many px along a rib have one answer.
const eyeCell = 2

// weave is a convolution: for each of out channels, for each of in channels and places across, so many taps along.
type weave struct {
	out, in, across, taps int
	weight, bias          []float32
}

// at is the weights of taps.
func (w *weave) at(out, in, across int) []float32 {
	i := ((out*w.in+in)*w.across + across) * w.taps
	return w.weight[i : i+w.taps]
}

// eye is the net; ribEye reads its weights when the first belt is looked at.
type eye struct{ near, far, form, rib, side, word, own, left, right, wide, answer weave }

var ribEye = sync.OnceValue(func() *eye {
	e := new(eye)
	b := eyeWeights
	take := func(out, in, across, taps int, bias bool) weave {
		w := weave{out: out, in: in, across: across, taps: taps, bias: make([]float32, out)}
		n := in * across * taps
		for range out {
			scale := math.Float32frombits(binary.LittleEndian.Uint32(b))
			for _, v := range b[4 : 4+n] {
				w.weight = append(w.weight, scale*float32(int8(v)))
			}
			b = b[4+n:]
		}
		if bias {
			for k := range w.bias {
				w.bias[k] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*k:]))
			}
			b = b[4*out:]
		}
		return w
	}
	e.near = take(eyeNear, 1, 5, 5, true)
	e.far = take(eyeFar, eyeNear, 3, 5, true)
	e.form = take(eyeFar, eyeFar, 3, 3, true)
	e.rib = take(eyeRib, eyeFar, eyeWide/4, 3, true)
	e.side = take(eyeRib, eyeSides, 1, 1, true)
	e.word = take(eyeWord, eyeRib, 1, 1, true)
	e.own = take(eyeRib, eyeRib, 1, 5, true)
	e.left = take(eyeRib, eyeWord, 1, 9, false)
	e.right = take(eyeRib, eyeWord, 1, 9, false)
	e.wide = take(eyeRib, eyeRib, 1, 5, true)
	e.answer = take(1, eyeRib, 1, 1, true)
	if len(b) != 0 {
		panic("surface: weights of another net")
	}
	return e
})

// tracks are values along a rib, of channels and places across one after another, with zeros before and behind.
type tracks struct {
	long int
	v    []float32
}

const eyePad = 6

func (r *tracks) set(n, long int) {
	r.long = long
	r.v = grown(r.v, n*(long+2*eyePad))
	clear(r.v)
}

// row is one from some places before its first, or behind it.
func (r *tracks) row(i, from int) []float32 {
	at := i*(r.long+2*eyePad) + eyePad + from
	return r.v[at : (i+1)*(r.long+2*eyePad)]
}

func (r *tracks) whole(i int) []float32 { return r.row(i, 0)[:r.long] }

// begin fills four channels at a place across with what is always there.
func (r *tracks) begin(w *weave, out, at, across int, dst *[4][]float32) {
	for k := range dst {
		dst[k] = r.whole((out+k)*across + at)
		for y := range dst[k] {
			dst[k][y] = w.bias[out+k]
		}
	}
}

// add5 adds to four tracks five others each, times weights.
func add5(dst *[4][]float32, a, b, c, d, e []float32, p, q, r, s []float32) {
	n := len(dst[0])
	a, b, c, d, e = a[:n], b[:n], c[:n], d[:n], e[:n]
	d0, d1, d2, d3 := dst[0], dst[1][:n], dst[2][:n], dst[3][:n]
	p0, p1, p2, p3, p4 := p[0], p[1], p[2], p[3], p[4]
	q0, q1, q2, q3, q4 := q[0], q[1], q[2], q[3], q[4]
	r0, r1, r2, r3, r4 := r[0], r[1], r[2], r[3], r[4]
	s0, s1, s2, s3, s4 := s[0], s[1], s[2], s[3], s[4]
	for i := range d0 {
		u, v, w, x, y := a[i], b[i], c[i], d[i], e[i]
		d0[i] += p0*u + p1*v + p2*w + p3*x + p4*y
		d1[i] += q0*u + q1*v + q2*w + q3*x + q4*y
		d2[i] += r0*u + r1*v + r2*w + r3*x + r4*y
		d3[i] += s0*u + s1*v + s2*w + s3*x + s4*y
	}
}

// add3 adds to four tracks three others each, times weights.
func add3(dst *[4][]float32, a, b, c []float32, p, q, r, s []float32) {
	n := len(dst[0])
	a, b, c = a[:n], b[:n], c[:n]
	d0, d1, d2, d3 := dst[0], dst[1][:n], dst[2][:n], dst[3][:n]
	p0, p1, p2 := p[0], p[1], p[2]
	q0, q1, q2 := q[0], q[1], q[2]
	r0, r1, r2 := r[0], r[1], r[2]
	s0, s1, s2 := s[0], s[1], s[2]
	for i := range d0 {
		u, v, w := a[i], b[i], c[i]
		d0[i] += p0*u + p1*v + p2*w
		d1[i] += q0*u + q1*v + q2*w
		d2[i] += r0*u + r1*v + r2*w
		d3[i] += s0*u + s1*v + s2*w
	}
}

func keep(v []float32) {
	for i, x := range v {
		v[i] = max(x, 0)
	}
}

// both looks at ribs and at their mirror image, so that it does not matter which side of a belt is left, and takes the
// mean.
func (e *eye) both(ribs []glimpse) [][]float32 {
	out := e.look(ribs)
	n := len(ribs)
	turned := make([]glimpse, n)
	for r := range ribs {
		turned[n-1-r] = ribs[r].mirrored()
	}
	for r, odds := range e.look(turned) {
		for y, v := range odds {
			out[n-1-r][y] = (out[n-1-r][y] + v) / 2
		}
	}
	return out
}

// look gives each cell along each rib the log odds that a crack crosses it.
func (e *eye) look(ribs []glimpse) [][]float32 {
	form, words := make([]tracks, len(ribs)), make([]tracks, len(ribs)+1)
	var in, near, even, odd, far, fine tracks
	long := 0
	for r := range ribs {
		g := &ribs[r]
		h := g.h - g.h%2
		long = h / 2
		in.set(eyeWide, h)
		for x := range eyeWide {
			copy(in.whole(x), g.value[x*g.h:])
		}
		e.seeNear(&in, &near)
		even.set(eyeNear*eyeWide/2, long)
		odd.set(eyeNear*eyeWide/2, long)
		for i := range eyeNear * eyeWide / 2 {
			src, a, b := near.whole(i), even.whole(i), odd.whole(i)
			for y := range a {
				a[y], b[y] = max(src[2*y], 0), max(src[2*y+1], 0)
			}
		}
		e.seeFar(&even, &odd, &far)
		e.seeForm(&far, &fine)
		e.seeRib(&fine, g, &form[r])
		e.say(&form[r], &words[r])
	}
	words[len(ribs)].set(eyeWord, long)
	out := make([][]float32, len(ribs))
	var own, wide tracks
	silent := &words[len(ribs)]
	for r := range ribs {
		left, right := silent, silent
		if r > 0 {
			left = &words[r-1]
		}
		if r+1 < len(ribs) {
			right = &words[r+1]
		}
		e.seeOwn(&form[r], left, right, &own)
		wide.set(eyeRib, long)
		e.along(&e.wide, &own, &wide, 3)
		out[r] = make([]float32, long)
		for y := range out[r] {
			out[r][y] = e.answer.bias[0]
		}
		for c := range eyeRib {
			a, b, w := own.whole(c), wide.whole(c), e.answer.weight[c]
			for y := range out[r] {
				out[r][y] += w * (a[y] + max(b[y], 0))
			}
		}
	}
	return out
}

func (e *eye) seeNear(in, out *tracks) {
	const n = eyeWide / 2
	out.set(eyeNear*n, in.long)
	w := &e.near
	var dst [4][]float32
	for x := range n {
		for c := 0; c < eyeNear; c += 4 {
			out.begin(w, c, x, n, &dst)
			for k := range 5 {
				if from := 2*x + k - 2; from >= 0 && from < eyeWide {
					add5(&dst, in.row(from, -2), in.row(from, -1), in.row(from, 0), in.row(from, 1), in.row(from, 2),
						w.at(c, 0, k), w.at(c+1, 0, k), w.at(c+2, 0, k), w.at(c+3, 0, k))
				}
			}
		}
	}
}

func (e *eye) seeFar(even, odd, out *tracks) {
	const n = eyeWide / 4
	out.set(eyeFar*n, even.long)
	w := &e.far
	var dst [4][]float32
	for x := range n {
		for c := 0; c < eyeFar; c += 4 {
			out.begin(w, c, x, n, &dst)
			for i := range eyeNear {
				for k := range 3 {
					if from := 2*x + k - 1; from >= 0 && from < 2*n {
						from += i * 2 * n
						add5(&dst, even.row(from, -1), odd.row(from, -1), even.row(from, 0), odd.row(from, 0),
							even.row(from, 1), w.at(c, i, k), w.at(c+1, i, k), w.at(c+2, i, k), w.at(c+3, i, k))
					}
				}
			}
			for k := range dst {
				keep(dst[k])
			}
		}
	}
}

func (e *eye) seeForm(in, out *tracks) {
	const n = eyeWide / 4
	out.set(eyeFar*n, in.long)
	w := &e.form
	var dst [4][]float32
	for x := range n {
		for c := 0; c < eyeFar; c += 4 {
			out.begin(w, c, x, n, &dst)
			for i := range eyeFar {
				for k := range 3 {
					if from := x + k - 1; from >= 0 && from < n {
						from += i * n
						add3(&dst, in.row(from, -1), in.row(from, 0), in.row(from, 1),
							w.at(c, i, k), w.at(c+1, i, k), w.at(c+2, i, k), w.at(c+3, i, k))
					}
				}
			}
			for k := range dst {
				keep(dst[k])
			}
		}
	}
}

func (e *eye) seeRib(in *tracks, g *glimpse, out *tracks) {
	const n = eyeWide / 4
	out.set(eyeRib, in.long)
	w := &e.rib
	var dst [4][]float32
	for c := 0; c < eyeRib; c += 4 {
		out.begin(w, c, 0, 1, &dst)
		for i := range eyeFar {
			for k := range n {
				from := i*n + k
				add3(&dst, in.row(from, -1), in.row(from, 0), in.row(from, 1),
					w.at(c, i, k), w.at(c+1, i, k), w.at(c+2, i, k), w.at(c+3, i, k))
			}
		}
		for k := range dst {
			more := e.side.bias[c+k]
			for j, v := range g.side {
				more += v * e.side.at(c+k, j, 0)[0]
			}
			for y := range dst[k] {
				dst[k][y] = max(dst[k][y]+more, 0)
			}
		}
	}
}

func (e *eye) say(in, out *tracks) {
	out.set(eyeWord, in.long)
	for c := range eyeWord {
		dst := out.whole(c)
		for y := range dst {
			dst[y] = e.word.bias[c]
		}
		for i := range eyeRib {
			w := e.word.at(c, i, 0)[0]
			for y, v := range in.whole(i) {
				dst[y] += w * v
			}
		}
		keep(dst)
	}
}

func (e *eye) seeOwn(in, left, right, out *tracks) {
	out.set(eyeRib, in.long)
	e.along(&e.own, in, out, 1)
	var dst [4][]float32
	var four [4][10]float32
	for c := 0; c < eyeRib; c += 4 {
		for k := range dst {
			dst[k] = out.whole(c + k)
		}
		for _, side := range []struct {
			w    *weave
			from *tracks
		}{{&e.left, left}, {&e.right, right}} {
			for i := range eyeWord {
				for k := range four {
					copy(four[k][:], side.w.at(c+k, i, 0))
				}
				at := func(d int) []float32 { return side.from.row(i, d) }
				add5(&dst, at(-4), at(-3), at(-2), at(-1), at(0), four[0][:5], four[1][:5], four[2][:5], four[3][:5])
				add5(&dst, at(1), at(2), at(3), at(4), at(5), four[0][5:], four[1][5:], four[2][5:], four[3][5:])
			}
		}
		for k := range dst {
			keep(dst[k])
		}
	}
}

// along convolves channels along a rib, taps some cells apart.
func (e *eye) along(w *weave, in, out *tracks, step int) {
	var dst [4][]float32
	for c := 0; c < w.out; c += 4 {
		out.begin(w, c, 0, 1, &dst)
		for i := range w.in {
			add5(&dst, in.row(i, -2*step), in.row(i, -step), in.row(i, 0), in.row(i, step), in.row(i, 2*step),
				w.at(c, i, 0), w.at(c+1, i, 0), w.at(c+2, i, 0), w.at(c+3, i, 0))
		}
	}
}
