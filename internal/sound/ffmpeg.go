package sound

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"undertray.example/undertray/internal/message"
)

// What ffmpeg may decode: what phones, recorders and cameras write.
const codecs = "aac,aac_fixed,aac_latm,alac,mp3,mp3float,mp2,mp2float,mp1,mp1float,opus,libopus,vorbis,libvorbis," +
	"flac,amrnb,amrwb,libopencore_amrnb,libopencore_amrwb,wmav1,wmav2,wmapro,wmalossless,ac3,eac3,speex,libspeex," +
	"gsm,gsm_ms,wavpack,adpcm_ms,adpcm_ima_wav,adpcm_ima_qt,pcm_alaw,pcm_mulaw,pcm_u8,pcm_s8,pcm_s16le,pcm_s16be," +
	"pcm_s24le,pcm_s24be,pcm_s32le,pcm_s32be,pcm_f32le,pcm_f32be,pcm_f64le,pcm_f64be"

// lossless codings by ffmpeg's names; what else it decodes left something out.
func lossless(codec string) bool {
	switch codec {
	case "flac", "alac", "wavpack", "wmalossless":
		return true
	}
	return strings.HasPrefix(codec, "pcm_") && codec != "pcm_alaw" && codec != "pcm_mulaw"
}

// places bounds how many files ffmpeg decodes at once.
var places = make(chan struct{}, 2)

// readOther lets ffmpeg decode a file.
func readOther(ctx context.Context, f *file, k *kind) (*Sound, error) {
	tool, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, invalid(f.where, message.Of("this machine has no decoder for %s", aName(k.name)),
			"install ffmpeg, send it through the page Listen, where the browser decodes it, or export it as WAV")
	}
	ctx, cancel := context.WithTimeout(ctx, MaxDecode)
	select {
	case places <- struct{}{}:
	case <-ctx.Done():
		cancel()
		return nil, slow(f)
	}
	path, remove, err := onDisk(f)
	if err != nil {
		cancel()
		<-places
		return nil, err
	}
	left := sync.OnceValue(func() error { cancel(); <-places; return remove() })
	p, err := ask(ctx, tool, path, f, k)
	if err == nil {
		err = p.start(ctx, tool, path, f, k)
	}
	if err != nil {
		left()
		return nil, err
	}
	done := p.close
	p.close = func() error { cancel(); return errors.Join(done(), left()) }
	return p.stream(ctx, f)
}

// aName puts the article before a kind's name as it is spoken.
func aName(name message.Text) message.Text {
	if strings.ContainsAny(name.String()[:1], "AEFMOR") {
		return message.Of("an %s", name)
	}
	return message.Of("a %s", name)
}

// onDisk is the path of a file, which is written down where it is in memory:
// many containers keep their table at the end.
func onDisk(f *file) (path string, remove func() error, err error) {
	if f.path != "" {
		path, err = filepath.Abs(f.path)
		return path, func() error { return nil }, err
	}
	t, err := os.CreateTemp("", "undertray-sound-*")
	if err == nil {
		_, err = io.Copy(t, f.all())
		err = errors.Join(err, t.Close())
		if err != nil {
			os.Remove(t.Name())
		}
	}
	if err != nil {
		return "", nil, unavailable(f, "there is no room for the recording",
			message.Of("free room in %s", os.TempDir()), err)
	}
	return t.Name(), func() error { return os.Remove(t.Name()) }, nil
}

// input are the words before the file: one reader, no network, no other file,
// no film, few and small pieces of memory.
func input(path string, k *kind) []string {
	return []string{"-nostdin", "-hide_banner", "-max_alloc", strconv.Itoa(maxBlock), "-threads", "1",
		"-vn", "-sn", "-dn", "-protocol_whitelist", "file", "-codec_whitelist", codecs,
		"-f", k.demux, "-i", "file:" + path}
}

func command(ctx context.Context, tool string, args ...string) *exec.Cmd {
	c := exec.CommandContext(ctx, tool, args...)
	c.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C", "AV_LOG_FORCE_NOCOLOR=1"}
	c.Dir = os.TempDir()
	return c
}

// bound keeps the first bytes of what a tool writes.
type bound struct {
	bytes.Buffer
	most int
}

func (b *bound) Write(p []byte) (int, error) {
	b.Buffer.Write(p[:min(len(p), max(b.most-b.Len(), 0))])
	return len(p), nil
}

// What ffmpeg says of a file it opens: one line for each stream, and how long it is.
var (
	opened   = regexp.MustCompile(`(?m)^Input #0`)
	streamed = regexp.MustCompile(`(?m)^ *Stream #0:\d+\S*: Audio: (\w+).*?, (\d+) Hz, .*?, (u8|s16|s32|s64|flt|dbl)p?\b`)
	audible  = regexp.MustCompile(`(?m)^ *Stream #0:\d+\S*: Audio: (\w+)`)
	lasting  = regexp.MustCompile(`(?m)^ *Duration: (\d+):(\d+):(\d+\.\d+)`)
)

