// Package sound takes recordings in: whatever sound file a phone makes becomes
// a stream of plain WAV. A file is known by its content, never by its name.
//
// WAV, AIFF and CAF hold samples as they are and are read here; FLAC and Opus
// in Ogg are decoded by libraries in Go; everything else by the machine's own
// ffmpeg, which reads one file with one named reader and no network, within a
// bounded time, memory and output. Where it is missing the error says so and
// what to do.
package sound

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"os"
	"strings"
	"time"
	"unicode"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Bounds of what is taken in.
const (
	MaxBytes   = 2 << 30          // of a file
	MaxDecode  = 60 * time.Second // for decoding
	maxHours   = 4                // of sound that ffmpeg hands over
	maxPiped   = 64 << 20         // of what is no plain file, bytes
	maxMemory  = 1 << 30          // of ffmpeg, bytes of address space
	maxBlock   = 64 << 20         // of one allocation of ffmpeg, bytes
	mostChans  = 8
	leastRate  = 4000
	mostRate   = 768_000
	headLength = 4096
)

// Sound is a recording on its way in: a RIFF WAVE file as a stream, to be read
// by belt.ReadRecording and closed.
type Sound struct {
	Plain bool // the stream is the file itself

	next  func() ([]byte, error)
	left  []byte
	close func() error
}

// Read reads the stream. It ends with io.ErrUnexpectedEOF where the file lost
// its end, and with a *fleet.Error where it cannot be decoded.
func (s *Sound) Read(p []byte) (int, error) {
	for len(s.left) == 0 {
		b, err := s.next()
		s.left = b
		if len(b) == 0 && err != nil {
			return 0, err
		}
	}
	n := copy(p, s.left)
	s.left = s.left[n:]
	return n, nil
}

// Close stops what decodes and removes what was written for it.
func (s *Sound) Close() error {
	if s.close == nil {
		return nil
	}
	return s.close()
}

// file is what is read from.
type file struct {
	io.ReaderAt
	size  int64
	where string // in errors
	path  string // "" for a file in memory
}

func (f *file) all() *io.SectionReader { return io.NewSectionReader(f, 0, f.size) }

// Open opens a file. The error is a *fleet.Error: Unavailable for a file that
// cannot be read, Invalid for one that is too large, no sound or cannot be
// decoded here.
func Open(ctx context.Context, name string) (*Sound, error) {
	where := Name(name)
	f, err := os.Open(name)
	var info os.FileInfo
	if err == nil {
		if info, err = f.Stat(); err != nil {
			f.Close()
		}
	}
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: where, Msg: "the file cannot be read",
			Hint: "check its name and that you may read it", Err: err}
	}
	if !info.Mode().IsRegular() {
		defer f.Close()
		return piped(ctx, f, info, where)
	}
	s, err := open(ctx, &file{f, info.Size(), where, name})
	if err != nil {
		f.Close()
		return nil, err
	}
	stop := s.close
	s.close = func() error {
		var err error
		if stop != nil {
			err = stop()
		}
		return errors.Join(err, f.Close())
	}
	return s, nil
}

// piped reads what has no length beforehand, so much and no more.
func piped(ctx context.Context, f *os.File, info os.FileInfo, where string) (*Sound, error) {
	if info.IsDir() {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: where, Msg: "a folder is no recording",
			Hint: "name the file in it"}
	}
	src, err := io.ReadAll(io.LimitReader(f, maxPiped+1))
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: where, Msg: "the recording cannot be read",
			Hint: "write it into a file first", Err: err}
	}
	if len(src) > maxPiped {
		return nil, invalid(where, message.Of("more than %d MiB from a pipe", maxPiped>>20),
			"write it into a file first")
	}
	return Of(ctx, where, src)
}

// Of opens a file that is in memory; where names it in errors, which are those
// of Open.
func Of(ctx context.Context, where string, src []byte) (*Sound, error) {
	return open(ctx, &file{bytes.NewReader(src), int64(len(src)), where, ""})
}

func open(ctx context.Context, f *file) (*Sound, error) {
	switch {
	case f.size == 0:
		return nil, invalid(f.where, "an empty file", "copy it again from where it was recorded, or record anew")
	case f.size > MaxBytes:
		return nil, invalid(f.where, message.Of("a file of %.1f GiB; %d GiB are taken", float64(f.size)/(1<<30),
			MaxBytes>>30), "cut it to the half minute that matters")
	}
	head := make([]byte, min(headLength, f.size))
	if _, err := f.ReadAt(head, 0); err != nil && !errors.Is(err, io.EOF) {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: f.where, Msg: "the file cannot be read",
			Hint: "copy it again", Err: err}
	}
	k := recognise(head)
	if k.read == nil {
		return nil, invalid(f.where, message.Of("no sound file that is known here: %s", k.name), asWAV)
	}
	return k.read(ctx, f, k)
}

// asWAV says what always works.
const asWAV = "record or export it as WAV, with 44100 or 48000 samples a second"

func invalid(where string, msg, hint message.Text) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: msg, Hint: hint}
}

func unavailable(f *file, msg, hint message.Text, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: f.where, Msg: msg, Hint: hint, Err: err}
}

func broken(f *file, name message.Text) error {
	return invalid(f.where, message.Of("the %s cannot be decoded: it is broken or cut off at its start", name),
		"copy it again from where it was recorded, or record anew")
}

func slow(f *file) error {
	return invalid(f.where, message.Of("it takes longer than %.0f s to decode", MaxDecode.Seconds()),
		"cut it to the half minute that matters")
}

// Name writes a file's name so that it can be printed: what is no letter, mark
// or sign becomes a question mark.
func Name(name string) string {
	return strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(name, "?"))
}

// pcm are samples as they come out of a decoder.
type pcm struct {
	rate, channels, bits int
	float                bool
	lossy                string                 // coding that left something out
	frames               int64                  // promised, 0 where that is not known
	next                 func() ([]byte, error) // whole frames, little-endian, 8 bits unsigned
	close                func() error
}

// stream puts a WAV header before samples.
func (p *pcm) stream(ctx context.Context, f *file) (*Sound, error) {
	if p.channels < 1 || p.channels > mostChans || p.rate < leastRate || p.rate > mostRate {
		if p.close != nil {
			p.close()
		}
		return nil, invalid(f.where, message.Of("%d channels at %d samples a second; 1 to %d at %d to %d are read",
			p.channels, p.rate, mostChans, leastRate, mostRate), asWAV)
	}
	head := header(p)
	over := time.Now().Add(MaxDecode)
	return &Sound{close: p.close, next: func() (b []byte, err error) {
		if head != nil {
			b, head = head, nil
			return b, nil
		}
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case time.Now().After(over):
			return nil, slow(f)
		}
		return p.next()
	}}, nil
}

// header is what stands before the samples of a WAV stream; its length is left
// open where it is not known or does not fit.
func header(p *pcm) []byte {
	tag, frame := 1, p.channels*p.bits/8
	if p.float {
		tag = 3
	}
	data := uint32(math.MaxUint32)
	if n := p.frames * int64(frame); n > 0 && n < math.MaxUint32 {
		data = uint32(n)
	}
	le := order
	out := append([]byte("RIFF\xff\xff\xff\xffWAVEfmt "), 16, 0, 0, 0)
	out = le.AppendUint16(out, uint16(tag))
	out = le.AppendUint16(out, uint16(p.channels))
	out = le.AppendUint32(out, uint32(p.rate))
	out = le.AppendUint32(out, uint32(p.rate*frame))
	out = le.AppendUint16(out, uint16(frame))
	out = le.AppendUint16(out, uint16(p.bits))
	out = append(out, belt.LossyComment(p.lossy)...)
	out = append(out, "data"...)
	return le.AppendUint32(out, data)
}
