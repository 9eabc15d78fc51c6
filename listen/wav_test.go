package listen

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"undertray.example/undertray/internal/harm"
)

// wavFile writes a WAVE file the long way, from the published layout, for the reader to be tested against.
func wavFile(tag, bits, channels int, rate uint32, x []float64, junk bool) []byte {
	var d bytes.Buffer
	le := binary.LittleEndian
	for _, v := range x {
		switch {
		case tag == 3 && bits == 32:
			_ = binary.Write(&d, le, float32(v))
		case tag == 3:
			_ = binary.Write(&d, le, v)
		case bits == 8:
			d.WriteByte(byte(math.Round(v*127) + 128))
		case bits == 16:
			_ = binary.Write(&d, le, int16(math.Round(v*32767)))
		case bits == 24:
			i := int32(math.Round(v * (1<<23 - 1)))
			d.Write([]byte{byte(i), byte(i >> 8), byte(i >> 16)})
		default:
			_ = binary.Write(&d, le, int32(math.Round(v*(1<<31-1))))
		}
	}
	var b bytes.Buffer
	b.WriteString("RIFF\x00\x00\x00\x00WAVE")
	if junk {
		b.WriteString("LIST\x03\x00\x00\x00abc\x00")
	}
	b.WriteString("fmt ")
	_ = binary.Write(&b, le, uint32(16))
	_ = binary.Write(&b, le, uint16(tag))
	_ = binary.Write(&b, le, uint16(channels))
	_ = binary.Write(&b, le, rate)
	_ = binary.Write(&b, le, rate*uint32(channels*bits/8))
	_ = binary.Write(&b, le, uint16(channels*bits/8))
	_ = binary.Write(&b, le, uint16(bits))
	b.WriteString("data")
	_ = binary.Write(&b, le, uint32(d.Len()))
	b.Write(d.Bytes())
	return b.Bytes()
}

func tone(hz, rate float64, n int, amp float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = amp * math.Sin(2*math.Pi*hz*float64(i)/rate)
	}
	return x
}

func TestReadWAV(t *testing.T) {
	x := tone(440, 44100, 4410, 0.8)
	for _, c := range []struct{ tag, bits int }{{1, 8}, {1, 16}, {1, 24}, {1, 32}, {3, 32}, {3, 64}} {
		for _, channels := range []int{1, 2} {
			for _, rate := range []uint32{8000, 22050, 44100, 48000, 96000, 192000} {
				r, err := ReadWAV(bytes.NewReader(wavFile(c.tag, c.bits, channels, rate, x, true)))
				if err != nil {
					t.Fatalf("%v %d: %v", c, channels, err)
				}
				tol := 1.6 / math.Pow(2, float64(c.bits-1))
				if r.Rate != float64(rate) || len(r.Channels) != channels || len(r.Channels[0]) != len(x)/channels {
					t.Fatalf("%v: rate %g, %d channels of %d", c, r.Rate, len(r.Channels), len(r.Channels[0]))
				}
				for i := range r.Channels[0] {
					for k := range channels {
						if d := math.Abs(r.Channels[k][i] - x[i*channels+k]); d > max(tol, 1e-7) {
							t.Fatalf("%v channel %d sample %d off by %g", c, k, i, d)
						}
					}
				}
				if len(r.Warnings) != 0 {
					t.Errorf("%v: %v", c, r.Warnings)
				}
			}
		}
	}
}

func TestReadWAVRefuses(t *testing.T) {
	good := wavFile(1, 16, 1, 48000, tone(440, 48000, 4800, 0.5), false)
	patch := func(at int, b ...byte) []byte {
		out := bytes.Clone(good)
		copy(out[at:], b)
		return out
	}
	for _, c := range []struct {
		name string
		in   []byte
		want error
	}{
		{"empty", nil, ErrNotAudio},
		{"a picture", []byte("\x89PNG\r\n\x1a\n0000000000000000"), ErrNotAudio},
		{"text", []byte(strings.Repeat("squeal when cold ", 10)), ErrNotAudio},
		{"header only", good[:12], ErrBroken},
		{"cut in the format", good[:30], ErrBroken},
		{"no samples", good[:44], ErrTooShort},
		{"a compressed coding", patch(20, 0x55, 0), ErrFormat},
		{"12 bits", patch(34, 12, 0), ErrFormat},
		{"no channels", patch(22, 0, 0), ErrFormat},
		{"100 samples per second", patch(24, 100, 0, 0, 0), ErrFormat},
		{"odd frame", patch(32, 3, 0), ErrBroken},
		{"silence", wavFile(1, 16, 1, 48000, make([]float64, 4800), false), ErrSilent},
		{"a constant", wavFile(3, 32, 1, 48000, []float64{.5, .5, .5, .5, .5, .5}, false), ErrSilent},
		{"NaN", wavFile(3, 32, 1, 48000, []float64{.5, math.NaN(), .1}, false), ErrBroken},
	} {
		r, err := ReadWAV(bytes.NewReader(c.in))
		if !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v (%d channels)", c.name, err, c.want, len(r.Channels))
		}
	}
}

