package surface

import (
	"math"
	"slices"
)

// eyeWide is how many columns a rib has where it is looked at by the net: a square of them is eyePitch of it.
const eyeWide = 40

// glimpse is one rib as the net sees it: squared up at eyeWide px to a pitch, its light over what it usually is there,
// over the noise of each column. Columns run along the rib and are stored one after another.
type glimpse struct {
	h     int
	value []float32         // eyeWide columns of h, clipped to eyeClip
	side  [eyeSides]float32 // what is known of the rib as a whole
}

const (
	eyeClip  = 8
	eyeSides = 2*eyeWide/4 + 1
)

// glimpses prepares all ribs of a strip for the net.
func glimpses(s Strip) []glimpse {
	if s.Ribs < 1 || s.Height < 40 || s.Width < 10*s.Ribs {
		return nil
	}
	perMM := eyeWide / s.Pitch
	p := s.resampled(eyeWide*s.Ribs, int(math.Round(float64(s.Height)*perMM/s.PerMM)))
	out := make([]glimpse, s.Ribs)
	var buffer []float32
	for r := range out {
		g := &out[r]
		l := lane{rib: r, perMM: perMM, x0: float64(eyeWide * r), w: eyeWide, h: p.Height}
		l.share = make([]float32, l.w*l.h)
		l.even(p)
		g.h, g.value = l.h, l.share
		var noise [eyeWide]float64
		for x := range noise {
			noise[x], buffer = spread(l.column(l.share, x), 1, buffer)
		}
		usual := median(noise[:])
		var light [eyeWide]float64
		mean := 0.0
		for x := range light {
			for y := range l.h {
				light[x] += p.Light[y*p.Width+eyeWide*r+x] / float64(l.h)
			}
			mean += light[x] / eyeWide
		}
		for x := range eyeWide {
			near := noise[max(x-1, 0)]/4 + noise[x]/2 + noise[min(x+1, eyeWide-1)]/4
			n := max(near, usual/2, 0.004)
			v, dead := l.column(l.share, x), l.column(l.dead, x)
			for y := range v {
				v[y] = min(max(v[y]*(1-dead[y])/float32(n), -eyeClip), eyeClip)
			}
			g.side[x/4] += float32(math.Log(max(light[x], 1e-3)/max(mean, 1e-3)) / 4)
			g.side[eyeWide/4+x/4] += float32(math.Log(n/0.05) / 4)
		}
		g.side[eyeSides-1] = float32(math.Log(s.PerMM / 12))
	}
	return out
}

// mirrored is a rib seen with its other side left.
func (g glimpse) mirrored() glimpse {
	out := glimpse{h: g.h, value: make([]float32, len(g.value)), side: g.side}
	for x := range eyeWide {
		copy(out.value[(eyeWide-1-x)*g.h:], g.value[x*g.h:(x+1)*g.h])
	}
	slices.Reverse(out.side[:eyeWide/4])
	slices.Reverse(out.side[eyeWide/4 : eyeWide/2])
	return out
}

// resampled is a strip's picture at another size, by the cubic kernel of Catmull and Rom, as wide as a pixel of the
// coarser of both.
func (s Strip) resampled(w, h int) Picture {
	across := Picture{Width: w, Height: s.Height, Light: make([]float64, w*s.Height)}
	resample(w, s.Width, func(x, from int, weights []float64) {
		for y := range s.Height {
			sum := 0.0
			row := s.Light[y*s.Width:][:s.Width]
			for k, c := range weights {
				sum += c * row[min(max(from+k, 0), s.Width-1)]
			}
			across.Light[y*w+x] = sum
		}
	})
	out := Picture{Width: w, Height: h, Light: make([]float64, w*h)}
	resample(h, s.Height, func(y, from int, weights []float64) {
		dst := out.Light[y*w:][:w]
		for k, c := range weights {
			for x, v := range across.Light[min(max(from+k, 0), s.Height-1)*w:][:w] {
				dst[x] += c * v
			}
		}
	})
	return out
}

// resample gives each place of n the weights of places of m, from one on.
func resample(n, m int, each func(at, from int, weights []float64)) {
	step := float64(m) / float64(n)
	wide := max(step, 1)
	var weights []float64
	for i := range n {
		mid := (float64(i)+0.5)*step - 0.5
		from := int(math.Ceil(mid - 2*wide))
		weights, total := weights[:0], 0.0
		for k := from; float64(k) <= mid+2*wide; k++ {
			u := math.Abs(float64(k)-mid) / wide
			c := 0.0
			switch {
			case u < 1:
				c = (1.5*u-2.5)*u*u + 1
			case u < 2:
				c = ((-0.5*u+2.5)*u-4)*u + 2
			}
			weights, total = append(weights, c), total+c
		}
		for k := range weights {
			weights[k] /= total
		}
		each(i, from, weights)
	}
}
