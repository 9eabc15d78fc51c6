package listen

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
)

// keeper looks a recording through one second at a time and keeps the best run of seconds.
type keeper struct {
	f       wavFormat
	frame   int // bytes
	most    int // seconds kept
	ring    []second
	best    []second
	score   float64
	from    int    // of best, s
	seconds int    // whole ones seen
	now     []byte // the second coming in
	spare   []byte // room of one that is kept no more
	scratch [][]float64
}

// second is one second as it came.
type second struct {
	raw   []byte
	level float64 // dB re full scale
	flat  bool    // with flat tops
}

// What a second is held against (ReadWAV).
const (
	unsteady   = 2.0  // times the standard deviation of the level, dB
	flatTops   = 30.0 // dB times the share of seconds with flat tops
	faintest   = -200.0
	flatRun    = 3
	flatLevel  = 0.25 // of full scale; quieter extremes are no clipping
	longestSay = 1 << 16
)

func newKeeper(f wavFormat) *keeper {
	k := &keeper{f: f, frame: f.channels * f.bits / 8, score: math.Inf(-1), scratch: make([][]float64, f.channels)}
	k.most = min(BestSeconds, max(MaxSamples/(f.channels*int(f.rate)), 1))
	return k
}

// take takes in what comes next.
func (k *keeper) take(b []byte) {
	whole := int(k.f.rate) * k.frame
	for len(b) > 0 {
		if k.now == nil && k.spare != nil {
			k.now, k.spare = k.spare, nil
		} else if k.now == nil && k.seconds > 0 {
			k.now = make([]byte, 0, whole)
		}
		n := min(len(b), whole-len(k.now))
		k.now = append(k.now, b[:n]...)
		b = b[n:]
		if len(k.now) == whole {
			k.second(k.now)
			k.now = nil
		}
	}
}

// second takes in a whole second.
func (k *keeper) second(raw []byte) {
	k.ring = append(k.ring, k.weigh(raw))
	k.seconds++
	if len(k.ring) > k.most {
		gone := k.ring[0].raw
		if !slices.ContainsFunc(k.best, func(s second) bool { return &s.raw[0] == &gone[0] }) {
			k.spare = gone[:0]
		}
		k.ring = slices.Delete(k.ring, 0, 1)
	}
	if k.seconds <= k.most {
		k.best = append(k.best, k.ring[len(k.ring)-1])
		k.score = score(k.best)
		return
	}
	if s := score(k.ring); s > k.score+1e-9 {
		k.best, k.score, k.from = slices.Clone(k.ring), s, k.seconds-k.most
	}
}

// weigh says how loud a second is, the channels' powers added, and whether it has flat tops.
func (k *keeper) weigh(raw []byte) second {
	for c := range k.scratch {
		k.scratch[c] = k.scratch[c][:0]
	}
	k.f.decode(k.scratch, raw)
	out, power := second{raw: raw}, 0.0
	for _, x := range k.scratch {
		sum, sq := 0.0, 0.0
		for _, v := range x {
			sum, sq = sum+v, sq+v*v
		}
		n := float64(len(x))
		power += max(sq/n-(sum/n)*(sum/n), 0)
		out.flat = out.flat || flat(x)
	}
	out.level = max(10*math.Log10(power), faintest)
	if !(out.level < 1000) { // no number
		out.level = faintest
	}
	return out
}

// flat reports whether a stretch has a flat top: three samples in a row at its extreme.
func flat(x []float64) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		if v < lo {
			lo = v
		}
		if v > hi {
			hi = v
		}
	}
	if max(-lo, hi) < flatLevel {
		return false
	}
	run := 0
	for _, v := range x {
		if !(v >= hi || v <= lo) {
			run = 0
			continue
		}
		if run++; run >= flatRun {
			return true
		}
	}
	return false
}

// score of a run of seconds, dB.
func score(run []second) float64 {
	n, sum, sq, tops := float64(len(run)), 0.0, 0.0, 0.0
	for _, s := range run {
		sum, sq = sum+s.level, sq+s.level*s.level
		if s.flat {
			tops++
		}
	}
	m := sum / n
	return m - unsteady*math.Sqrt(max(sq/n-m*m, 0)) - flatTops*tops/n
}

