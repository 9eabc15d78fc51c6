package wear_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"undertray.example/undertray/wear"
)

// Invented measurements of plain cases; what is checked are laws, not figures.

func path(points ...[2]float64) wear.Path {
	var p wear.Path
	for _, x := range points {
		p = append(p, wear.Observation{Exposure: []float64{x[0]}, Value: x[1]})
	}
	return p
}

func prepare(t testing.TB, l wear.Limit, prior wear.Prior, peers []wear.Path, axes int) *wear.Kind {
	t.Helper()
	k, err := wear.Prepare(l, prior, peers, axes)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

var newToTen = wear.Prior{HasStart: true, Start: 1, Life: []float64{100}}

func ordered(t *testing.T, c wear.Crossing) {
	t.Helper()
	if !(c.Earliest <= c.Expected && c.Expected <= c.Latest) {
		t.Errorf("not in order: %+v", c)
	}
}

// One measurement leaves the rate to the prior; more take it over, and narrow the band.
func TestMeasurementsTakeOver(t *testing.T) {
	k := prepare(t, wear.Limit{Value: 10}, newToTen, nil, 1)
	last, width := 1.0, math.Inf(1)
	full := path([2]float64{0, 1}, [2]float64{20, 4}, [2]float64{30, 5.5}, [2]float64{40, 7})
	for n := 1; n <= len(full); n++ {
		f := forecast(t, k, full[:n])
		c, b := f.Crossing(), f.Basis()
		ordered(t, c)
		if w := math.Log(c.Latest / c.Earliest); w > width {
			t.Errorf("%d measurements widen the band: %v to %v", n, width, w)
		} else {
			width = w
		}
		if b.Own != n || b.PriorWeight > last+1e-9 {
			t.Errorf("%d: %+v after %v", n, b, last)
		}
		last = b.PriorWeight
		if n == 1 && (math.Abs(b.PriorWeight-1) > 0.1 || math.Abs(c.Expected-100) > 10) {
			t.Errorf("one measurement: %+v %+v", c, b)
		}
		if n == len(full) && (last > 0.2 || c.Expected < 50 || c.Expected > 70) {
			t.Errorf("all: %+v %+v, a straight line crosses at 60", c, b)
		}
	}
}

func TestTooLittle(t *testing.T) {
	k := prepare(t, wear.Limit{Value: 10}, wear.Prior{}, nil, 1)
	for _, own := range []wear.Path{nil, path([2]float64{5, 3})} {
		if _, err := k.Forecast(own); !errors.Is(err, wear.ErrTooLittle) {
			t.Errorf("%v: %v", own, err)
		}
	}
	f := forecast(t, k, path([2]float64{0, 1}, [2]float64{20, 4}))
	c := f.Crossing()
	ordered(t, c)
	if c.Latest/c.Earliest < 2 || f.Basis().PriorWeight <= 0 {
		t.Errorf("two measurements claim too much: %+v", c)
	}
}

// The same wear read as what is left instead of what is gone.
func TestFallingValues(t *testing.T) {
	prior := wear.Prior{HasStart: true, Start: 10, Life: []float64{100}}
	k := prepare(t, wear.Limit{Value: 3, Falling: true}, prior, nil, 1)
	f := forecast(t, k, path([2]float64{0, 10}, [2]float64{20, 8.6}, [2]float64{40, 7.2}, [2]float64{50, 6.5}))
	c := f.Crossing()
	ordered(t, c)
	if c.Earliest > 100 || c.Latest < 100 || math.Abs(c.Expected-100) > 15 {
		t.Errorf("a straight line falls to the limit at 100: %+v", c)
	}
	v := f.ValueAt(80)
	if !(v.Low < v.Mid && v.Mid < v.High) || math.Abs(v.Mid-4.4) > 0.6 {
		t.Errorf("value at 80: %+v", v)
	}
	s, err := f.Compare(60, 4.4) // a fall of 2.1 where 0.7 was due
	if err != nil || !s.Contradicts || !s.Faster || math.Abs(s.Factor-3) > 0.7 {
		t.Errorf("three times the wear expected: %+v, %v", s, err)
	}
}

func TestSurprise(t *testing.T) {
	k := prepare(t, wear.Limit{Value: 10}, newToTen, nil, 1)
	f := forecast(t, k, path([2]float64{0, 1}, [2]float64{10, 2}, [2]float64{20, 3}, [2]float64{30, 4}))
	usual, err1 := f.Compare(40, 5)
	fast, err2 := f.Compare(40, 7)
	back, err3 := f.Compare(40, 2)
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Fatal(err)
	}
	if usual.Contradicts || math.Abs(usual.Factor-1) > 0.2 {
		t.Errorf("as expected: %+v", usual)
	}
	if !fast.Contradicts || !fast.Faster || math.Abs(fast.Factor-3) > 0.6 {
		t.Errorf("three times: %+v", fast)
	}
	if !back.Contradicts || back.Faster || back.Factor > 0 {
		t.Errorf("went back: %+v", back)
	}
	if _, err := f.Compare(30, 4); err == nil {
		t.Error("no time passed and it was taken")
	}
	if _, err := f.Compare(40, math.NaN()); err == nil {
		t.Error("NaN was taken")
	}
}

