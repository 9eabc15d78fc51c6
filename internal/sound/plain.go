package sound

import (
	"context"
	"encoding/binary"
	"io"
	"math"
	"math/bits"
	"slices"
)

// WAVE coding tags that are read without decoding.
const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xfffe
)

// readWAV hands a WAV file on as it is, unless its samples are coded.
func readWAV(ctx context.Context, f *file, k *kind) (*Sound, error) {
	var b [26]byte
	for at := int64(12); ; {
		if n, _ := f.ReadAt(b[:8], at); n < 8 {
			break
		}
		size := int64(order.Uint32(b[4:]))
		if string(b[:4]) != "fmt " {
			at += 8 + size + size%2
			continue
		}
		n, _ := f.ReadAt(b[:min(26, max(size, 2))], at+8)
		if n < 2 {
			break
		}
		tag := order.Uint16(b[:])
		if tag == tagExtensible && n == 26 {
			tag = order.Uint16(b[24:])
		}
		if tag != tagPCM && tag != tagFloat && tag != tagExtensible && tag != 0 {
			return readOther(ctx, f, k)
		}
		break
	}
	r := f.all()
	buf := make([]byte, 1<<16)
	return &Sound{Plain: true, next: func() ([]byte, error) {
		n, err := r.Read(buf)
		return buf[:n], err
	}}, nil
}

// samples say where samples lie in a file and how.
type samples struct {
	at, size       int64
	rate           float64
	channels, bits int // bits taken up by one
	float, big     bool
	signed8        bool
}

// stream reads samples that are not coded and turns them round where needed.
func (s *samples) stream(ctx context.Context, f *file) (*Sound, error) {
	if s.rate != math.Trunc(s.rate) || s.rate > mostRate || s.rate < 0 {
		s.rate = math.Round(min(max(s.rate, 0), mostRate+1))
	}
	width, frame := s.bits/8, s.channels*s.bits/8
	if frame <= 0 {
		return (&pcm{channels: s.channels, rate: int(s.rate)}).stream(ctx, f)
	}
	r := io.NewSectionReader(f, s.at, min(s.size, max(f.size-s.at, 0)))
	buf := make([]byte, max(1<<16/frame, 1)*frame)
	p := &pcm{rate: int(s.rate), channels: s.channels, bits: s.bits, float: s.float, frames: s.size / int64(frame)}
	p.next = func() ([]byte, error) {
		n, err := io.ReadFull(r, buf)
		b := buf[:n/frame*frame]
		if len(b) == 0 {
			if err == io.ErrUnexpectedEOF {
				err = io.EOF
			}
			return nil, err
		}
		switch {
		case s.signed8:
			for i := range b {
				b[i] ^= 0x80
			}
		case s.big && width > 1:
			for i := 0; i < len(b); i += width {
				slices.Reverse(b[i : i+width])
			}
		}
		return b, nil
	}
	return p.stream(ctx, f)
}

// walk calls found for each part of a file of tagged parts until it returns
// false. A length beyond the end is cut to it.
func walk(f *file, at int64, head int, order binary.ByteOrder, found func(tag string, at, size int64) bool) {
	b := make([]byte, head)
	for {
		if n, _ := f.ReadAt(b, at); n < head {
			return
		}
		size := int64(order.Uint32(b[4:]))
		if head == 12 {
			size = int64(order.Uint64(b[4:]))
		}
		at += int64(head)
		if size < 0 || size > f.size {
			size = max(f.size-at, 0)
		}
		if !found(string(b[:4]), at, size) {
			return
		}
		at += size
		if head == 8 {
			at += size % 2
		}
	}
}

// readAIFF reads AIFF and AIFF-C with samples that are not coded (Audio
// Interchange File Format 1.3, 1989, and AIFF-C draft, 1991; from memory).
func readAIFF(ctx context.Context, f *file, k *kind) (*Sound, error) {
	var s samples
	var common [22]byte
	read := 0
	walk(f, 12, 8, binary.BigEndian, func(tag string, at, size int64) bool {
		switch tag {
		case "COMM":
			read, _ = f.ReadAt(common[:min(size, 22)], at)
		case "SSND":
			var b [8]byte
			if n, _ := f.ReadAt(b[:], at); n == 8 {
				skip := int64(binary.BigEndian.Uint32(b[:])) + 8
				s.at, s.size = at+skip, max(size-skip, 0)
			}
		}
		return true
	})
	if read < 18 || s.at == 0 {
		return nil, broken(f, k.name)
	}
	s.channels = int(binary.BigEndian.Uint16(common[0:]))
	s.bits = (int(binary.BigEndian.Uint16(common[6:])) + 7) / 8 * 8
	s.rate = extended(common[8:18])
	s.big, s.signed8 = true, s.bits == 8
	coding := "NONE"
	if read == 22 {
		coding = string(common[18:22])
	}
	switch coding {
	case "NONE", "twos", "in24", "in32":
	case "sowt":
		s.big = false
	case "raw ":
		s.signed8 = false
	case "fl32", "FL32", "fl64", "FL64":
		s.float, s.signed8 = true, false
	default:
		return readOther(ctx, f, k)
	}
	if s.bits < 8 || s.bits > 64 || !s.float && s.bits > 32 || s.float && s.bits < 32 {
		return nil, broken(f, k.name)
	}
	if frames := int64(binary.BigEndian.Uint32(common[2:])); frames > 0 && s.channels > 0 {
		s.size = frames * int64(s.channels*s.bits/8) // promised; the file may be shorter
	}
	return s.stream(ctx, f)
}

// extended reads an 80-bit floating-point number.
func extended(b []byte) float64 {
	e := int(binary.BigEndian.Uint16(b)&0x7fff) - 16383 - 63
	v := math.Ldexp(float64(binary.BigEndian.Uint64(b[2:])), e)
	if b[0]&0x80 != 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// readCAF reads a Core Audio file with samples that are not coded (Core Audio
// Format Specification 1.0; from memory).
func readCAF(ctx context.Context, f *file, k *kind) (*Sound, error) {
	var s samples
	var d [32]byte
	read := 0
	walk(f, 8, 12, binary.BigEndian, func(tag string, at, size int64) bool {
		switch tag {
		case "desc":
			read, _ = f.ReadAt(d[:min(size, 32)], at)
		case "data":
			s.at, s.size = at+4, max(size-4, 0)
		}
		return true
	})
	if read < 32 || s.at == 0 {
		return nil, broken(f, k.name)
	}
	if string(d[8:12]) != "lpcm" {
		return readOther(ctx, f, k)
	}
	flags := binary.BigEndian.Uint32(d[12:])
	s.rate = math.Float64frombits(binary.BigEndian.Uint64(d[:]))
	s.channels = int(binary.BigEndian.Uint32(d[24:]))
	s.bits = int(binary.BigEndian.Uint32(d[28:]))
	s.float, s.big = flags&1 != 0, flags&2 == 0
	s.signed8 = s.bits == 8
	packet := binary.BigEndian.Uint32(d[16:])
	hi, whole := bits.Mul32(uint32(max(s.channels, 0)), uint32(max(s.bits, 0)))
	if hi != 0 || whole%8 != 0 || packet != whole/8 || math.IsNaN(s.rate) || math.IsInf(s.rate, 0) ||
		s.channels > mostChans || s.float && s.bits != 32 && s.bits != 64 ||
		!s.float && s.bits != 8 && s.bits != 16 && s.bits != 24 && s.bits != 32 {
		return readOther(ctx, f, k) // packed otherwise
	}
	return s.stream(ctx, f)
}