// kept is the recording as far as it is kept.
func (k *keeper) kept() Recording {
	rec := Recording{Rate: k.f.rate, Channels: make([][]float64, k.f.channels)}
	rest := len(k.now) / k.frame
	if k.seconds <= k.most {
		k.best = append(k.best, second{raw: k.now[:rest*k.frame]})
	}
	n := 0
	for _, s := range k.best {
		n += len(s.raw) / k.frame
	}
	for c := range rec.Channels {
		rec.Channels[c] = make([]float64, 0, n)
	}
	for i, s := range k.best {
		k.f.decode(rec.Channels, s.raw)
		k.best[i].raw = nil
	}
	if k.seconds > k.most {
		rec.Warnings = append(rec.Warnings, Warning{Kind: Cut, From: float64(k.from), To: float64(k.from + k.most),
			Of: float64(k.seconds) + math.Round(10*float64(rest)/k.f.rate)/10})
	}
	return rec
}

// Two channels oppose each other below this correlation; the louder alone is taken from so many times the power.
const (
	opposed  = -0.5
	muchMore = 4.0
)

// face turns two channels that would cancel out into one.
func (r *Recording) face() {
	if len(r.Channels) != 2 {
		return
	}
	a, b := r.Channels[0], r.Channels[1]
	n := float64(len(a))
	var sa, sb, aa, bb, ab float64
	for i, v := range a {
		w := b[i]
		sa, sb, aa, bb, ab = sa+v, sb+w, aa+v*v, bb+w*w, ab+v*w
	}
	aa, bb, ab = aa-sa*sa/n, bb-sb*sb/n, ab-sa*sb/n
	if !(aa > 0 && bb > 0 && ab < opposed*math.Sqrt(aa*bb)) {
		return
	}
	w := Warning{Kind: Opposed}
	switch {
	case aa > muchMore*bb:
		w.Channel = 1
	case bb > muchMore*aa:
		a, w.Channel = b, 2
	default:
		for i, v := range b {
			a[i] = (a[i] - v) / 2
		}
	}
	r.Channels = [][]float64{a}
	r.Warnings = append(r.Warnings, w)
}

// What a WAV of this package says about itself: a comment in the list of information (Multimedia Programming
// Interface, 1991: LIST INFO, ICMT; from memory) of words key=value after this one.
const saidBy = "undertray"

// readList reads a list of a bearable length, and passes over a longer one.
func readList(r io.Reader, size int64) ([]byte, error) {
	if size > longestSay {
		_, err := io.CopyN(io.Discard, r, size+size%2)
		if err != nil {
			err = readError(err, ErrBroken, "ends inside a part", called("part", "LIST"))
		}
		return nil, err
	}
	b := make([]byte, size+size%2)
	if _, err := io.ReadFull(r, b); err != nil {
		return nil, readError(err, ErrBroken, "ends inside a part", called("part", "LIST"))
	}
	return b, nil
}

// listed are the warnings that a list of information holds.
func listed(b []byte) []Warning {
	if !bytes.HasPrefix(b, []byte("INFO")) {
		return nil
	}
	for b = b[4:]; len(b) >= 8; {
		size := int64(binary.LittleEndian.Uint32(b[4:]))
		if size > int64(len(b)-8) {
			return nil
		}
		if text := string(bytes.TrimRight(b[8:8+size], "\x00")); string(b[:4]) == "ICMT" {
			if words := strings.Fields(text); len(words) > 0 && words[0] == saidBy {
				return sayings(words[1:])
			}
		}
		b = b[min(8+size+size%2, int64(len(b))):]
	}
	return nil
}

