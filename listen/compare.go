package listen

import (
	"math"
)

// BandChange is one third-octave band of two recordings.
type BandChange struct {
	From, To float64 // Hz
	A, B     float64 // level of each, dB relative to full scale squared
	Change   float64 // B - A less the overall Gain, dB
}

// Comparison of two recordings.
type Comparison struct {
	Bands []BandChange
	Gain  float64 // median of B - A [dB]: distance, level control or a louder machine, which cannot be told apart
	Most  int     // index of the band that rose most above the gain
}

// Compare sets two recordings side by side in third-octave bands from 50 Hz (base-ten bands of IEC 61260-1: mid
// frequencies 1000 x 10^(n/10) Hz) up to what both hold. Levels of different places or devices differ anyway: the
// median difference is taken off, and only what stands out from it says something. Record both in the same way, one
// after the other.
func Compare(a, b Recording) (Comparison, error) {
	pa, err := piecesOf(a)
	if err != nil {
		return Comparison{}, err
	}
	pb, err := piecesOf(b)
	if err != nil {
		return Comparison{}, err
	}
	top := min(a.Rate, b.Rate) / 2
	var out Comparison
	var diff []float64
	for n := -13; ; n++ {
		mid := 1000 * math.Pow(10, float64(n)/10)
		q := BandChange{From: mid * math.Pow(10, -0.05), To: mid * math.Pow(10, 0.05)}
		if q.To > top {
			break
		}
		q.A, q.B = pa.band(q.From, q.To), pb.band(q.From, q.To)
		out.Bands = append(out.Bands, q)
		diff = append(diff, q.B-q.A)
	}
	out.Gain = median(diff)
	for i := range out.Bands {
		out.Bands[i].Change = diff[i] - out.Gain
		if out.Bands[i].Change > out.Bands[out.Most].Change {
			out.Most = i
		}
	}
	return out, nil
}

// piecesOf is a Welch spectrum with bins of 2 to 4 Hz.
func piecesOf(r Recording) (Spectrum, error) {
	if r.Seconds() < 1 {
		return Spectrum{}, wrap(ErrTooShort, "short to compare", figure("lasts", r.Seconds(), "s"))
	}
	return Welch(r, shorter(int(r.Rate*0.4)))
}

// band is the level between two frequencies [dB], bins cut at the edges counted in part.
func (s Spectrum) band(from, to float64) float64 {
	sum := 0.0
	for k := max(int(from/s.Step-0.5), 0); k < len(s.Power); k++ {
		lo, hi := (float64(k)-0.5)*s.Step, (float64(k)+0.5)*s.Step
		if lo > to {
			break
		}
		if w := min(hi, to) - max(lo, from); w > 0 {
			sum += s.Power[k] * w
		}
	}
	return 10 * math.Log10(max(sum, 1e-30))
}
