package surface

import "math"

// clues are what tells a crack from ground that looks like one.
type clues struct {
	strength float64 // evidence above faint, summed along the path, px times standard deviations
	chord    float64 // distance of the ends over the length
	steady   float64 // depth along the path, its mean over its standard deviation
}

// faint is the evidence above which strength counts.
const faint = 2.6

// alone and linked are the weights of clues, chosen with chances of rendered rough ground by logistic regression
// weighted by length; see judge for what they weigh.
var (
	alone  = [...]float64{-0.4174, 2.23, 2.925, 4.333, 0.5109, -23.28}
	linked = [...]float64{0.1326, 1.752, 1.919, 4.62, 0.5016, 1.478, 3.257, 1.112, -20.28}
)

// far is how far off an end another mark may go on, px, and fades how fast that counts less.
const (
	far   = 16
	fades = 8
)

// judge sets chances: by how long, strong, straight and even in depth a mark is, by whether one that is itself likely
// goes on at its ends, and by its contrast beside that of others. Short marks by themselves are texture, and pieces in
// a row are not.
func judge(marks []Mark, w, h int) {
	near := neighbours(marks, w, h)
	for i := range marks {
		x := marks[i].figures()
		marks[i].Chance = weighed(alone[:], x[:])
	}
	first := make([]float64, len(marks))
	for i := range marks {
		first[i] = marks[i].Chance
	}
	usual := usualContrast(marks)
	for i, m := range marks {
		best := [2]float64{}
		for _, n := range near[i] {
			best[n.end] = max(best[n.end], n.weight*first[n.mark])
		}
		x := m.figures()
		marks[i].Chance = weighed(linked[:],
			append(x[:], min(best[0], best[1]), max(best[0], best[1]), math.Log(m.Contrast)-usual))
	}
}

// usualContrast is the mean logarithm of the contrast of what is likely a crack: cracks of a picture are alike.
func usualContrast(marks []Mark) float64 {
	sum, total := 0.0, 0.0
	for _, m := range marks {
		weight := m.Length * m.Chance * m.Chance
		sum, total = sum+weight*math.Log(m.Contrast), total+weight
	}
	return sum / max(total, 1e-9)
}

func (m Mark) figures() [5]float64 {
	c := m.clues
	return [5]float64{math.Log(max(c.strength, 1)), math.Log(max(m.Length, 1)), m.Evidence, c.chord, c.steady}
}

// weighed is the chance by weights of figures, the last weight by itself.
func weighed(w, x []float64) float64 { return logistic(w[len(x)] + dot(x, w)) }

// neighbour is a mark that goes on at an end of another; its weight is 1 where it lies on it and straight ahead.
type neighbour struct {
	mark, end int
	weight    float64
}

func neighbours(marks []Mark, w, h int) [][]neighbour {
	const cell = far / 2
	type place struct{ mark, k int32 }
	cols, rows := w/cell+1, h/cell+1
	cells := make([][]place, cols*rows)
	at := func(p Point) (int, int) {
		return min(max(int(p.X)/cell, 0), cols-1), min(max(int(p.Y)/cell, 0), rows-1)
	}
	for i, m := range marks {
		for k := 0; k < len(m.Path); k += 2 {
			x, y := at(m.Path[k])
			cells[y*cols+x] = append(cells[y*cols+x], place{int32(i), int32(k)})
		}
	}
	out := make([][]neighbour, len(marks))
	for i, m := range marks {
		n := len(m.Path)
		for e, from := range [2][2]Point{{m.Path[0], m.Path[min(8, n-1)]}, {m.Path[n-1], m.Path[max(0, n-9)]}} {
			end := from[0]
			way, _ := end.minus(from[1]).unit()
			x, y := at(end)
			for cy := max(0, y-2); cy <= min(rows-1, y+2); cy++ {
				for cx := max(0, x-2); cx <= min(cols-1, x+2); cx++ {
					for _, q := range cells[cy*cols+cx] {
						other := &marks[q.mark]
						to := other.Path[q.k].minus(end)
						d := math.Hypot(to.X, to.Y)
						if int(q.mark) == i || d > far {
							continue
						}
						// What goes on from an end is half as deep at least, as within a mark, and a branch a quarter.
						least := other.Depth / 4
						if from := int(q.k); from < far/2 || from >= len(other.Path)-far/2 {
							least = other.Depth / 2
						}
						if m.Depth < least {
							continue
						}
						weight := math.Exp(-d / fades)
						if d > 3 {
							weight *= max(0, to.dot(way)/d)
						}
						out[i] = append(out[i], neighbour{int(q.mark), e, weight})
					}
				}
			}
		}
	}
	return out
}

// steadiness is the mean of the depth along a path over its standard deviation.
func steadiness(p Picture, path []Point, sigma float64) float64 {
	sum, square := 0.0, 0.0
	for k, at := range path {
		way, _ := heading(path, k)
		side := Point{-way.Y, way.X}.times(2*sigma + 1)
		a, b := at.plus(side), at.minus(side)
		d := (p.at(a.X, a.Y)+p.at(b.X, b.Y))/2 - p.at(at.X, at.Y)
		sum, square = sum+d, square+d*d
	}
	n := float64(len(path))
	return sum / n / math.Sqrt(max(square/n-sum*sum/n/n, 1e-8))
}
