package surface

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"testing"

	"undertray.example/undertray/surface/drawn"
)

// TestEyeStrips writes the strips that fit/eyes.py fits the net on: UNDERTRAY_STRIPS is a folder, the first seed and
// the one behind the last. Belts are drawn and read as ReadBelt reads them, frames that lie off and all; one in four is
// sound, and of one in three the picture is changed as telephones change theirs. What is there already stays.
func TestEyeStrips(t *testing.T) {
	var dir string
	var from, to uint64
	if n, _ := fmt.Sscan(os.Getenv("UNDERTRAY_STRIPS"), &dir, &from, &to); n != 3 {
		t.Skip("UNDERTRAY_STRIPS says where to write strips of which seeds")
	}
	var wait sync.WaitGroup
	room := make(chan bool, runtime.GOMAXPROCS(0))
	for seed := from; seed < to; seed++ {
		name := filepath.Join(dir, fmt.Sprintf("train-%d.eye", seed))
		if _, err := os.Stat(name); err == nil {
			continue
		}
		room <- true
		wait.Go(func() {
			defer func() { <-room }()
			if b := eyeStrip(t, seed); b != nil {
				err := os.WriteFile(name+"~", b, 0o644)
				if err == nil { // eyes.py may look at the folder meanwhile
					err = os.Rename(name+"~", name)
				}
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
}

// eyeStrip is a drawn belt as the net sees it, with the places of its cracks and the lines found before; nothing where
// it is refused or has another number of ribs than was drawn.
func eyeStrip(t *testing.T, seed uint64) []byte {
	s := drawn.Any(seed)
	if seed%4 == 3 {
		s = drawn.Clean(seed)
	}
	p := s.Render()
	phone := seed%3 == 1
	if phone {
		p.Gray = phoned(p.Gray, rand.New(rand.NewPCG(seed, 77)))
	}
	look := squared
	if seed%10 == 0 { // what is held out is compared with lines
		look = linesOn
	}
	b, ok := look(t, p)
	g := glimpses(b.strip)
	if !ok || g == nil {
		return nil
	}
	all := slices.Concat(b.ribs...)
	var out bytes.Buffer
	put := func(v any) {
		if err := binary.Write(&out, binary.LittleEndian, v); err != nil {
			t.Error(err)
		}
	}
	flags := int32(0)
	if seed%4 == 3 {
		flags |= 1
	}
	if phone {
		flags |= 2
	}
	put([]int32{int32(len(g)), int32(g[0].h), int32(len(b.tips)), int32(len(all)), int32(seed), flags})
	put(float32(b.strip.PerMM))
	for _, e := range g {
		v := make([]int8, len(e.value))
		for i, x := range e.value {
			v[i] = int8(math.Round(float64(x) * 15))
		}
		put(v)
	}
	for _, e := range g {
		put(e.side)
	}
	k := eyeWide / b.strip.Pitch
	for _, c := range b.tips {
		put([]float32{float32(c.rib), float32(c.along*k - 0.5), float32(c.clarity)})
	}
	for _, l := range all {
		is := float32(-1)
		if b.cracks[l] {
			is = 1
		}
		y := b.strip.Belt(Point{0, l.y}).Y
		put([]float32{float32(l.rib), float32(y*k - 0.5), float32(l.chance), float32(l.look.alone()),
			float32(l.look.Z), is})
	}
	return out.Bytes()
}

// phoned changes a picture by lot as telephones change theirs: blurred a little, small detail cored out of the noise,
// sharpened, light bent by a curve, sent through JPEG once more.
func phoned(p *image.Gray, r *rand.Rand) *image.Gray {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	v := make([]float64, w*h)
	for i := range v {
		v[i] = float64(p.Pix[i/w*p.Stride+i%w])
	}
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	if r.IntN(3) == 0 {
		v = blurredBy(v, w, h, between(0.3, 0.9))
	}
	if r.IntN(2) == 0 {
		t, keep := between(0.5, 4), between(0, 0.6)
		for i, b := range blurredBy(v, w, h, between(0.7, 1.5)) {
			d := math.Abs(v[i] - b)
			v[i] = b + math.Copysign(max(d-t, 0)+keep*min(d, t), v[i]-b)
		}
	}
	if r.IntN(3) > 0 {
		a := between(0.3, 1.5)
		for i, b := range blurredBy(v, w, h, between(0.7, 2)) {
			v[i] += a * (v[i] - b)
		}
	}
	gamma, gain, bend := between(0.75, 1.35), between(0.75, 1.15), between(-0.1, 0.25)
	out := image.NewGray(image.Rect(0, 0, w, h))
	for i, x := range v {
		u := math.Pow(min(max(x/255, 0), 1), gamma) * gain
		u += 3 * bend * u * (1 - u) * (u - 0.4)
		out.Pix[i] = uint8(min(max(255*u+0.5, 0), 255))
	}
	if r.IntN(3) == 0 {
		return out
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, out, &jpeg.Options{Quality: 55 + r.IntN(40)}); err != nil {
		panic(err) // a buffer takes all
	}
	again, err := jpeg.Decode(&b)
	if err != nil {
		panic(err) // it was just written
	}
	return again.(*image.Gray)
}

// blurredBy is a picture blurred by a Gaussian.
func blurredBy(v []float64, w, h int, sigma float64) []float64 {
	n := int(math.Ceil(3 * sigma))
	kernel, total := make([]float64, 2*n+1), 0.0
	for j := range kernel {
		kernel[j] = math.Exp(-float64((j-n)*(j-n)) / (2 * sigma * sigma))
		total += kernel[j]
	}
	across, out := make([]float64, w*h), make([]float64, w*h)
	for i := range v {
		for j, k := range kernel {
			across[i] += k / total * v[i/w*w+min(max(i%w+j-n, 0), w-1)]
		}
	}
	for i := range v {
		for j, k := range kernel {
			out[i] += k / total * across[min(max(i/w+j-n, 0), h-1)*w+i%w]
		}
	}
	return out
}