func sayings(words []string) []Warning {
	var out []Warning
	for _, word := range words {
		var w Warning
		var coding string
		if _, err := fmt.Sscanf(word, "cut=%g-%g/%g", &w.From, &w.To, &w.Of); err == nil && w.From >= 0 &&
			w.From < w.To && w.To <= w.Of && w.Of < 1e9 {
			w.Kind = Cut
			out = append(out, w)
		} else if _, err := fmt.Sscanf(word, "lossy=%s", &coding); err == nil && len(coding) <= 16 &&
			strings.Trim(coding, codingLetters) == "" {
			out = append(out, Warning{Kind: Lossy, Coding: coding})
		} else if _, err := fmt.Sscanf(word, "opposed=%d", &w.Channel); err == nil && w.Channel >= 0 && w.Channel <= 2 {
			w.Kind = Opposed
			out = append(out, w)
		}
	}
	return out
}

const codingLetters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"

// Said is the comment by which a WAV file says that its sound was coded with a loss: a LIST chunk to stand before
// the samples, empty for no coding. ReadWAV reads it back as a Lossy warning.
func Said(coding string) []byte {
	if coding == "" {
		return nil
	}
	return saidChunk([]Warning{{Kind: Lossy, Coding: coding}})
}

func saidChunk(ws []Warning) []byte {
	text := saidBy
	for _, w := range ws {
		switch w.Kind {
		case Lossy:
			text += " lossy=" + w.Coding
		case Cut:
			text += fmt.Sprintf(" cut=%g-%g/%g", w.From, w.To, w.Of)
		case Opposed:
			text += fmt.Sprintf(" opposed=%d", w.Channel)
		}
	}
	if text == saidBy {
		return nil
	}
	text += "\x00"
	if len(text)%2 == 1 {
		text += "\x00"
	}
	le := binary.LittleEndian
	out := append([]byte("LIST"), le.AppendUint32(nil, uint32(12+len(text)))...)
	out = append(out, "INFOICMT"...)
	return append(le.AppendUint32(out, uint32(len(text))), text...)
}

// WAV writes the recording as a WAVE file that ReadWAV reads back alike, what it was warned of included where that
// does not show in the samples: with 8, 16 or 24 bits where that loses nothing, else as 32-bit floats.
func (r Recording) WAV() []byte {
	f := wavFormat{tag: tagPCM, channels: len(r.Channels), bits: r.bits(), rate: r.Rate}
	if f.bits == 32 {
		f.tag = tagFloat
	}
	said := saidChunk(r.Warnings)
	n := int(math.Round(r.Seconds()*r.Rate)) * f.channels * f.bits / 8
	le := binary.LittleEndian
	out := make([]byte, 0, 44+len(said)+n+n%2)
	out = append(out, "RIFF"...)
	out = le.AppendUint32(out, uint32(36+len(said)+n+n%2))
	out = append(out, "WAVEfmt "...)
	out = le.AppendUint32(out, 16)
	out = le.AppendUint16(out, uint16(f.tag))
	out = le.AppendUint16(out, uint16(f.channels))
	out = le.AppendUint32(out, uint32(r.Rate))
	out = le.AppendUint32(out, uint32(r.Rate)*uint32(f.channels*f.bits/8))
	out = le.AppendUint16(out, uint16(f.channels*f.bits/8))
	out = le.AppendUint16(out, uint16(f.bits))
	out = append(out, said...)
	out = append(out, "data"...)
	out = le.AppendUint32(out, uint32(n))
	for i := range n * 8 / f.bits / max(f.channels, 1) {
		for _, x := range r.Channels {
			out = f.put(out, x[i])
		}
	}
	return append(out, make([]byte, n%2)...)
}

func (f wavFormat) put(out []byte, v float64) []byte {
	switch f.bits {
	case 8:
		return append(out, byte(int(v*128)+128))
	case 16:
		return binary.LittleEndian.AppendUint16(out, uint16(int16(v*(1<<15))))
	case 24:
		i := int32(v * (1 << 23))
		return append(out, byte(i), byte(i>>8), byte(i>>16))
	}
	return binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
}

// bits are the fewest that hold every sample as it is, 32 for floats.
func (r Recording) bits() int {
	bits := 8
	for _, x := range r.Channels {
		for _, v := range x {
			for ; bits < 32; bits += 8 {
				if s := math.Ldexp(v, bits-1); s == math.Trunc(s) && v >= -1 && v < 1 {
					break
				}
			}
		}
	}
	return bits
}