// Counts scatter more, so the band of counts is wider than that of the same numbers measured.
func TestCounts(t *testing.T) {
	own := path([2]float64{10, 1}, [2]float64{20, 3}, [2]float64{30, 4})
	prior := wear.Prior{Life: []float64{80}}
	measured := forecast(t, prepare(t, wear.Limit{Value: 12}, prior, nil, 1), own).Crossing()
	counted := forecast(t, prepare(t, wear.Limit{Value: 12, Counts: true}, prior, nil, 1), own).Crossing()
	ordered(t, counted)
	if counted.Latest/counted.Earliest <= measured.Latest/measured.Earliest {
		t.Errorf("counted %+v, measured %+v", counted, measured)
	}
	zeros := forecast(t, prepare(t, wear.Limit{Value: 12, Counts: true}, prior, nil, 1),
		path([2]float64{10, 0}, [2]float64{30, 0}))
	if c := zeros.Crossing(); !(c.Expected > 50) || math.IsNaN(c.Latest) {
		t.Errorf("nothing counted yet: %+v", c)
	}
}

func TestReadingError(t *testing.T) {
	own := path([2]float64{0, 1}, [2]float64{20, 3}, [2]float64{40, 5})
	k := prepare(t, wear.Limit{Value: 10}, newToTen, nil, 1)
	fine := forecast(t, k, own).Crossing()
	for i := range own {
		own[i].SD = 1.5
	}
	rough := forecast(t, k, own).Crossing()
	if rough.Latest-rough.Earliest <= fine.Latest-fine.Earliest {
		t.Errorf("rough readings %+v, fine %+v", rough, fine)
	}
}

func TestCrossed(t *testing.T) {
	k := prepare(t, wear.Limit{Value: 10}, newToTen, nil, 1)
	f := forecast(t, k, path([2]float64{0, 1}, [2]float64{20, 6}, [2]float64{40, 11}))
	c := f.Crossing()
	if !c.Crossed || math.Abs(c.Expected-36) > 1e-9 || f.PastBy(35) != 0 || f.PastBy(36) != 1 {
		t.Errorf("%+v", c)
	}
}

// PastBy never falls and agrees with Quantile.
func TestChancesAgree(t *testing.T) {
	k := prepare(t, wear.Limit{Value: 10}, newToTen, nil, 1)
	f := forecast(t, k, path([2]float64{0, 1}, [2]float64{20, 3}))
	last := 0.0
	for x := 20.0; x < 500; x += 10 {
		p := f.PastBy(x)
		if p < last-1e-9 || p < 0 || p > 1 {
			t.Errorf("chance falls at %v: %v after %v", x, p, last)
		}
		last = p
	}
	for _, q := range []float64{0.1, 0.25, 0.5, 0.9} {
		near(t, "quantile", f.PastBy(f.Quantile(q)), q, 1e-4)
	}
}

// Other units of exposure and value change nothing but the units.
func TestUnits(t *testing.T) {
	a := forecast(t, prepare(t, wear.Limit{Value: 10}, newToTen, nil, 1),
		path([2]float64{0, 1}, [2]float64{20, 3}, [2]float64{30, 4.4})).Crossing()
	prior := wear.Prior{HasStart: true, Start: 25.4, Life: []float64{160_934.4}}
	b := forecast(t, prepare(t, wear.Limit{Value: 254}, prior, nil, 1),
		path([2]float64{0, 25.4}, [2]float64{32_186.88, 76.2}, [2]float64{48_280.32, 111.76})).Crossing()
	near(t, "earliest", b.Earliest, a.Earliest*1609.344, 1e-5)
	near(t, "expected", b.Expected, a.Expected*1609.344, 1e-5)
	near(t, "latest", b.Latest, a.Latest*1609.344, 1e-5)
}

