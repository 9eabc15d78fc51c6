package listen

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"slices"
)

// Limits of ReadWAV.
const (
	BestSeconds = 30        // kept of a longer recording
	MaxSamples  = 8_000_000 // kept of all channels: half a minute of stereo at 96 kHz, 20 s at 192 kHz
	MaxBytes    = 4 << 30   // looked through
	MinRate     = 4000
	MaxRate     = 768_000
	maxChannels = 8
	chunkBytes  = 1 << 16
)

// WAVE format tags (Multimedia Programming Interface and Data Specifications 1.0, 1991; tag 3 and
// the extensible form after the 2001 revision; from memory).
const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE
)

type wavFormat struct {
	tag, channels, bits int
	rate                float64
}

// ReadWAV reads a RIFF WAVE file: 8, 16, 24 or 32-bit integer or 32 or 64-bit float samples, one to
// eight channels, 4 to 768 kHz. Samples come out between -1 and +1 (floats as they are). Chunks of other kinds are
// passed over, but for what a Recording's own WAV says about itself.
//
// Of more than half a minute the best half minute is kept, one second at a time: the highest mean level in dB less
// twice its standard deviation from second to second and 30 dB times the share of seconds with flat tops, so the
// loudest and steadiest that is not clipped. Memory is for that and a ring of the last half minute. Two channels
// that run against each other (correlation below -0.5) are replaced by half their difference, or by the louder one
// where it is louder by 6 dB. A file cut off in its samples, or a reader that ends with io.ErrUnexpectedEOF, is
// read up to there and carries a Truncated warning.
//
// The error is ErrNotAudio, ErrBroken, ErrFormat, ErrSilent or ErrTooLong, or that of r.
func ReadWAV(r io.Reader) (Recording, error) {
	var head [12]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return Recording{}, readError(err, ErrNotAudio, "shorter than a header")
	}
	if string(head[:4]) != "RIFF" || string(head[8:]) != "WAVE" {
		return Recording{}, wrap(ErrNotAudio, "other head", called("head", plain(head[:4])))
	}

	var f wavFormat
	var said []Warning
	for {
		var ch [8]byte
		if _, err := io.ReadFull(r, ch[:]); err != nil {
			return Recording{}, readError(err, ErrBroken, "ends before samples")
		}
		size := int64(binary.LittleEndian.Uint32(ch[4:]))
		switch string(ch[:4]) {
		case "fmt ":
			var err error
			if f, err = readFormat(r, size); err != nil {
				return Recording{}, err
			}
		case "data":
			return readData(r, f, size, said)
		case "LIST":
			b, err := readList(r, size)
			if err != nil {
				return Recording{}, err
			}
			said = append(said, listed(b)...)
		default:
			if _, err := io.CopyN(io.Discard, r, size+size%2); err != nil {
				return Recording{}, readError(err, ErrBroken, "ends inside a part", called("part", plain(ch[:4])))
			}
		}
	}
}

// plain is a name of a part without what cannot be printed.
func plain(b []byte) string {
	out := make([]byte, 0, 4)
	for _, c := range b {
		if c < ' ' || c > '~' {
			c = '?'
		}
		out = append(out, c)
	}
	return string(out)
}

func readError(err, kind error, code Code, args ...Arg) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return wrap(kind, code, args...)
	}
	return err
}

func readFormat(r io.Reader, size int64) (wavFormat, error) {
	if size < 16 || size > 4096 {
		return wavFormat{}, wrap(ErrBroken, "format length", figure("bytes", float64(size), ""))
	}
	b := make([]byte, size+size%2)
	if _, err := io.ReadFull(r, b); err != nil {
		return wavFormat{}, readError(err, ErrBroken, "ends inside the format")
	}
	le := binary.LittleEndian
	f := wavFormat{
		tag: int(le.Uint16(b)), channels: int(le.Uint16(b[2:])),
		rate: float64(le.Uint32(b[4:])), bits: int(le.Uint16(b[14:])),
	}
	if f.tag == tagExtensible && size >= 26 {
		f.tag = int(le.Uint16(b[24:]))
	}
	return f, f.check(int(le.Uint16(b[12:])))
}

