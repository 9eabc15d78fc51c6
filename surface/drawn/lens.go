package drawn

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
)

// film is light in a picture, linear.
type film struct {
	wide, high int
	light      []float32
}

func newFilm(wide, high int) *film { return &film{wide, high, make([]float32, wide*high)} }

// blur spreads light by a Gaussian, px.
func (f *film) blur(sigma float64) {
	if sigma < 0.05 {
		return
	}
	n := int(math.Ceil(3.5 * sigma))
	weights := make([]float32, 2*n+1)
	sum := float32(0)
	for i := range weights {
		// Of a Gaussian, what falls onto the whole pixel.
		d := float64(i - n)
		weights[i] = float32(math.Erf((d+0.5)/sigma/math.Sqrt2) - math.Erf((d-0.5)/sigma/math.Sqrt2))
		sum += weights[i]
	}
	for i := range weights {
		weights[i] /= sum
	}
	f.spread(weights, n)
}

func (f *film) spread(weights []float32, n int) {
	row := make([]float32, f.wide+2*n)
	for y := range f.high {
		line := f.light[y*f.wide : (y+1)*f.wide]
		for i := range row {
			row[i] = line[min(max(i-n, 0), f.wide-1)]
		}
		for x := range line {
			sum := float32(0)
			for i, w := range weights {
				sum += w * row[x+i]
			}
			line[x] = sum
		}
	}
	out := make([]float32, len(f.light))
	for y := range f.high {
		to := out[y*f.wide : (y+1)*f.wide]
		for i, w := range weights {
			from := f.light[min(max(y+i-n, 0), f.high-1)*f.wide:]
			for x := range to {
				to[x] += w * from[x]
			}
		}
	}
	f.light = out
}

func (f *film) at(x, y float32) float32 {
	x, y = min(max(x, 0), float32(f.wide-1)), min(max(y, 0), float32(f.high-1))
	ix, iy := min(int(x), f.wide-2), min(int(y), f.high-2)
	fx, fy := x-float32(ix), y-float32(iy)
	i := iy*f.wide + ix
	a := f.light[i] + (f.light[i+1]-f.light[i])*fx
	b := f.light[i+f.wide] + (f.light[i+f.wide+1]-f.light[i+f.wide])*fx
	return a + (b-a)*fy
}

// move smears light along a direction.
func (f *film) move(length, angle float64) {
	if length < 0.3 {
		return
	}
	s, c := math.Sincos(angle)
	n := int(math.Ceil(length)) + 2
	out := make([]float32, len(f.light))
	for i := range n {
		t := ((float64(i)+0.5)/float64(n) - 0.5) * length
		dx, dy := float32(t*c), float32(t*s)
		for y := range f.high {
			for x := range f.wide {
				out[y*f.wide+x] += f.at(float32(x)+dx, float32(y)+dy) / float32(n)
			}
		}
	}
	f.light = out
}

// dark is the light that the noise of an empty pixel is worth.
const dark = 0.004

// noise is the standard deviation of a light of 1 - dark.
func (s *Scene) noise() float64 {
	half := linear(0.5)
	step := (shown(half*1.01) - shown(half*0.99)) / (0.02 * half)
	return s.Noise / step / math.Sqrt(half+dark)
}

// take turns light into a picture: counted light with its noise, the curve of sRGB, eight bits, JPEG.
func (f *film) take(r *rand.Rand, noise float64, quality int) *image.Gray {
	p := image.NewGray(image.Rect(0, 0, f.wide, f.high))
	curve := make([]float32, 4097)
	for i := range curve {
		curve[i] = float32(255 * shown(float64(i)/4096))
	}
	grain := newFilm(f.wide, f.high)
	for i := range grain.light {
		grain.light[i] = bell(r)
	}
	// A colour camera fills in two of three colours from its neighbours, so that its noise is not quite fine.
	const side = 0.18
	grain.spread([]float32{side, 1 - 2*side, side}, 1)
	even := (1-2*side)*(1-2*side) + 2*side*side // of the variance that is left
	for i, v := range f.light {
		n := float32(noise/even) * float32(math.Sqrt(float64(max(v, 0)+dark)))
		v = min(max(v+n*grain.light[i], 0), 1) * 4096
		k := min(int(v), 4095)
		p.Pix[i] = uint8(curve[k] + (curve[k+1]-curve[k])*(v-float32(k)) + 0.5)
	}
	return squeeze(p, quality)
}

// bell is a random number from nearly a normal distribution: four uniform ones of 16 bits.
func bell(r *rand.Rand) float32 {
	u := r.Uint64()
	sum := float32(u&0xffff) + float32(u>>16&0xffff) + float32(u>>32&0xffff) + float32(u>>48)
	return (sum - 2*65535) * (1 / 65535.0) * 1.7320508
}

// squeeze sends a picture through JPEG.
func squeeze(p *image.Gray, quality int) *image.Gray {
	if quality <= 0 {
		return p
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p, &jpeg.Options{Quality: quality}); err != nil {
		panic(err) // a buffer takes all
	}
	out, err := jpeg.Decode(&b)
	if err != nil {
		panic(err) // it was just written
	}
	return out.(*image.Gray)
}
