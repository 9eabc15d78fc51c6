package survey

import (
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"undertray.example/undertray/drive"
)

var harsh = []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e-300, 1e300, 1e6, 3}

// known reports whether an error is one of those the package promises.
func known(err error) bool {
	var f *Fault
	var r *drive.Refusal
	return errors.As(err, &f) || errors.As(err, &r)
}

// finite walks a value and reports whether all its numbers are usable.
func finite(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		return !math.IsNaN(v.Float()) && !math.IsInf(v.Float(), 0)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && !finite(v.Field(i)) {
				return false
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if !finite(v.Index(i)) {
				return false
			}
		}
	case reflect.Pointer:
		return v.IsNil() || finite(v.Elem())
	}
	return true
}

func checkHarmed(t *testing.T, what string, r *Result, err error) {
	t.Helper()
	if err != nil {
		if !known(err) || err.Error() == "" {
			t.Errorf("%s: %v is no error of this package", what, err)
		}
		return
	}
	if !finite(reflect.ValueOf(r)) {
		t.Errorf("%s: %+v", what, r)
	}
}

// TestHarmedTape: whatever number stands in the place of another, the answer is an error of this package or usable
// numbers.
func TestHarmedTape(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 7))
	for range 400 {
		run, ms := three()
		v := harsh[r.IntN(len(harsh))]
		switch k := r.IntN(len(ms)); r.IntN(7) {
		case 0:
			ms[k].MM = v
		case 1:
			ms[k].SDMM = v
		case 2:
			run.Pulleys[r.IntN(3)].Centre.X = v
		case 3:
			ms[k].A = ms[k].B
		case 4:
			ms[k].Kind = Kind(r.IntN(256))
		case 5:
			ms = ms[:k]
		case 6:
			run.Pulleys = run.Pulleys[:r.IntN(3)]
		}
		got, err := Tape(run, ms)
		checkHarmed(t, "tape", got, err)
	}
	_, err := Tape(drive.Run{}, nil)
	checkHarmed(t, "nothing", nil, err)
}

// TestHarmedPhotograph: the same of touches, of rims that are points or lines, and of pictures of another size.
func TestHarmedPhotograph(t *testing.T) {
	s := newShot(7, false)
	r := rand.New(rand.NewPCG(16, 8))
	for range 60 {
		photo, ms, run := s.photo, []Measure{s.calm}, s.sketch
		photo.Rims = append([][]Touch(nil), photo.Rims...)
		k := r.IntN(len(photo.Rims))
		photo.Rims[k] = append([]Touch(nil), photo.Rims[k]...)
		rim, v := photo.Rims[k], harsh[r.IntN(len(harsh))]
		switch r.IntN(10) {
		case 0:
			rim[0].X = v
		case 1:
			for i := range rim { // a point
				rim[i] = rim[0]
			}
		case 2:
			for i := range rim { // a line
				rim[i].Y = rim[0].Y
			}
		case 3:
			photo.Rims[k] = rim[:r.IntN(3)]
		case 4:
			photo.FocalPX, photo.TouchPX = v, harsh[r.IntN(len(harsh))]
		case 5:
			photo.OutMM = v
		case 6:
			photo.WidthPX = r.IntN(4000) - 500
		case 7:
			photo.Grey = image.NewGray(image.Rect(0, 0, picW, picH-r.IntN(2))) // all black, or of another height
		case 8:
			ms = ms[:0]
		case 9:
			for i := range photo.Rims { // all rims one
				photo.Rims[i] = rim
			}
		}
		got, err := Photograph(run, photo, ms)
		checkHarmed(t, "photograph", got, err)
	}
	_, err := Photograph(s.sketch, Photo{}, nil)
	checkHarmed(t, "nothing", nil, err)
}

// TestPhotographRefuses: what is missing is named.
func TestPhotographRefuses(t *testing.T) {
	s := newShot(7, false)
	for name, c := range map[Code]func(*Photo, *[]Measure){
		NoScale:    func(_ *Photo, ms *[]Measure) { *ms = nil },
		TooFew:     func(p *Photo, _ *[]Measure) { p.Rims = append(p.Rims[:1:1], p.Rims[2:]...) },
		TooFewRims: func(p *Photo, _ *[]Measure) { p.Rims = fewer(p.Rims) },
		BadNumber:  func(p *Photo, _ *[]Measure) { p.HeightPX = 0 },
		NoPulley:   func(_ *Photo, ms *[]Measure) { *ms = []Measure{{A: "none", MM: 1}} },
	} {
		photo, ms := s.photo, []Measure{s.calm}
		c(&photo, &ms)
		_, err := Photograph(s.sketch, photo, ms)
		var f *Fault
		if !errors.As(err, &f) || f.Code != name {
			t.Errorf("want %q, got %v", name, err)
		}
	}
}

func fewer(rims [][]Touch) (out [][]Touch) {
	for _, r := range rims {
		out = append(out, r[:3])
	}
	return out
}

// FuzzTape harms numbers of a measured triangle as the fuzzing engine likes.
func FuzzTape(f *testing.F) {
	f.Add(160.0, 400.0, 410.0, 405.0, 1.0, 40.0)
	f.Fuzz(func(t *testing.T, d, centres, over, gap, sd, x float64) {
		run, ms := three()
		ms[0].MM, ms[3].MM, ms[4].MM, ms[5].MM, ms[4].SDMM, run.Pulleys[1].Centre.X = d, centres, over, gap, sd, x
		r, err := Tape(run, ms)
		checkHarmed(t, "tape", r, err)
	})
}