// ask lets ffmpeg say what sound a file holds.
func ask(ctx context.Context, tool, path string, f *file, k *kind) (*pcm, error) {
	c := command(ctx, tool, input(path, k)...)
	said := &bound{most: 1 << 18}
	c.Stderr = said
	run(c) // ends with a complaint that nothing is to be written
	text := said.String()
	m := streamed.FindStringSubmatch(text)
	switch {
	case ctx.Err() != nil:
		return nil, slow(f)
	case !opened.MatchString(text):
		return nil, broken(f, k.name)
	case !audible.MatchString(text):
		return nil, invalid(f.where, message.Of("the %s holds no sound", k.name),
			"record with the microphone on; a recording of "+
				"sound alone is enough")
	case m == nil || m[1] == "none":
		return nil, invalid(f.where, message.Of("the sound in the %s is coded in a way that is not known here", k.name),
			asWAV)
	}
	rate, _ := strconv.Atoi(m[2])
	p := &pcm{rate: rate}
	switch m[3] {
	case "u8":
		p.bits = 8
	case "s16":
		p.bits = 16
	case "s32":
		p.bits = 32
	default:
		p.bits, p.float = 32, true
	}
	if !lossless(m[1]) {
		p.lossy = strings.TrimPrefix(m[1], "pcm_")
	}
	if d := lasting.FindStringSubmatch(text); d != nil {
		h, _ := strconv.ParseFloat(d[1], 64)
		m, _ := strconv.ParseFloat(d[2], 64)
		s, _ := strconv.ParseFloat(d[3], 64)
		if s += 3600*h + 60*m; s < maxHours*3600 {
			p.frames = int64(s * float64(rate))
		}
	}
	return p, nil
}

// start lets ffmpeg decode what was asked for; how many channels there are is
// read from the WAV header it writes.
func (p *pcm) start(ctx context.Context, tool, path string, f *file, k *kind) error {
	form := "s" + strconv.Itoa(p.bits) + "le"
	switch {
	case p.float:
		form = "f32le"
	case p.bits == 8:
		form = "u8"
	}
	args := append(input(path, k), "-v", "error", "-map", "0:a:0", "-map_metadata", "-1", "-bitexact",
		"-t", strconv.Itoa(maxHours*3600), "-threads", "1", "-c:a", "pcm_"+form, "-f", "wav", "pipe:1")
	c := command(ctx, tool, args...)
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		return unavailable(f, "ffmpeg does not start", asWAV, err)
	}
	confine(c.Process.Pid)
	ended, over := false, error(nil)
	wait := func() error {
		if !ended {
			ended, over = true, c.Wait()
		}
		return over
	}
	p.close = func() error {
		if !ended {
			c.Process.Kill()
			wait()
		}
		return nil
	}
	if p.channels, p.rate, err = skipHeader(out); err != nil || p.channels < 1 {
		p.close()
		if ctx.Err() != nil {
			return slow(f)
		}
		return broken(f, k.name)
	}
	frame, promised, got := p.channels*p.bits/8, p.frames, int64(0)
	p.frames = 0 // what comes may be a little more or less than said
	buf := make([]byte, max(1<<16/frame, 1)*frame)
	p.next = func() ([]byte, error) {
		n, err := io.ReadFull(out, buf)
		n = n / frame * frame
		got += int64(n / frame)
		if n > 0 {
			return buf[:n], nil
		}
		failed := wait()
		switch {
		case ctx.Err() != nil:
			return nil, slow(f)
		case got == 0:
			return nil, broken(f, k.name)
		case failed != nil || float64(got) < 0.95*float64(promised)-0.5*float64(p.rate):
			return nil, io.ErrUnexpectedEOF
		case err == io.ErrUnexpectedEOF:
			return nil, io.EOF
		}
		return nil, err
	}
	return nil
}

// skipHeader reads a WAV stream up to its samples.
func skipHeader(r io.Reader) (channels, rate int, err error) {
	var b [12]byte
	if _, err := io.ReadFull(r, b[:]); err != nil {
		return 0, 0, err
	}
	for {
		if _, err := io.ReadFull(r, b[:8]); err != nil || string(b[:4]) == "data" {
			return channels, rate, err
		}
		part := make([]byte, min(order.Uint32(b[4:]), 1<<16))
		if _, err := io.ReadFull(r, part); err != nil {
			return 0, 0, err
		}
		if string(b[:4]) == "fmt " && len(part) >= 16 {
			channels, rate = int(order.Uint16(part[2:])), int(order.Uint32(part[4:]))
		}
	}
}

// run starts a tool, confines it and waits.
func run(c *exec.Cmd) error {
	if err := c.Start(); err != nil {
		return err
	}
	confine(c.Process.Pid)
	return c.Wait()
}
