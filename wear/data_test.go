package wear_test

import (
	"math"
	"testing"

	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/wear"
)

// The open degradation data are described, with their sources, in section 4 of
// shared/reference/reliability.md: Alloy-A fatigue cracks (Hudak and others 1978; Lu and Meeker
// 1993), GaAs lasers and sliding metal wear (Meeker and Escobar 1998, table C.17 and sliding wear).

// degradation is one open data set: units in order, each with its path.
type degradation struct {
	name  string
	limit wear.Limit
	units []string
	paths []wear.Path
}

// load reads a data file with the columns of unit, exposure and value.
func load(t testing.TB, file string, limit float64, unit, exposure, value int) degradation {
	t.Helper()
	d := degradation{name: file, limit: wear.Limit{Value: limit}}
	for _, row := range given.Table(t, "data", "reliability", file) {
		if n := len(d.units); n == 0 || d.units[n-1] != row[unit] {
			d.units = append(d.units, row[unit])
			d.paths = append(d.paths, nil)
		}
		last := len(d.paths) - 1
		d.paths[last] = append(d.paths[last],
			wear.Observation{Exposure: []float64{given.Number(t, row[exposure])}, Value: given.Number(t, row[value])})
	}
	return d
}

func alloy(t testing.TB) degradation { return load(t, "alloy_a.csv", 1.6, 0, 1, 2) }
func lasers(t testing.TB) degradation {
	return load(t, "gaas_laser.csv", 10, 0, 1, 2)
}
func metal(t testing.TB, limit float64) degradation {
	return load(t, "metalwear.csv", limit, 1, 2, 0)
}

func (d degradation) unit(t testing.TB, name string) wear.Path {
	t.Helper()
	for i, u := range d.units {
		if u == name {
			return d.paths[i]
		}
	}
	t.Fatalf("no unit %s", name)
	return nil
}

// others returns the paths of all units but one.
func (d degradation) others(i int) []wear.Path {
	out := append([]wear.Path(nil), d.paths[:i]...)
	return append(out, d.paths[i+1:]...)
}

func near(t testing.TB, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.10g, want %.10g", what, got, want)
	}
}
