package surface

import (
	"fmt"
	"image"
)

// layer is a copy of a picture shrunk by a whole number, each pixel the mean of a square; or the picture itself.
type layer struct {
	w, h   int
	by     int       // px of the picture to one of the layer
	light  []float32 // 0 to 255, row by row
	pix    []uint8   // instead of light: the picture's own
	stride int
}

// checkGray refuses a picture that has no pixels, too many, or fewer than its size wants.
func checkGray(p *image.Gray) error {
	if p == nil {
		return fmt.Errorf("%w: none", ErrPicture)
	}
	w, h := p.Rect.Dx(), p.Rect.Dy()
	if w <= 0 || h <= 0 || w > Largest/h {
		return fmt.Errorf("%w: %d by %d pixels, want from 1 to %d of them", ErrPicture, w, h, Largest)
	}
	if p.Stride < w || (len(p.Pix)-w)/p.Stride < h-1 || len(p.Pix) < w {
		return fmt.Errorf("%w: %d values in rows of %d for %d by %d pixels", ErrPicture, len(p.Pix), p.Stride, w, h)
	}
	return nil
}

// whole is the picture itself as a layer; nothing is copied.
func whole(p *image.Gray) *layer {
	return &layer{w: p.Rect.Dx(), h: p.Rect.Dy(), by: 1, pix: p.Pix, stride: p.Stride}
}

// half is a layer shrunk by two; a last odd row or column is left out.
func (l *layer) half() *layer {
	out := &layer{w: l.w / 2, h: l.h / 2, by: 2 * l.by}
	out.light = make([]float32, out.w*out.h)
	for y := range out.h {
		row := out.light[y*out.w:][:out.w]
		if l.pix != nil {
			a, b := l.pix[2*y*l.stride:][:2*out.w], l.pix[(2*y+1)*l.stride:][:2*out.w]
			for x := range row {
				row[x] = float32(int(a[2*x])+int(a[2*x+1])+int(b[2*x])+int(b[2*x+1])) / 4
			}
			continue
		}
		a, b := l.light[2*y*l.w:][:2*out.w], l.light[(2*y+1)*l.w:][:2*out.w]
		for x := range row {
			row[x] = (a[2*x] + a[2*x+1] + b[2*x] + b[2*x+1]) / 4
		}
	}
	return out
}

// copied is a layer of the same size with values of its own.
func (l *layer) copied() *layer {
	out := &layer{w: l.w, h: l.h, by: l.by, light: make([]float32, l.w*l.h)}
	for y := range l.h {
		for x, v := range l.pix[y*l.stride:][:l.w] {
			out.light[y*l.w+x] = float32(v)
		}
	}
	return out
}

// at is the light at a place of the picture (px of the whole picture), between pixels of the layer by bilinear
// interpolation; beyond the picture that of its edge.
func (l *layer) at(x, y float64) float64 {
	if l.by > 1 {
		k := 1 / float64(l.by)
		x, y = (x+0.5)*k-0.5, (y+0.5)*k-0.5
	}
	x, y = min(max(x, 0), float64(l.w-1)), min(max(y, 0), float64(l.h-1))
	ix, iy := int(x), int(y)
	fx, fy := float32(x-float64(ix)), float32(y-float64(iy))
	right, down := 1, 1
	if ix >= l.w-1 {
		right = 0
	}
	if iy >= l.h-1 {
		down = 0
	}
	var a, b, c, d float32
	if l.pix != nil {
		i := iy*l.stride + ix
		j := i + down*l.stride
		a, b, c, d = float32(l.pix[i]), float32(l.pix[i+right]), float32(l.pix[j]), float32(l.pix[j+right])
	} else {
		i := iy*l.w + ix
		j := i + down*l.w
		a, b, c, d = l.light[i], l.light[i+right], l.light[j], l.light[j+right]
	}
	top := a + fx*(b-a)
	return float64(top + fy*(c+fx*(d-c)-top))
}

// inside says whether a place of the picture lies at least margin px from its edges.
func (l *layer) inside(p Point, margin float64) bool {
	w, h := float64(l.w*l.by), float64(l.h*l.by)
	return p.X >= margin && p.Y >= margin && p.X <= w-1-margin && p.Y <= h-1-margin
}

// layers are the picture and its copies shrunk by 2, 4, 8 and so on, as long as the shorter side has least px.
func layers(p *image.Gray, least int) []*layer {
	all := []*layer{whole(p)}
	for {
		last := all[len(all)-1]
		if min(last.w, last.h)/2 < least || last.by >= 32 {
			return all
		}
		all = append(all, last.half())
	}
}

// finest is the most shrunk layer on which a length of the picture (px) is at least least px.
func finest(all []*layer, length, least float64) *layer {
	best := all[0]
	for _, l := range all[1:] {
		if length/float64(l.by) >= least {
			best = l
		}
	}
	return best
}
