package lifetime_test

import (
	"math"
	"testing"

	"undertray.example/undertray/lifetime"
)

// Check R1: the energy at which ageing doubles over ten degrees, from R ln2 T1 T2/10.
func TestDoublingEnergies(t *testing.T) {
	want := map[float64]float64{15: 49.5123, 25: 52.9489, 40: 58.3198, 60: 65.8845, 70: 69.8398, 90: 78.0961,
		100: 82.3971, 120: 91.3450}
	for from, energy := range want {
		near(t, "doubles", must(lifetime.Acceleration(energy, from, from+10)), 2, 2e-6)
	}
}

// Check R2: acceleration factors, computed.
func TestAccelerations(t *testing.T) {
	steps := [][2]float64{{23, 70}, {23, 100}, {40, 90}, {80, 90}, {90, 100}}
	table := map[float64][5]float64{
		50:    {16.139, 66.034, 14.070, 1.5983, 1.5586},
		65:    {37.174, 232.11, 31.101, 1.8397, 1.7805},
		70:    {49.094, 352.92, 40.514, 1.9280, 1.8613},
		80:    {85.625, 815.88, 68.749, 2.1175, 2.0341},
		90:    {149.34, 1886.2, 116.66, 2.3257, 2.2229},
		92.05: {167.38, 2239.7, 130.02, 2.3709, 2.2637},
		100:   {260.47, 4360.5, 197.96, 2.5544, 2.4292},
	}
	for energy, factors := range table {
		for i, s := range steps {
			near(t, "factor", must(lifetime.Acceleration(energy, s[0], s[1])), factors[i], 1e-4)
		}
	}
}

// Checks R5 and R7: a duty profile (own example, computed), and one temperature.
func TestDutyProfile(t *testing.T) {
	profile := []lifetime.Stretch{{Celsius: 20, Time: 70}, {Celsius: 60, Time: 10}, {Celsius: 90, Time: 18},
		{Celsius: 110, Time: 2}}
	rows := [][3]float64{{70, 0.26223737, 70.17783}, {80, 0.27019131, 72.90794}, {90, 0.28218318, 75.21338}}
	for _, r := range rows {
		near(t, "mean rate", must(lifetime.MeanRate(r[0], 90, profile)), r[1], 1e-7)
		near(t, "equivalent", must(lifetime.EquivalentTemperature(r[0], profile)), r[2], 1e-6)
	}
	one := []lifetime.Stretch{{Celsius: 63.5, Time: 4}}
	near(t, "one temperature", must(lifetime.EquivalentTemperature(80, one)), 63.5, 1e-12)
	if _, err := lifetime.EquivalentTemperature(80, nil); err == nil {
		t.Error("an empty profile was taken")
	}
	if _, err := lifetime.MeanRate(80, -300, one); err == nil {
		t.Error("a temperature below absolute zero was taken")
	}
	if _, err := lifetime.MeanRate(80, 20, []lifetime.Stretch{{Celsius: 20, Time: math.NaN()}}); err == nil {
		t.Error("NaN was taken")
	}
}
