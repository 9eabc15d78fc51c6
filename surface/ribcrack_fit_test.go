package surface

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/surface/drawn"
)

// TestFitCracks fits lookNet, companyNet and againNet anew on as many drawn belts as UNDERTRAY_FIT says (seeds from
// 5 100 000 on, one in four of them sound), beginning with those that are there, prints how well chances hold on each
// eighth belt, which takes no part, and writes ribcrack_net.go.
func TestFitCracks(t *testing.T) {
	n, err := strconv.Atoi(os.Getenv("UNDERTRAY_FIT"))
	if err != nil {
		t.Skip("UNDERTRAY_FIT says on how many drawn belts to fit the chances of cracks")
	}
	var belts []drawnLines
	for i := range n {
		s := drawn.Any(5_100_000 + uint64(i))
		if i%4 == 3 {
			s = drawn.Clean(5_100_000 + uint64(i))
		}
		if b, ok := linesOf(t, s); ok {
			belts = append(belts, b)
		}
	}
	fit := func(name string, start net, traits func(*line) []float64) net {
		var train, rest []sample
		for i, b := range belts {
			for _, lines := range b.ribs {
				for _, c := range lines {
					if s := (sample{traits(c), b.cracks[c]}); i%8 == 0 {
						rest = append(rest, s)
					} else {
						train = append(train, s)
					}
				}
			}
		}
		out := start.tuned(train, 12, 0.01)
		fmt.Printf("%s: log likelihood a line %.4f before, %.4f after; elsewhere %.4f before, %.4f after\n", name,
			start.likelihood(train), out.likelihood(train), start.likelihood(rest), out.likelihood(rest))
		out.calibration(rest)
		return out
	}
	lookNet = fit("look", lookNet, func(c *line) []float64 { return c.look.traits() })
	// What others say is learnt from what chances they have so far.
	traitsOf := func(c *line) []float64 { return c.company.traits() }
	conferred := func(chance func(*line) float64) {
		for _, b := range belts {
			all := slices.Concat(b.ribs...)
			for _, c := range all {
				c.solo = chance(c)
			}
			confer(b.strip, b.ribs, all)
		}
	}
	conferred(func(c *line) float64 { return logistic(c.look.alone()) })
	companyNet = fit("company", companyNet, traitsOf)
	conferred(func(c *line) float64 { return logistic(companyNet.odds(c.company.traits())) })
	againNet = fit("again", againNet, traitsOf)
	text := "package surface\n\n// lookNet, companyNet and againNet were fitted by the greatest likelihood " +
		"on the lines found on\n// drawn belts (TestFitCracks),\n" +
		fmt.Sprintf("// %d more after those before.\nvar lookNet = %s\n\n", n, lookNet.text()) +
		fmt.Sprintf("var companyNet = %s\n\nvar againNet = %s\n", companyNet.text(), againNet.text())
	if err := os.WriteFile("ribcrack_net.go", []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// drawnLines are the lines found on a drawn belt, and which of them are cracks.
type drawnLines struct {
	strip  Strip
	ribs   [][]*line
	cracks map[*line]bool
	tips   []drawnTip
}

// drawnTip is where a drawn crack crosses a rib's tip.
type drawnTip struct {
	rib            int
	along, clarity float64 // mm
}

// linesOf reads a drawn belt; ok is false where it is refused or has another number of ribs than was drawn.
func linesOf(t *testing.T, scene drawn.Scene) (b drawnLines, ok bool) {
	t.Helper()
	return linesOn(t, scene.Render())
}

func linesOn(t *testing.T, p *drawn.Picture) (b drawnLines, ok bool) {
	t.Helper()
	if b, ok = squared(t, p); !ok {
		return b, false
	}
	b.ribs = findLines(b.strip, findCandidates(b.strip))
	for _, tip := range b.tips {
		if best := b.lineAt(tip); best != nil {
			b.cracks[best] = true
		}
	}
	return b, true
}

// squared squares a drawn belt up as it is read and says where its cracks are.
func squared(t *testing.T, p *drawn.Picture) (b drawnLines, ok bool) {
	t.Helper()
	r := laid(p.Gray, BeltOptions{Pitch: pitchPK})
	if r.Frame.Ribs() != p.Scene.Ribs || slices.ContainsFunc(r.Faults, func(f Fault) bool { return f.Stops }) {
		return b, false
	}
	var err error
	if b.strip, err = r.Frame.Strip(p.Gray, min(r.Across.Value, closest)); err != nil {
		t.Fatal(err)
	}
	b.cracks = map[*line]bool{}
	for _, c := range p.Cracks {
		for _, k := range c.Ribs {
			mid := (float64(k) + 0.5) * p.Scene.Pitch
			i := slices.IndexFunc(c.Path, func(q drawn.Point) bool { return q.X >= mid })
			if i < 0 {
				continue
			}
			px := p.Place(mid, c.Path[i].Y, 0)
			if at, ok := r.Frame.Belt(Point{px.X, px.Y}); ok {
				b.tips = append(b.tips, drawnTip{min(int(at.X/b.strip.Pitch), b.strip.Ribs-1), at.Y, c.Clarity})
			}
		}
	}
	return b, true
}

// lineAt is the line that a crack is taken for: of those within half a millimetre, and no other crack's yet, what the
// net says is likeliest, and near.
func (b *drawnLines) lineAt(tip drawnTip) (best *line) {
	most := math.Inf(-1)
	for _, c := range b.ribs[tip.rib] {
		off := math.Abs(b.strip.Belt(Point{0, c.y}).Y - tip.along)
		if v := c.look.Eye - 2*off; off < 0.5 && !b.cracks[c] && v > most {
			best, most = c, v
		}
	}
	return best
}

type sample struct {
	traits []float64
	crack  bool
}

func (n net) likelihood(all []sample) float64 {
	sum := 0.0
	for _, s := range all {
		p := min(max(logistic(n.odds(s.traits)), 1e-6), 1-1e-6)
		if !s.crack {
			p = 1 - p
		}
		sum += math.Log(p) / float64(len(all))
	}
	return sum
}

// calibration prints, by tenths of chance, the mean chance and how many are cracks.
func (n net) calibration(all []sample) {
	var bins [10]struct{ n, chance, cracks float64 }
	for _, s := range all {
		p := logistic(n.odds(s.traits))
		b := &bins[min(int(10*p), 9)]
		b.n, b.chance = b.n+1, b.chance+p
		if s.crack {
			b.cracks++
		}
	}
	for _, b := range bins {
		fmt.Printf("%6.0f lines, mean chance %.3f, cracks %.3f\n", b.n, b.chance/b.n, b.cracks/b.n)
	}
}

// tuned moves the weights to greater likelihood: steps down the gradient of 256 samples each, by D. P. Kingma and J. Ba
// (Adam, ICLR 2015; from memory), slower and slower.
func (n net) tuned(all []sample, rounds int, rate float64) net {
	r := rand.New(rand.NewPCG(3, 5))
	out := net{out: slices.Clone(n.out)}
	weights := []*float64{}
	for _, w := range n.sums {
		w = slices.Clone(w)
		out.sums = append(out.sums, w)
		for k := range w {
			weights = append(weights, &w[k])
		}
	}
	for k := range out.out {
		weights = append(weights, &out.out[k])
	}
	grad, first, second := make([]float64, len(weights)), make([]float64, len(weights)), make([]float64, len(weights))
	order, step := r.Perm(len(all)), 0
	for round := range rounds {
		r.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		pace := rate * math.Pow(0.05, float64(round)/float64(rounds))
		for from := 0; from+256 <= len(order); from += 256 {
			clear(grad)
			for _, i := range order[from : from+256] {
				out.slope(all[i], grad)
			}
			step++
			a, b := 1-math.Pow(0.9, float64(step)), 1-math.Pow(0.999, float64(step))
			for k, w := range weights {
				g := grad[k]/256 + 1e-6**w
				first[k], second[k] = 0.9*first[k]+0.1*g, 0.999*second[k]+0.001*g*g
				*w -= pace * first[k] / a / (math.Sqrt(second[k]/b) + 1e-8)
			}
		}
	}
	return out
}

// slope adds the gradient of minus the log likelihood of one sample.
func (n net) slope(s sample, grad []float64) {
	d := logistic(n.odds(s.traits))
	if s.crack {
		d--
	}
	t, h := len(s.traits), len(n.sums)
	for j, w := range n.sums {
		v := math.Tanh(dot(w, s.traits))
		grad[h*t+j] += d * v
		e := d * n.out[j] * (1 - v*v)
		for k, x := range s.traits {
			grad[j*t+k] += e * x
		}
	}
	grad[h*t+h] += d
}

// text is a net as Go writes it.
func (n net) text() string {
	list := func(v []float64) string {
		var b strings.Builder
		col := 0
		for k, x := range v {
			t := strconv.FormatFloat(x, 'g', 4, 64)
			if k > 0 {
				b.WriteString(",")
				if col += len(t) + 2; col > 90 {
					b.WriteString("\n\t\t\t")
					col = 0
				} else {
					b.WriteString(" ")
				}
			}
			b.WriteString(t)
		}
		return b.String()
	}
	out := "net{\n\tsums: [][]float64{\n"
	for _, w := range n.sums {
		out += "\t\t{" + list(w) + "},\n"
	}
	return out + "\t},\n\tout: []float64{" + list(n.out) + "},\n}"
}
