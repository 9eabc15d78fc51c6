package drawn

import (
	"image"

	"golang.org/x/image/draw"
)

// sheet puts pictures side by side, n to a row, each within a square of size px.
func sheet(n, size int, pictures ...*image.Gray) *image.Gray {
	rows := (len(pictures) + n - 1) / n
	out := image.NewGray(image.Rect(0, 0, n*size, rows*size))
	for i, p := range pictures {
		b := p.Bounds()
		k := float64(size-6) / float64(max(b.Dx(), b.Dy()))
		at := image.Pt(i%n*size, i/n*size)
		to := image.Rect(0, 0, int(float64(b.Dx())*k), int(float64(b.Dy())*k)).Add(at)
		draw.CatmullRom.Scale(out, to, p, b, draw.Src, nil)
	}
	return out
}
