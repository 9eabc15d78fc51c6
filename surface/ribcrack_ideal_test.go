package surface

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"undertray.example/undertray/surface/drawn"
)

// A filter sees a rib's width at eyeWide px to a pitch, and 2.4 mm along it.
const idealHigh = 27

// idealTip is a drawn crack on one rib, and how far an ideal filter for it tells it from the rib without, in standard
// deviations.
type idealTip struct {
	rib      int
	along, d float64
}

// TestIdealFilter says what could be seen at all of drawn belts that are read: UNDERTRAY_IDEAL is the first seed and
// the one behind the last. Each crack is looked for by the best filter for it (a known signal in noise of a known
// covariance: Hotelling's observer, from memory), which is told its exact place, shape and light from pictures drawn
// with and without it; the noise is that of the same belt drawn without cracks, its covariance from the other ribs.
// Counts are then drawn by lot, with a place each half millimetre that deceives as often as a normal value is beyond
// the limit.
func TestIdealFilter(t *testing.T) {
	var from, to uint64
	if n, _ := fmt.Sscan(os.Getenv("UNDERTRAY_IDEAL"), &from, &to); n != 2 {
		t.Skip("UNDERTRAY_IDEAL says on which drawn belts an ideal filter is tried")
	}
	limits := [...]float64{3.1, 4, 4.5, 5}
	var missed, good [len(limits)]float64
	belts, tips := 0.0, 0.0
	for seed := from; seed < to; seed++ {
		all, f, ok := idealTips(t, drawn.Any(seed))
		if !ok {
			continue
		}
		belts, tips = belts+1, tips+float64(len(all))
		for k, limit := range limits {
			for _, c := range all {
				missed[k] += 0.5 * math.Erfc((c.d-limit)/math.Sqrt2)
			}
			good[k] += goodByLot(all, f, limit, rand.New(rand.NewPCG(seed, 9)))
		}
	}
	for k, limit := range limits {
		t.Logf("limit %.1f: of %.0f cracks on ribs missed %.3f; of %.0f belts counts good %.3f", limit, tips,
			missed[k]/tips, belts, good[k]/belts)
	}
}

// goodByLot is how often a count is within one or a tenth where cracks beyond a limit are seen.
func goodByLot(all []idealTip, f Frame, limit float64, r *rand.Rand) float64 {
	const lots = 200
	good := 0.0
	for range lots {
		truth, read := make([][]onRib, f.Ribs()), make([][]onRib, f.Ribs())
		for _, c := range all {
			truth[c.rib] = append(truth[c.rib], onRib{along: c.along})
			if r.NormFloat64()+c.d > limit {
				read[c.rib] = append(read[c.rib], onRib{along: c.along})
			}
		}
		for k := range read {
			for y := 0.25; y < f.Size().Y; y += 0.5 {
				if r.NormFloat64() > limit {
					read[k] = append(read[k], onRib{along: y})
				}
			}
		}
		n, m := mostOfAll(truth), mostOfAll(read)
		if math.Abs(float64(n-m)) <= max(1, 0.1*float64(n)) {
			good += 1. / lots
		}
	}
	return good
}

func mostOfAll(ribs [][]onRib) (most int) {
	for _, on := range ribs {
		slices.SortFunc(on, func(a, b onRib) int { return cmp.Compare(a.along, b.along) })
		most = max(most, len(mostOn(on, longSpan)))
	}
	return most
}

// idealTips draws a belt with and without its cracks, and both once more without noise.
func idealTips(t *testing.T, s drawn.Scene) (out []idealTip, f Frame, ok bool) {
	p := s.Render()
	b, ok := squared(t, p)
	if !ok {
		return nil, f, false
	}
	f = laid(p.Gray, BeltOptions{Pitch: pitchPK}).Frame
	evened := func(s drawn.Scene) []glimpse {
		st, err := f.Strip(s.Render().Gray, b.strip.PerMM)
		if err != nil {
			t.Fatal(err)
		}
		return evenRibs(st)
	}
	bare := s
	bare.Cracks = nil
	noise := evened(bare)
	s.Noise, s.Quality, bare.Noise, bare.Quality = 0, 0, 0, 0
	with, without := evened(s), evened(bare)
	tiles := make([][][]float32, len(noise))
	for k, g := range noise {
		for x := range eyeWide { // columns over their own noise
			n, _ := spread(g.value[x*g.h:(x+1)*g.h], 1, nil)
			for _, v := range [][]float32{g.value, with[k].value, without[k].value} {
				for y := range g.h {
					v[x*g.h+y] /= float32(max(n, 0.002))
				}
			}
		}
		for y := 0; y+idealHigh <= g.h; y += 3 {
			tiles[k] = append(tiles[k], g.tile(y))
		}
	}
	for _, tip := range b.tips {
		y := int(math.Round(tip.along*eyeWide/b.strip.Pitch-0.5)) - idealHigh/2
		if y < 0 || y+idealHigh > noise[tip.rib].h {
			continue
		}
		signal := without[tip.rib].tile(y)
		for i, v := range with[tip.rib].tile(y) {
			signal[i] -= v
		}
		w := whitened(signal, slices.Concat(slices.Concat(tiles[:tip.rib]...), slices.Concat(tiles[tip.rib+1:]...)))
		var sums []float32
		for _, n := range tiles[tip.rib] {
			sums = append(sums, dot32(w, n))
		}
		middle := slices.Sorted(slices.Values(sums))[len(sums)/2]
		for i := range sums {
			sums[i] -= middle
		}
		sigma, _ := spread(sums, 1, nil)
		out = append(out, idealTip{tip.rib, tip.along, float64(dot32(w, signal)) / sigma})
	}
	return out, f, true
}

// evenRibs are ribs as the net sees them, but for the noise that it has them over.
func evenRibs(s Strip) []glimpse {
	perMM := eyeWide / s.Pitch
	p := s.resampled(eyeWide*s.Ribs, int(math.Round(float64(s.Height)*perMM/s.PerMM)))
	out := make([]glimpse, s.Ribs)
	for r := range out {
		l := lane{rib: r, perMM: perMM, x0: float64(eyeWide * r), w: eyeWide, h: p.Height}
		l.share = make([]float32, l.w*l.h)
		l.even(p)
		out[r] = glimpse{h: l.h, value: l.share}
	}
	return out
}

func (g glimpse) tile(y int) []float32 {
	out := make([]float32, 0, eyeWide*idealHigh)
	for x := range eyeWide {
		out = append(out, g.value[x*g.h+y:][:idealHigh]...)
	}
	return out
}

func dot32(a, b []float32) (sum float32) {
	b = b[:len(a)]
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// whitened is a signal through the inverse of the covariance of tiles, 0.3 added on its diagonal, by conjugate
// gradients.
func whitened(signal []float32, tiles [][]float32) []float32 {
	w, r := make([]float32, len(signal)), slices.Clone(signal)
	p, rr := slices.Clone(r), dot32(r, r)
	for begin, k := rr, 0; k < 25 && rr > 1e-4*begin; k++ {
		ap := make([]float32, len(p))
		for i, v := range p {
			ap[i] = 0.3 * v
		}
		for _, n := range tiles {
			c := dot32(n, p) / float32(len(tiles))
			for i, v := range n {
				ap[i] += c * v
			}
		}
		a, before := rr/dot32(p, ap), rr
		for i := range w {
			w[i] += a * p[i]
			r[i] -= a * ap[i]
		}
		rr = dot32(r, r)
		for i := range p {
			p[i] = r[i] + rr/before*p[i]
		}
	}
	return w
}
