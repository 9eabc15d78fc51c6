package drive

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
)

// hostile replaces one number somewhere in a run.
func hostile(r *Run, which uint64, v float64) {
	var slots []reflect.Value
	var walk func(reflect.Value)
	walk = func(x reflect.Value) {
		switch x.Kind() {
		case reflect.Float64:
			slots = append(slots, x)
		case reflect.Struct:
			if x.Type() == reflect.TypeFor[Figure]() {
				return
			}
			for i := range x.NumField() {
				walk(x.Field(i))
			}
		case reflect.Slice:
			for i := range x.Len() {
				walk(x.Index(i))
			}
		case reflect.Pointer:
			if !x.IsNil() {
				walk(x.Elem())
			}
		}
	}
	walk(reflect.ValueOf(r).Elem())
	slots[which%uint64(len(slots))].SetFloat(v)
}

// FuzzRun makes a random run, replaces one number by anything, and asks every
// question: each answer is refused in words or free of NaN and infinities, and a
// run laid obeys the laws of the geometry.
func FuzzRun(f *testing.F) {
	f.Add(uint64(1), uint64(0), 0.0, false, 3000.0)
	f.Add(uint64(2), uint64(7), math.NaN(), true, 1500.0)
	f.Add(uint64(3), uint64(11), math.Inf(1), true, 6000.0)
	f.Add(uint64(4), uint64(23), -1e308, true, 0.0)
	f.Add(uint64(5), uint64(40), 1e-300, true, 1e-9)
	f.Fuzz(func(t *testing.T, seed, which uint64, v float64, spoil bool, rpm float64) {
		r := drawRun(seeded{rand.New(rand.NewPCG(seed, 1))})
		if spoil {
			hostile(&r, which, v)
		}
		d, err := New(r)
		if err != nil {
			refusedInWords(t, err)
			return
		}
		lawful(t, d)
		askEverything(t, d, rpm, v)
	})
}

func refusedInWords(t *testing.T, err error) {
	t.Helper()
	var ref *Refusal
	if !errors.As(err, &ref) || ref.Reason == NoFault || ref.Code == "" {
		t.Fatalf("refused without a reason: %v", err)
	}
	for _, s := range ref.Suggestions {
		if _, err := New(s.Run); err != nil && reason(err) != BadInput {
			t.Fatalf("suggestion %q does not work: %v", s.Code, err)
		}
	}
}

func lawful(t *testing.T, d *Drive) {
	t.Helper()
	l := d.Drawn()
	turn := 0.0
	for i, p := range l.Pulleys {
		turn += float64(p.Turns) * rad(p.WrapDeg)
		if p.ClearanceMM < 0 {
			t.Fatalf("the %s is cut by %g mm", p.Name, p.ClearanceMM)
		}
		if s := l.Spans[i]; !(s.LengthMM > 0) ||
			math.Abs(math.Hypot(s.To.X-s.From.X, s.To.Y-s.From.Y)-s.LengthMM) > 1e-6 {
			t.Fatalf("span %g mm between its tangent points", s.LengthMM)
		}
	}
	if math.Abs(math.Abs(turn)-2*math.Pi) > 1e-6 {
		t.Fatalf("turns through %g", turn)
	}
}

func askEverything(t *testing.T, d *Drive, rpm, v float64) {
	t.Helper()
	answer := func(name string, a any, err error) {
		t.Helper()
		if err != nil {
			refusedInWords(t, err)
			return
		}
		if bad := badFloat(reflect.ValueOf(a), name); bad != "" {
			t.Fatal(bad)
		}
	}
	answer("Drawn", d.Drawn(), nil)
	l, err := d.Lengths()
	answer("Lengths", l, err)
	for _, mm := range []float64{v, l.DrawnMM, l.ShortestMM, l.LongestMM, l.DrawnMM + 3} {
		fit, err := d.Fit(mm)
		answer("Fit", fit, err)
		w, err := d.WearMoves(math.Abs(v), mm)
		answer("WearMoves", w, err)
	}
	w, err := d.WearFrom(0, v, 0.5)
	answer("WearFrom", w, err)
	for _, n := range []float64{rpm, 800, v} {
		s, err := d.Speeds(n)
		answer("Speeds", s, err)
		fo, err := d.Forces(n)
		answer("Forces", fo, err)
		sp, err := d.FirstSlip(n)
		answer("FirstSlip", sp, err)
	}
	at, err := d.LayoutAt(v)
	answer("LayoutAt", at, err)
	sp, err := d.SlipSpeed(600, 6000)
	answer("SlipSpeed", sp, err)
	al, err := d.Alignment()
	answer("Alignment", al, err)
	in, err := d.Installed()
	answer("Installed", in, err)
	routes, err := d.run.Routes(SearchOptions{Routes: 3})
	answer("Routes", routes, err)
	c, err := Compare(d, d)
	answer("Compare", c, err)
}

func FuzzFormulas(f *testing.F) {
	f.Add(100.0, 200.0, 0.1, 300.0)
	f.Add(math.NaN(), 0.0, -1.0, math.Inf(1))
	f.Fuzz(func(t *testing.T, a, b, c, e float64) {
		answer := func(v any, err error) {
			if err == nil {
				if bad := badFloat(reflect.ValueOf(v), "answer"); bad != "" {
					t.Fatal(bad)
				}
			}
		}
		o, err := OpenBelt(a, b, c)
		answer(o, err)
		x, err := CrossedBelt(a, b, c)
		answer(x, err)
		r, err := TensionFromHz(SpanReading{a, b, c, e, a, b, c})
		answer(r, err)
		l, err := L10(a, b, c, e > 0)
		answer(l, err)
		bt, err := Bearing{Elements: int(math.Mod(math.Abs(c), 40)), ElementMM: a, PitchMM: b, ContactDeg: c}.Tones(e)
		answer(bt, err)
		s, err := Slip(a, b, c, e)
		answer(s, err)
	})
}
