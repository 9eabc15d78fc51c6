package catalogue

import (
	"math"
	"testing"

	"undertray.example/undertray/internal/fleet"
)

// The multiples per turn are those the bearing data centre publishes for its
// two bearings (Case Western Reserve University): outer ring, inner ring, cage
// and twice the ball's spin.
func TestBearingsGiveThePublishedRates(t *testing.T) {
	for number, want := range map[string][4]float64{
		"6203": {3.0530, 4.9469, 0.3817, 3.9874},
		"6205": {3.5848, 5.4152, 0.39828, 4.7135},
	} {
		b, err := BearingOf(number)
		if err != nil {
			t.Fatal(err)
		}
		n, g := float64(b.Balls), b.Ball.Base()/b.Pitch.Base()
		got := [4]float64{n * (1 - g) / 2, n * (1 + g) / 2, (1 - g) / 2, (1 - g*g) / g}
		for i := range got {
			if math.Abs(got[i]/want[i]-1) > 1e-3 {
				t.Errorf("%s: rate %d is %.4f per turn, published %.4f", number, i+1, got[i], want[i])
			}
		}
	}
}

// What is written must be a bearing at all: the balls fit on their circle with
// room for a cage, and the pitch circle is the mean of bore and outside
// diameter (boundary dimensions of ISO 15, from memory) to 2 %.
func TestBearingsAreBearings(t *testing.T) {
	rings := map[string][2]float64{"6200": {10, 30}, "6201": {12, 32}, "6202": {15, 35}, "6203": {17, 40},
		"6204": {20, 47},
		"6205": {25, 52}, "6206": {30, 62}, "6303": {17, 47}, "6304": {20, 52}}
	all, err := Bearings()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != len(rings) {
		t.Errorf("%d bearings, %d with known rings", len(all), len(rings))
	}
	for _, b := range all {
		d, p := b.Ball.Base(), b.Pitch.Base()
		if room := math.Pi*p - float64(b.Balls)*d; room < d {
			t.Errorf("%s: %d balls of %g on a circle of %g leave %.1f for the cage", b.Number, b.Balls, d, p, room)
		}
		r := rings[b.Number]
		if mean := (r[0] + r[1]) / 2; math.Abs(p/mean-1) > 0.02 {
			t.Errorf("%s: pitch circle %g, mean diameter %g", b.Number, p, mean)
		}
		if b.Standing != "published" && b.Standing != "from memory" || b.Standing == "published" && b.Source == "" {
			t.Errorf("%s: standing %q with source %q", b.Number, b.Standing, b.Source)
		}
	}
}

func TestBearingOf(t *testing.T) {
	for stamped, want := range map[string]string{"6203": "6203", "6203-2RSH/C3": "6203", "NT 6303 LLU": "6303",
		"16203": "", "62035": "", "": ""} {
		b, err := BearingOf(stamped)
		if b.Number != want || (want == "") != (fleet.KindOf(err) == fleet.NotFound) {
			t.Errorf("%q: %q, %v; want %q", stamped, b.Number, err, want)
		}
	}
}
