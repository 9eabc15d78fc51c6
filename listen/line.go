package listen

import "math"

// Line evidence: the log of how far the strongest of three neighbouring bins stands above a running median.
// Noise bins are exponential; their median times 1/ln 2 is their mean, and the 4 takes off what the best of three bins
// reaches by chance more often than not.

// levelled is a spectrum divided by its running median over width [Hz], so that noise averages 1.
func levelled(s Spectrum, width float64) []float64 {
	k := max(int(width/s.Step)|1, 5)
	out := background(s.Power, k)
	for i, b := range out {
		out[i] = s.Power[i] / max(b/math.Ln2, 1e-300)
	}
	return out
}

// evidence per bin, between 0 and most [nats].
func evidence(level []float64, most float64) []float64 {
	e := max3(level)
	for i, v := range e {
		e[i] = min(max(math.Log(max(v, 1e-9)/4), 0), most)
	}
	return e
}

// meanEvidence turns the mean of several levelled spectra, whose noise is a gamma variable and not an exponential
// one, into evidence on the same footing: half the distance above a running median in standard deviations, less a
// half; beyond three deviations its log goes on with the same slope.
func meanEvidence(level []float64, step, width, most float64) []float64 {
	m := max3(level)
	bg := background(m, int(width/step)|1)
	d := make([]float64, len(m))
	for i := range m {
		d[i] = math.Abs(m[i] - bg[i])
	}
	sd := max(madToSD*median(d), 1e-12)
	for i := range m {
		z := (m[i] - bg[i]) / sd
		if z < 3 {
			m[i] = max((z-1)/2, 0)
			continue
		}
		m[i] = min(1+1.5*math.Log(z/3), most)
	}
	return m
}

// madToSD turns the median absolute deviation of a normal variable into its standard deviation.
const madToSD = 1.4826

// at is the value nearest a frequency, 0 outside.
func at(e []float64, hz, step float64) float64 {
	i := int(math.Round(hz / step))
	if i < 0 || i >= len(e) {
		return 0
	}
	return e[i]
}
