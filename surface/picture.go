package surface

import (
	"errors"
	"fmt"
	"math"
)

// Picture is a grey picture: how light each pixel is, from 0 (black) to 1 (white), row by row from the upper left
// corner. Light[y*Width+x] is the pixel whose middle lies at x, y.
type Picture struct {
	Width, Height int
	Light         []float64
}

// Largest is the number of pixels of the largest picture that is taken: 25 million, for which a search holds about
// 1 GB beside it.
const Largest = 25_000_000

var (
	// ErrPicture is wrapped by errors about a picture: no pixels, more than [Largest], a number of values other than
	// Width times Height, a value that is no finite number.
	ErrPicture = errors.New("surface: picture")
	// ErrScale is wrapped by errors about a scale: not from 0.5 to 50 px, or none at all.
	ErrScale = errors.New("surface: scale")
	// ErrSettings is wrapped by errors about other settings of a search.
	ErrSettings = errors.New("surface: settings")
)

func (p Picture) check() error {
	if p.Width <= 0 || p.Height <= 0 || p.Width > Largest/p.Height {
		return fmt.Errorf("%w: %d by %d pixels, want from 1 to %d of them", ErrPicture, p.Width, p.Height, Largest)
	}
	if len(p.Light) != p.Width*p.Height {
		return fmt.Errorf("%w: %d values for %d by %d pixels", ErrPicture, len(p.Light), p.Width, p.Height)
	}
	for i, v := range p.Light {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: pixel %d, %d is %v", ErrPicture, i%p.Width, i/p.Width, v)
		}
	}
	return nil
}

func checkScale(sigma float64) error {
	if !(sigma >= 0.5 && sigma <= 50) {
		return fmt.Errorf("%w: %v px, want 0.5 to 50", ErrScale, sigma)
	}
	return nil
}

// at is the light at a place between pixels, by bilinear interpolation; beyond the picture that of its edge.
func (p Picture) at(x, y float64) float64 {
	if !(x >= 0 && y >= 0 && x < float64(p.Width-1) && y < float64(p.Height-1)) {
		return bilinear(p.Light, p.Width, p.Height, x, y)
	}
	ix, iy := int(x), int(y)
	fx, fy := x-float64(ix), y-float64(iy)
	v := p.Light[iy*p.Width+ix:]
	below := v[p.Width : p.Width+2]
	top := v[0] + fx*(v[1]-v[0])
	return top + fy*(below[0]+fx*(below[1]-below[0])-top)
}

func bilinear[T float32 | float64](v []T, w, h int, x, y float64) float64 {
	x, y = min(max(x, 0), float64(w-1)), min(max(y, 0), float64(h-1))
	ix, iy := min(int(x), max(w-2, 0)), min(int(y), max(h-2, 0))
	fx, fy := x-float64(ix), y-float64(iy)
	i, right, down := iy*w+ix, min(1, w-1), min(1, h-1)*w
	a, b, c, d := float64(v[i]), float64(v[i+right]), float64(v[i+down]), float64(v[i+down+right])
	top, bottom := a+fx*(b-a), c+fx*(d-c)
	return top + fy*(bottom-top)
}