func warned(w []Warning, k WarningKind) bool {
	for _, v := range w {
		if v.Kind == k {
			return true
		}
	}
	return false
}

func TestWarnings(t *testing.T) {
	good := wavFile(1, 16, 1, 48000, tone(440, 48000, 48000, 0.5), false)
	r, err := ReadWAV(bytes.NewReader(good[:len(good)-1001]))
	if err != nil || !warned(r.Warnings, Truncated) {
		t.Errorf("cut file: %v %v", r.Warnings, err)
	}
	loud := tone(440, 48000, 48000, 3)
	for i := range loud {
		loud[i] = min(max(loud[i], -1), 1)
	}
	r, err = ReadWAV(bytes.NewReader(wavFile(1, 16, 1, 48000, loud, false)))
	if err != nil || !warned(r.Warnings, Clipped) {
		t.Errorf("clipped file: %v %v", r.Warnings, err)
	}
	r, err = ReadWAV(bytes.NewReader(wavFile(1, 16, 1, 48000, tone(440, 48000, 48000, 0.001), false)))
	if err != nil || !warned(r.Warnings, Faint) {
		t.Errorf("faint file: %v %v", r.Warnings, err)
	}
	step := tone(440, 48000, 96000, 0.1)
	for i := 48000; i < 96000; i++ {
		step[i] *= 4
	}
	w, err := Recording{Rate: 48000, Channels: [][]float64{step}}.Check()
	if err != nil || !warned(w, Steps) || warned(w, Clipped) {
		t.Errorf("level step: %v %v", w, err)
	}
	// A stream whose header was never finished is read to its end.
	copy(good[40:], []byte{0xff, 0xff, 0xff, 0xff})
	r, err = ReadWAV(bytes.NewReader(good))
	if err != nil || len(r.Channels[0]) != 48000 || len(r.Warnings) != 0 {
		t.Errorf("open stream: %d samples, %v, %v", len(r.Channels[0]), r.Warnings, err)
	}
}

func FuzzReadWAV(f *testing.F) {
	x := tone(440, 8000, 64, 0.7)
	seeds := [][]byte{[]byte("RIFF\x00\x00\x00\x00WAVEdata\xff\xff\xff\xff")}
	for _, c := range []struct{ tag, bits int }{{1, 8}, {1, 16}, {1, 24}, {1, 32}, {3, 32}, {3, 64}} {
		seeds = append(seeds, wavFile(c.tag, c.bits, 2, 8000, x, true))
	}
	harm.Add(f, seeds...)
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := ReadWAV(bytes.NewReader(b))
		if err != nil {
			for _, k := range []error{ErrNotAudio, ErrBroken, ErrFormat, ErrSilent, ErrTooLong, ErrTooShort} {
				if errors.Is(err, k) {
					return
				}
			}
			t.Fatalf("untyped error %v", err)
		}
		if len(r.Channels)*len(r.Channels[0]) > len(b) {
			t.Fatalf("%d samples from %d bytes", len(r.Channels)*len(r.Channels[0]), len(b))
		}
		for _, c := range r.Channels {
			for _, v := range c {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatal("not a number let through")
				}
			}
		}
	})
}

type failing struct{}

var errDisk = errors.New("disk gone")

func (failing) Read([]byte) (int, error) { return 0, errDisk }

func TestReadWAVPassesOnReaderErrors(t *testing.T) {
	good := wavFile(1, 16, 1, 48000, tone(440, 48000, 4800, 0.5), false)
	for _, n := range []int{0, 20, 100} {
		if _, err := ReadWAV(io.MultiReader(bytes.NewReader(good[:n]), failing{})); !errors.Is(err, errDisk) {
			t.Errorf("after %d bytes: %v", n, err)
		}
	}
}