// Peers that wear alike make the forecast of one measurement narrow; peers of all sorts do not.
func TestPartialPooling(t *testing.T) {
	var alike, sorts []wear.Path
	for i := range 6 {
		rate := 0.1 * (1 + 0.03*float64(i-2))
		wide := 0.1 * math.Pow(2, float64(i-2))
		alike = append(alike, path([2]float64{0, 1}, [2]float64{30, 1 + 30*rate}, [2]float64{60, 1 + 60*rate}))
		sorts = append(sorts, path([2]float64{0, 1}, [2]float64{30, 1 + 30*wide}, [2]float64{60, 1 + 60*wide}))
	}
	own := path([2]float64{30, 4})
	a := forecast(t, prepare(t, wear.Limit{Value: 10}, wear.Prior{}, alike, 1), own).Crossing()
	s := forecast(t, prepare(t, wear.Limit{Value: 10}, wear.Prior{}, sorts, 1), own).Crossing()
	if !(s.Latest/s.Earliest > 1.5*a.Latest/a.Earliest) {
		t.Errorf("alike %+v, all sorts %+v", a, s)
	}
}

// Wear that follows one exposure while the other goes its own way is forecast in that one.
func TestWhichExposure(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for axis := range 2 {
		var own wear.Path
		x := []float64{0, 0}
		for range 8 {
			own = append(own, wear.Observation{Exposure: []float64{x[0], x[1]}, Value: 1 + 0.1*x[axis]})
			x[axis] += 4 + 8*r.Float64()
			x[1-axis] += 2 + 20*r.Float64()
		}
		if len(own) != 8 {
			t.Fatal("no path")
		}
		f := forecast(t, prepare(t, wear.Limit{Value: 12}, wear.Prior{}, nil, 2), own)
		if b := f.Basis(); !b.AxisTold || b.Axis != axis || b.AxisShare < 0.8 {
			t.Errorf("axis %d: %+v", axis, b)
		}
		few := forecast(t, prepare(t, wear.Limit{Value: 12}, wear.Prior{}, nil, 2), own[:3])
		if few.Basis().AxisTold || few.Basis().Axis != 0 {
			t.Errorf("three measurements tell nothing: %+v", few.Basis())
		}
	}
}

func TestSameEveryTime(t *testing.T) {
	d := alloy(t)
	a := forecast(t, kindOf(t, d, 0, true), d.paths[0][:5])
	b := forecast(t, kindOf(t, d, 0, true), d.paths[0][:5])
	if !reflect.DeepEqual(a, b) {
		t.Error("two forecasts of the same data differ")
	}
}

func TestBadData(t *testing.T) {
	nan := math.NaN()
	paths := map[string]wear.Path{
		"value":            path([2]float64{0, nan}),
		"exposure":         path([2]float64{nan, 1}),
		"negative":         path([2]float64{-1, 1}),
		"backwards":        path([2]float64{5, 1}, [2]float64{4, 2}),
		"no exposure":      {{Value: 1}},
		"negative reading": {{Exposure: []float64{1}, Value: 1, SD: -1}},
	}
	k := prepare(t, wear.Limit{Value: 10}, newToTen, nil, 1)
	for name, p := range paths {
		var data *wear.DataError
		if _, err := k.Forecast(p); !errors.As(err, &data) || err.Error() == "" {
			t.Errorf("%s: own path gave %v", name, err)
		}
		if _, err := wear.Prepare(wear.Limit{Value: 10}, newToTen, []wear.Path{p}, 1); !errors.As(err,
			&data) || data.Path != 0 {
			t.Errorf("%s: peer gave %v", name, err)
		}
	}
	priors := map[string]wear.Prior{
		"beyond the limit": {HasStart: true, Start: 11},
		"start not set":    {Start: 1},
		"life":             {Life: []float64{-1}},
		"lives":            {Life: []float64{1, 2}},
		"life sd":          {LifeLogSD: 4},
		"start sd":         {HasStart: true, Start: 1, StartSD: nan},
	}
	for name, p := range priors {
		if _, err := wear.Prepare(wear.Limit{Value: 10}, p, nil, 1); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
	if _, err := wear.Prepare(wear.Limit{Value: nan}, wear.Prior{}, nil, 1); err == nil {
		t.Error("a limit that is no number was taken")
	}
	if _, err := wear.Prepare(wear.Limit{Value: 5, Counts: true, Falling: true}, wear.Prior{}, nil, 1); err == nil {
		t.Error("falling counts were taken")
	}
	if _, err := wear.Prepare(wear.Limit{Value: 10}, wear.Prior{}, nil, 3); err == nil {
		t.Error("three exposures were taken")
	}
}
