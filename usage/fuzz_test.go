package usage_test

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/usage"
)

// FuzzFit reads the bytes as pairs of numbers: whatever they are, Fit either refuses or gives a
// forecast whose answers are numbers in order.
func FuzzFit(f *testing.F) {
	f.Add(encode(0, 0, 10, 300, 400, 9000), 0.0, 500.0, 12000.0)
	f.Add(encode(), 8000.0, -3.0, 1.0)
	f.Add(encode(5, 70), 8000.0, 5.0, 70.0)
	f.Add(encode(5, 70, 5, 80, 5.0001, 1e12), 0.0, 1e8, 1e12)
	f.Add(encode(-1e8, 0, 1e8, 1), 1e12, 0.0, 0.5)
	f.Add(encode(0, math.NaN()), math.Inf(1), math.NaN(), math.NaN())
	f.Add(encode(0, 5, 1, 4), 0.0, 0.0, 0.0)
	random := rand.New(rand.NewPCG(5, 6))
	for raw := range harm.Harmed(encode(0, 0, 10, 300, 400, 9000), encode(5, 70, 5, 80, 5.0001, 1e12)) {
		f.Add(raw, 12000*random.NormFloat64(), 1000*random.NormFloat64(), 1e6*random.NormFloat64())
	}
	f.Fuzz(func(t *testing.T, raw []byte, yearly, day, distance float64) {
		model, err := usage.Fit(decode(raw), usage.Options{YearlyDistance: yearly})
		if err != nil {
			return
		}
		b := model.Basis()
		for _, x := range []float64{b.SpanDays, b.YearlyShare, b.RatePerDay, b.YearScatter, b.ScatterShare,
			b.ChangeChance} {
			if !(x >= 0) || math.IsInf(x, 0) {
				t.Fatalf("basis %+v", b)
			}
		}
		if p, err := model.At(day); err == nil {
			slack := 1e-9 * p.High
			if !(p.Low >= 0 && p.Expected >= p.Low-slack && p.High >= p.Expected-slack) || math.IsInf(p.High, 0) {
				t.Fatalf("day %g: %+v", day, p)
			}
		}
		if a, err := model.When(distance); err == nil {
			if !(a.Earliest <= a.Expected && a.Expected <= a.Latest) {
				t.Fatalf("distance %g: %+v", distance, a)
			}
		}
	})
}

func encode(values ...float64) []byte {
	var out []byte
	for _, v := range values {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
	}
	return out
}

func decode(raw []byte) []usage.Reading {
	var out []usage.Reading
	for ; len(raw) >= 16; raw = raw[16:] {
		out = append(out, usage.Reading{
			Day:      math.Float64frombits(binary.LittleEndian.Uint64(raw)),
			Distance: math.Float64frombits(binary.LittleEndian.Uint64(raw[8:])),
		})
	}
	return out
}
