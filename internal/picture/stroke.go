package picture

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/internal/fleet"
)

// Point is a place in a picture, from its upper left corner in parts of its width.
type Point struct{ X, Y float64 }

// Strokes are the lines that a mark is drawn by: a ring within its corners, an arrow with
// its head, a length with a bar at each end, cracks and outlines by their frame.
func Strokes(shape fleet.MarkShape, at fleet.Across) [][]Point {
	from, to := Point{at[0], at[1]}, Point{at[2], at[3]}
	long := math.Hypot(to.X-from.X, to.Y-from.Y)
	along := Point{(to.X - from.X) / long, (to.Y - from.Y) / long}
	side := func(p Point, back, out float64) Point {
		return Point{p.X - back*along.X - out*along.Y, p.Y - back*along.Y + out*along.X}
	}
	switch shape {
	case fleet.MarkRing:
		var ring []Point
		for i := range 49 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 48)
			ring = append(ring, Point{(from.X + to.X + cos*(to.X-from.X)) / 2, (from.Y + to.Y + sin*(to.Y-from.Y)) / 2})
		}
		return [][]Point{ring}
	case fleet.MarkCracks, fleet.MarkOutline:
		return Frame(at)
	case fleet.MarkArrow:
		head := min(0.04, long/2)
		return [][]Point{{from, to}, {side(to, head, head/2), to, side(to, head, -head/2)}}
	}
	return [][]Point{{from, to}, {side(from, 0, 0.015), side(from, 0, -0.015)},
		{side(to, 0, 0.015), side(to, 0, -0.015)}}
}

// Frame is the line around a part of a picture.
func Frame(at fleet.Across) [][]Point {
	return [][]Point{{{at[0], at[1]}, {at[2], at[1]}, {at[2], at[3]}, {at[0], at[3]}, {at[0], at[1]}}}
}

// Path writes strokes as the path of an SVG whose unit is the picture's width.
func Path(strokes [][]Point) string {
	var b strings.Builder
	for _, line := range strokes {
		for i, p := range line {
			fmt.Fprintf(&b, "%c%.4g %.4g", "ML"[min(i, 1)], p.X, p.Y)
		}
	}
	return b.String()
}
