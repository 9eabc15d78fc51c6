package drive

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"

	"pgregory.net/rapid"
)

// draw is a source of numbers: rapid for properties, a seeded generator for
// fuzzing and counting.
type draw interface {
	between(name string, lo, hi float64) float64
	upTo(name string, n int) int // 0 to n-1
}

type rapidDraw struct{ t *rapid.T }

func (d rapidDraw) between(name string, lo, hi float64) float64 {
	return rapid.Float64Range(lo, hi).Draw(d.t, name)
}
func (d rapidDraw) upTo(name string, n int) int { return rapid.IntRange(0, n-1).Draw(d.t, name) }

type seeded struct{ r *rand.Rand }

func (d seeded) between(_ string, lo, hi float64) float64 { return lo + (hi-lo)*d.r.Float64() }
func (d seeded) upTo(_ string, n int) int                 { return d.r.IntN(n) }

// drawRun makes a run of pulleys strung round a ring, idlers on the back pushed
// inwards; about half of what it makes can be laid.
func drawRun(d draw) Run {
	n := 2 + d.upTo("pulleys", 8)
	sections := []Section{PK(), PJ(), AV10(), AV13(), FlatSection(2)}
	r := Run{
		Belt: Belt{Section: sections[d.upTo("section", len(sections))], Ribs: 1 + float64(d.upTo("ribs", 8)),
			KgPerM: d.between("mass", 0.02, 0.3)},
		Friction: Friction{Mu: d.between("mu", 0.1, 0.8)},
	}
	turn := 1.0
	if d.upTo("way", 2) == 0 {
		turn = -1
	}
	for i := range n {
		a := turn * 2 * math.Pi * (float64(i) + d.between("shift", -0.2, 0.2)) / float64(n)
		p := Pulley{Name: fmt.Sprintf("p%d", i), DiameterMM: d.between("diameter", 40, 160), Driver: i == 0,
			Measured: Measure(d.upTo("measure", 3))}
		reach := d.between("reach", 200, 420)
		if i > 0 && n > 3 && d.upTo("back", 4) == 0 {
			p.Side, p.Measured = BackSide, Plain
			reach *= d.between("in", 0.35, 0.8)
		}
		p.Centre = Point{reach * math.Cos(a), reach * math.Sin(a)}
		p.Load = drawLoad(d)
		p.Axial = Axial{d.between("z", -2, 2), d.between("tiltx", -1, 1), d.between("tilty", -1, 1)}
		if d.upTo("bearing", 3) == 0 {
			p.Bearing = &Bearing{DynamicN: 9550, Elements: 8, ElementMM: 6.746, PitchMM: 28.5, OuterTurns: true}
		}
		r.Pulleys = append(r.Pulleys, p)
	}
	r.Tensioner = drawTensioner(d, &r)
	return r
}

func drawLoad(d draw) Load {
	switch d.upTo("load", 4) {
	case 0:
		return Load{Kind: TorqueLoad, Value: d.between("torque", 0, 12)}
	case 1:
		return Load{Kind: PowerLoad, Value: d.between("power", 0, 2500)}
	case 2:
		return Load{Kind: PowerLoad,
			Table: []LoadPoint{{0, 0}, {1500, d.between("low", 0, 800)}, {6000, d.between("high", 0, 3000)}}}
	}
	return Load{}
}

func drawTensioner(d draw, r *Run) Tensioner {
	t := Tensioner{Kind: TensionerKind(d.upTo("kind", 5)), SetN: d.between("set", 50, 600)}
	if t.Kind == NoTensioner {
		return t
	}
	k := 1 + d.upTo("which", len(r.Pulleys)-1)
	t.Pulley = r.Pulleys[k].Name
	if t.Kind.Sprung() {
		r.Pulleys[k].Load = Load{}
		t.SetN = 0
	}
	c := r.Pulleys[k].Centre
	a := d.between("arm", -math.Pi, math.Pi)
	t.Pivot = Point{c.X + 75*math.Cos(a), c.Y + 75*math.Sin(a)}
	t.SlideDeg = deg(a)
	t.Low, t.High = -d.between("low stop", 1, 25), d.between("high stop", 1, 25)
	t.Spring, t.Rate = d.between("spring", 5, 60), d.between("rate", 0, 0.3)
	if t.Kind == SpringSlider {
		t.Spring *= 10
	}
	t.Marks = []Mark{{"new", t.Low / 2}, {"worn", t.High / 2}}
	return t
}

// badFloat walks a value and returns the path to the first NaN or infinity.
func badFloat(v reflect.Value, path string) string {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return fmt.Sprintf("%s = %g", path, f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if bad := badFloat(v.Field(i), path+"."+v.Type().Field(i).Name); bad != "" {
				return bad
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if bad := badFloat(v.Index(i), fmt.Sprintf("%s[%d]", path, i)); bad != "" {
				return bad
			}
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return badFloat(v.Elem(), path)
		}
	}
	return ""
}
