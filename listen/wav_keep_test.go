package listen

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// loudness makes noise, a second for each level [dB re full scale]; levels above -12 are cut off at a quarter.
func loudness(rate float64, levels ...float64) []float64 {
	rng := rand.New(rand.NewPCG(4, 4))
	var x []float64
	for _, db := range levels {
		for range int(rate) {
			v := math.Pow(10, db/20) * rng.NormFloat64()
			if db > -12 {
				v = min(max(v, -0.25), 0.25)
			}
			x = append(x, v)
		}
	}
	return x
}

func again(db float64, seconds int) []float64 { return slices.Repeat([]float64{db}, seconds) }

// Of a long recording the loudest steady stretch without flat tops is kept, to the second.
func TestBestHalfMinute(t *testing.T) {
	for name, c := range map[string]struct {
		levels []float64
		from   float64
	}{
		"louder in the middle": {slices.Concat(again(-40, 20), again(-25, 30), again(-40, 20)), 20},
		"loud but cut off":     {slices.Concat(again(-30, 30), again(-3, 30)), 0},
		"loud but restless":    {slices.Concat(again(-30, 30), slices.Repeat([]float64{-15, -40}, 20)), 0},
		"all alike":            {again(-30, 45), -1},
		"one bang":             {slices.Concat(again(-30, 10), []float64{-13}, again(-31, 30)), 11},
	} {
		x := loudness(4000, c.levels...)
		r, err := ReadWAV(bytes.NewReader(wavFile(1, 24, 1, 4000, x, false)))
		if err != nil {
			t.Fatal(name, err)
		}
		if len(r.Warnings) == 0 || r.Warnings[len(r.Warnings)-1].Kind != Cut || r.Seconds() != 30 {
			t.Fatalf("%s: %v, %g s", name, r.Warnings, r.Seconds())
		}
		w := r.Warnings[len(r.Warnings)-1]
		if c.from >= 0 && w.From != c.from || w.To-w.From != 30 || w.Of != float64(len(c.levels)) {
			t.Errorf("%s: kept %+v, from %g was wanted", name, w, c.from)
		}
		at := int(w.From) * 4000
		for i, v := range r.Channels[0] {
			if math.Abs(v-x[at+i]) > 1e-6 {
				t.Fatalf("%s: sample %d is %g, not %g", name, i, v, x[at+i])
			}
		}
	}
}

// Up to half a minute and a bit nothing is cut.
func TestWholeHalfMinute(t *testing.T) {
	x := loudness(4000, again(-30, 31)...)[:30*4000+3900]
	r, err := ReadWAV(bytes.NewReader(wavFile(1, 16, 1, 4000, x, false)))
	if err != nil || len(r.Channels[0]) != len(x) || len(r.Warnings) != 0 {
		t.Errorf("%v: %d samples of %d, %v", err, len(r.Channels[0]), len(x), r.Warnings)
	}
}

// Channels that run against each other are not averaged away, those that do not are left alone.
func TestOpposedChannels(t *testing.T) {
	mono := loudness(8000, again(-20, 4)...)
	other := loudness(8000, again(-20, 8)...)[4*8000:]
	for name, c := range map[string]struct {
		a, b    float64 // of the sound in each channel
		noise   float64 // another sound in the second
		want    float64 // gain of what comes out, 0 for two channels left alone
		channel int
	}{
		"opposite":         {1, -1, 0, 1, 0},
		"nearly":           {1, -0.8, 0.2, 0.9, 0},
		"right far louder": {0.2, -1, 0, -1, 2},
		"left far louder":  {1, -0.3, 0, 1, 1},
		"alike":            {1, 1, 0, 0, 0},
		"apart":            {1, 0, 1, 0, 0},
		"one is silent":    {1, 0, 0, 0, 0},
	} {
		var x []float64
		for i, v := range mono {
			x = append(x, c.a*v, c.b*v+c.noise*other[i])
		}
		r, err := ReadWAV(bytes.NewReader(wavFile(3, 32, 2, 8000, x, false)))
		if err != nil {
			t.Fatal(name, err)
		}
		if c.want == 0 {
			if len(r.Channels) != 2 || warned(r.Warnings, Opposed) {
				t.Errorf("%s: %d channels, %v", name, len(r.Channels), r.Warnings)
			}
			continue
		}
		want := []Warning{{Kind: Opposed, Channel: c.channel}}
		if len(r.Channels) != 1 || !slices.Equal(r.Warnings, want) {
			t.Fatalf("%s: %d channels, %v", name, len(r.Channels), r.Warnings)
		}
		got, is := 0.0, 0.0
		for i, v := range r.Channels[0] {
			got, is = got+v*mono[i], is+mono[i]*mono[i]
		}
		if math.Abs(got/is-c.want) > 0.05 {
			t.Errorf("%s: comes out %g times, want %g", name, got/is, c.want)
		}
	}
}

// What is written is read back alike, with as many bits as it needs and what was said of it.
func TestWAVRoundTrip(t *testing.T) {
	x := loudness(8000, -20, -20)
	for _, c := range []struct{ tag, bits, channels int }{{1, 8, 1}, {1, 16, 1}, {1, 16, 2}, {1, 24, 1}, {3, 32, 2}} {
		r, err := ReadWAV(bytes.NewReader(wavFile(c.tag, c.bits, c.channels, 8000, x, false)))
		if err != nil {
			t.Fatal(err)
		}
		said := []Warning{{Kind: Lossy, Coding: "aac"}, {Kind: Cut, From: 3, To: 33, Of: 61.5},
			{Kind: Opposed, Channel: 2}}
		r.Warnings = append(r.Warnings, said...)
		b := r.WAV()
		if bits := int(binary.LittleEndian.Uint16(b[34:])); bits != c.bits {
			t.Errorf("%v: written with %d bits", c, bits)
		}
		if size := int(binary.LittleEndian.Uint32(b[4:])) + 8; size != len(b) {
			t.Errorf("%v: %d bytes, the header says %d", c, len(b), size)
		}
		back, err := ReadWAV(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range said {
			if !slices.Contains(back.Warnings, w) {
				t.Errorf("%v: %v is lost: %v", c, w, back.Warnings)
			}
		}
		for i := range r.Channels {
			if !slices.Equal(r.Channels[i], back.Channels[i]) {
				t.Errorf("%v: channel %d comes back otherwise", c, i+1)
			}
		}
	}
	loud := Recording{Rate: 8000, Channels: [][]float64{{0.5, 1.5, -1.25, 0}}}
	back, err := ReadWAV(bytes.NewReader(loud.WAV()))
	if err != nil || !slices.Equal(back.Channels[0], loud.Channels[0]) {
		t.Errorf("above full scale: %v %v", err, back.Channels)
	}
}

// A reader that says it lost its end gives a recording that is said to be cut off.
func TestLostEnd(t *testing.T) {
	good := wavFile(1, 16, 1, 8000, loudness(8000, again(-20, 3)...), false)
	copy(good[40:], []byte{0xff, 0xff, 0xff, 0xff})
	r, err := ReadWAV(io.MultiReader(bytes.NewReader(good), lostEnd{}))
	if err != nil || !warned(r.Warnings, Truncated) || r.Seconds() != 3 {
		t.Errorf("%v %v %g s", err, r.Warnings, r.Seconds())
	}
	if (Warning{Kind: Cut}).Doubts() || (Warning{Kind: Opposed}).Doubts() || !(Warning{Kind: Lossy}).Doubts() {
		t.Error("what is doubted")
	}
}

type lostEnd struct{}

func (lostEnd) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }
