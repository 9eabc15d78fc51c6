package sound

import (
	"bufio"
	"context"
	"errors"
	"io"
	"math"

	"github.com/mewkiz/flac"
	"github.com/pion/opus"
	"github.com/pion/opus/pkg/oggreader"

	"undertray.example/undertray/internal/message"
)

// guarded turns a panic of a decoder into an error.
func guarded(f *file, name message.Text, next func() ([]byte, error)) func() ([]byte, error) {
	return func() (b []byte, err error) {
		defer func() {
			if recover() != nil {
				b, err = nil, broken(f, name)
			}
		}()
		return next()
	}
}

// readFLAC decodes FLAC, which loses nothing.
func readFLAC(ctx context.Context, f *file, k *kind) (*Sound, error) {
	var s *flac.Stream
	_, err := guarded(f, k.name, func() (_ []byte, err error) {
		s, err = flac.New(bufio.NewReaderSize(f.all(), 1<<16))
		return nil, err
	})()
	if err != nil {
		return nil, broken(f, k.name)
	}
	depth := int(s.Info.BitsPerSample)
	p := &pcm{rate: int(s.Info.SampleRate), channels: int(s.Info.NChannels), bits: (max(depth, 9) + 7) / 8 * 8,
		frames: int64(s.Info.NSamples)}
	any := false
	p.next = guarded(f, k.name, func() ([]byte, error) {
		fr, err := s.ParseNext()
		if err != nil || len(fr.Subframes) != p.channels {
			switch {
			case errors.Is(err, io.EOF) && any:
				return nil, io.EOF
			case !any:
				return nil, broken(f, k.name)
			}
			return nil, io.ErrUnexpectedEOF
		}
		any = true
		n := len(fr.Subframes[0].Samples)
		out := make([]byte, 0, n*p.channels*p.bits/8)
		for i := range n {
			for _, sub := range fr.Subframes {
				v := sub.Samples[i] << (p.bits - depth)
				for w := 0; w < p.bits; w += 8 {
					out = append(out, byte(v>>w))
				}
			}
		}
		return out, nil
	})
	return p.stream(ctx, f)
}

// opusHead and opusTags begin the packets before the sound (RFC 7845).
const (
	opusHead = "OpusHead"
	opusTags = "OpusTags"
	opusRate = 48000
	opusMost = 5760 // samples a packet holds, per channel
)

// readOgg decodes Opus of one or two channels; other codings in Ogg are left to
// ffmpeg.
func readOgg(ctx context.Context, f *file, k *kind) (*Sound, error) {
	head := make([]byte, min(128, f.size))
	f.ReadAt(head, 0)
	if len(head) < 28+19 || string(head[28:36]) != opusHead || head[46] != 0 { // a first page of one short packet
		return readOther(ctx, f, k)
	}
	var r *oggreader.OggReader
	var h *oggreader.OggHeader
	_, err := guarded(f, k.name, func() (_ []byte, err error) {
		r, h, err = oggreader.NewWith(bufio.NewReaderSize(f.all(), 1<<16))
		return nil, err
	})()
	if err != nil || h.Channels < 1 || h.Channels > 2 {
		return nil, broken(f, "Opus file")
	}
	ch := int(h.Channels)
	d, err := opus.NewDecoderWithOutput(opusRate, ch)
	if err != nil {
		return nil, broken(f, "Opus file")
	}
	p := &pcm{rate: opusRate, channels: ch, bits: 32, float: true, lossy: "opus"}
	x, skip, any := make([]float32, opusMost*ch), int(h.PreSkip)*ch, false
	p.next = guarded(f, "Opus file", func() ([]byte, error) {
		for {
			packet, _, err := r.ParseNextPacket()
			switch {
			case errors.Is(err, io.EOF) && any:
				return nil, io.EOF
			case err != nil && any:
				return nil, io.ErrUnexpectedEOF
			case err != nil:
				return nil, broken(f, "Opus file")
			case len(packet) == 0 || len(packet) >= 8 && string(packet[:8]) == opusTags:
				continue
			}
			n, err := d.DecodeToFloat32(packet, x)
			if err != nil {
				if !any {
					return nil, broken(f, "Opus file")
				}
				return nil, io.ErrUnexpectedEOF
			}
			any = true
			if skip >= n*ch {
				skip -= n * ch
				continue
			}
			out := make([]byte, 0, 4*n*ch)
			for _, v := range x[skip : n*ch] {
				out = order.AppendUint32(out, math.Float32bits(v))
			}
			skip = 0
			return out, nil
		}
	})
	return p.stream(ctx, f)
}