func (f wavFormat) check(align int) error {
	ok := f.tag == tagPCM && (f.bits == 8 || f.bits == 16 || f.bits == 24 || f.bits == 32) ||
		f.tag == tagFloat && (f.bits == 32 || f.bits == 64)
	switch {
	case !ok:
		return wrap(ErrFormat, "coding", figure("coding", float64(f.tag), ""), figure("bits", float64(f.bits), ""))
	case f.channels < 1 || f.channels > maxChannels:
		return wrap(ErrFormat, "channels", figure("channels", float64(f.channels), ""), figure("most", maxChannels, ""))
	case f.rate < MinRate || f.rate > MaxRate:
		return wrap(ErrFormat, "rate not read", figure("rate", f.rate, ""), figure("least", MinRate, ""),
			figure("most", MaxRate, ""))
	case align != f.channels*f.bits/8:
		return wrap(ErrBroken, "bytes per instant", figure("says", float64(align), ""),
			figure("channels", float64(f.channels), ""), figure("bits", float64(f.bits), ""),
			figure("needs", float64(f.channels*f.bits/8), ""))
	}
	return nil
}

// readData reads at most size bytes; a size of 0 or 0xFFFFFFFF, as left by a recorder that streams or
// crashed, means up to the end.
func readData(r io.Reader, f wavFormat, size int64, said []Warning) (Recording, error) {
	if f.channels == 0 {
		return Recording{}, wrap(ErrBroken, "samples before the format")
	}
	open := size == 0 || size == math.MaxUint32
	if open {
		size = MaxBytes + 1
	}
	k, buf := newKeeper(f), make([]byte, chunkBytes)
	var got int64
	for ended := false; !ended && got < size; {
		n, err := io.ReadFull(r, buf[:min(int64(len(buf)), size-got)])
		got += int64(n)
		k.take(buf[:n])
		ended = errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
		if err != nil && !ended {
			return Recording{}, err
		}
	}
	if got > MaxBytes {
		return Recording{}, wrap(ErrTooLong, "many bytes", figure("most", MaxBytes>>30, ""))
	}
	rec := k.kept()
	if !open && got < size || open && lost(r) {
		rec.Warnings = append(rec.Warnings, Warning{Kind: Truncated})
	}
	rec.Warnings = append(rec.Warnings, said...)
	rec.face()
	return rec.checked(f)
}

// lost reports whether a reader at its end says that it lost something.
func lost(r io.Reader) bool {
	var b [1]byte
	_, err := r.Read(b[:])
	return errors.Is(err, io.ErrUnexpectedEOF)
}

// decode appends whole frames. Integer samples are divided by half their range.
func (f wavFormat) decode(out [][]float64, b []byte) {
	w := f.bits / 8
	frame := w * f.channels
	one := f.sample(w)
	for c := range out {
		n := len(out[c])
		out[c] = slices.Grow(out[c], len(b)/frame)[:n+len(b)/frame]
		if to := out[c][n:]; f.tag == tagPCM && w == 2 { // the usual one, without a call for each sample
			for i := range to {
				p := i*frame + c*w
				to[i] = float64(int16(uint16(b[p])|uint16(b[p+1])<<8)) / (1 << 15)
			}
			continue
		}
		for i, p := n, c*w; i < len(out[c]); i, p = i+1, p+frame {
			out[c][i] = one(b[p : p+w])
		}
	}
}

func (f wavFormat) sample(width int) func([]byte) float64 {
	le := binary.LittleEndian
	switch {
	case f.tag == tagFloat && width == 4:
		return func(s []byte) float64 { return float64(math.Float32frombits(le.Uint32(s))) }
	case f.tag == tagFloat:
		return func(s []byte) float64 { return math.Float64frombits(le.Uint64(s)) }
	case width == 1:
		return func(s []byte) float64 { return (float64(s[0]) - 128) / 128 }
	case width == 3:
		return func(s []byte) float64 {
			return float64(int32(uint32(s[0])<<8|uint32(s[1])<<16|uint32(s[2])<<24)>>8) / (1 << 23)
		}
	}
	return func(s []byte) float64 { return float64(int32(le.Uint32(s))) / (1 << 31) }
}
