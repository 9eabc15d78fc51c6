package schedule

import "math"

func taskIndex(v *Vehicle) map[string]int {
	m := make(map[string]int, len(v.Tasks))
	for i := range v.Tasks {
		m[v.Tasks[i].ID] = i
	}
	return m
}

func openIndex(v *Vehicle) map[string]int {
	m := make(map[string]int, len(v.Openings))
	for i := range v.Openings {
		m[v.Openings[i].ID] = i
	}
	return m
}

func indices(ids []string, index map[string]int) []int {
	var out []int
	for _, id := range ids {
		out = append(out, index[id])
	}
	return out
}

// openingClosures lists, per opening, itself and all it needs.
func openingClosures(v *Vehicle) [][]int {
	idx := openIndex(v)
	rel := make([][]int, len(v.Openings))
	for i := range v.Openings {
		rel[i] = indices(v.Openings[i].Needs, idx)
	}
	out := make([][]int, len(rel))
	for i := range rel {
		out[i] = append([]int{i}, reach(rel, i)...)
	}
	return out
}

// withClosures lists, per task, the tasks done with it (itself left out), and
// the openings it names itself.
func withClosures(v *Vehicle) (with, direct [][]int) {
	ti, oi := taskIndex(v), openIndex(v)
	rel := make([][]int, len(v.Tasks))
	direct = make([][]int, len(v.Tasks))
	for i := range v.Tasks {
		rel[i] = indices(v.Tasks[i].With, ti)
		direct[i] = indices(v.Tasks[i].Openings, oi)
	}
	with = make([][]int, len(rel))
	for i := range rel {
		with[i] = reach(rel, i)
	}
	return with, direct
}

// reach lists what can be reached from i, i left out.
func reach(rel [][]int, i int) []int {
	seen := map[int]bool{i: true}
	stack := append([]int(nil), rel[i]...)
	var out []int
	for len(stack) > 0 {
		j := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if seen[j] {
			continue
		}
		seen[j] = true
		out = append(out, j)
		stack = append(stack, rel[j]...)
	}
	return out
}

// findQuantum is the greatest amount of which every cost in the component is
// a whole multiple, looking at hundredths; 0 if there is none.
func (c *component) findQuantum() float64 {
	g := int64(0)
	add := func(x float64) bool {
		if math.IsInf(x, 0) || x == 0 {
			return true
		}
		r := math.Round(x * 100)
		if math.Abs(r-x*100) > 1e-9*max(1, math.Abs(x)) || math.Abs(r) > 1e12 {
			return false
		}
		g = gcd(g, int64(math.Abs(r)))
		return true
	}
	for _, x := range c.cost {
		if !add(x) {
			return 0
		}
	}
	for i := range c.arc {
		for _, x := range c.arc[i] {
			if !add(x) {
				return 0
			}
		}
	}
	return float64(g) / 100
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
