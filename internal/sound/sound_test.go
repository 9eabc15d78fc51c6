package sound

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/given"
	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/listen"
)

// ffmpeg makes files; a machine without it leaves the test out by name, but not
// where everything is to be checked.
func ffmpeg(t testing.TB, args ...string) {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal("ffmpeg is missing: scripts/setup installs it")
		}
		t.Skip("ffmpeg is missing")
	}
	c := exec.Command("ffmpeg", append([]string{"-nostdin", "-v", "error", "-y"}, args...)...)
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// take reads a file all the way to a recording.
func take(t testing.TB, name string) (belt.Recording, *Sound, error) {
	t.Helper()
	s, err := Open(t.Context(), name)
	if err != nil {
		return belt.Recording{}, nil, err
	}
	rec, err := belt.ReadRecording(Name(name), s)
	if e := s.Close(); e != nil {
		t.Errorf("%s: closing: %v", name, e)
	}
	return rec, s, err
}

// coded are the files made from one recording, at 64 kbit/s where a coding has a rate.
var coded = []struct {
	name   string
	lossy  string // as it is said; "" for a coding without a loss
	answer bool   // the first answer is wanted to be the same, not only no other
	args   string
}{
	{"pcm16.wav", "", true, "-c:a pcm_s16le"},
	{"pcm24.wav", "", true, "-c:a pcm_s24le"},
	{"pcm32.wav", "", true, "-c:a pcm_s32le"},
	{"float.wav", "", true, "-c:a pcm_f32le"},
	{"rf64.wav", "", true, "-c:a pcm_s16le -rf64 always"},
	{"pcm.aiff", "", true, "-c:a pcm_s16be"},
	{"pcm24.aiff", "", true, "-c:a pcm_s24be"},
	{"little.aifc", "", true, "-c:a pcm_s16le -f aiff"},
	{"float.aifc", "", true, "-c:a pcm_f32be -f aiff"},
	{"pcm.caf", "", true, "-c:a pcm_s16be"},
	{"little.caf", "", true, "-c:a pcm_s24le"},
	{"float.caf", "", true, "-c:a pcm_f32le"},
	{"flac.flac", "", true, "-c:a flac"},
	{"flac.oga", "", true, "-c:a flac -f ogg"},
	{"alac.m4a", "", true, "-c:a alac"},
	{"alac.caf", "", true, "-c:a alac"},
	{"aac.m4a", "aac", true, "-c:a aac -b:a 64k"},
	{"aac.aac", "aac", true, "-c:a aac -b:a 64k"},
	{"aac.3gp", "aac", true, "-c:a aac -b:a 64k"},
	{"mp3.mp3", "mp3", true, "-c:a libmp3lame -b:a 64k"},
	{"vorbis.ogg", "vorbis", true, "-c:a libvorbis -b:a 64k -ar 44100"},
	{"vorbis.webm", "vorbis", true, "-c:a libvorbis -b:a 64k -ar 44100"},
	{"opus.opus", "opus", true, "-c:a libopus -b:a 64k"},
	{"opus.webm", "opus", true, "-c:a libopus -b:a 64k"},
	{"opus.mp4", "opus", true, "-c:a libopus -b:a 64k"},
	{"wma.wma", "wmav2", true, "-c:a wmav2 -b:a 64k -ar 44100"},
	{"mulaw.wav", "mulaw", true, "-c:a pcm_mulaw"},
	{"adpcm.wav", "adpcm_ms", true, "-c:a adpcm_ms"},
	{"speech.amr", "amr_nb", false, "-c:a libopencore_amrnb -b:a 12.2k -ar 8000"},
}

// encode makes all of coded from a recording of 16 bits, in one go.
func encode(t testing.TB, from string) string {
	t.Helper()
	dir := t.TempDir()
	sixteen := filepath.Join(dir, "from.wav")
	ffmpeg(t, "-i", from, "-c:a", "pcm_s16le", sixteen)
	args := []string{"-i", sixteen}
	for _, c := range coded {
		if c.lossy == "amr_nb" && !hasAMR() {
			continue
		}
		args = append(args, "-map", "0:a:0")
		args = append(args, strings.Fields(c.args)...)
		args = append(args, filepath.Join(dir, c.name))
	}
	ffmpeg(t, args...)
	return dir
}

func hasAMR() bool {
	out, _ := exec.Command("ffmpeg", "-hide_banner", "-encoders").Output()
	return bytes.Contains(out, []byte("libopencore_amrnb"))
}

type record struct {
	path, bearing, fault string
	rpm                  float64
}

func records(t testing.TB) []record {
	t.Helper()
	dir := given.Data(t, "data", "listening")
	var out []record
	for _, r := range given.Table(t, "data", "listening", "index.csv") {
		out = append(out, record{filepath.Join(dir, r[1]), r[2], r[4], given.Number(t, r[7])})
	}
	return out
}

func (r record) ask(t testing.TB, rec belt.Recording) listen.Diagnosis {
	t.Helper()
	h, err := belt.Shaft(rec, belt.ShaftQuestion{Bearings: []string{r.bearing}, RPM: r.rpm, Ignore: []float64{60}})
	if err != nil {
		t.Fatal(err)
	}
	return h.Diagnosis
}

func lossy(rec belt.Recording) string {
	for _, w := range rec.Warnings {
		if w.Kind == listen.Lossy {
			return w.Coding
		}
	}
	return ""
}

// Every coding made from one recording gives the same first answer; what lost
// something says so, and what lost nothing is the same to the last bit.
func TestEveryCoding(t *testing.T) {
	r := records(t)[2]
	dir := encode(t, r.path)
	whole, _, err := take(t, filepath.Join(dir, coded[0].name))
	if err != nil {
		t.Fatal(err)
	}
	want := r.ask(t, whole)
	for _, c := range coded {
		name := filepath.Join(dir, c.name)
		if _, err := os.Stat(name); err != nil {
			t.Logf("%s: this ffmpeg does not write it", c.name)
			continue
		}
		rec, s, err := take(t, name)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if plain := strings.HasSuffix(c.name, ".wav") && c.lossy == "" && c.name != "rf64.wav"; s.Plain != plain {
			t.Errorf("%s: handed on as it is: %v", c.name, s.Plain)
		}
		if got := lossy(rec); got != c.lossy {
			t.Errorf("%s: said to be lossy %q, want %q", c.name, got, c.lossy)
		}
		if c.lossy == "" {
			if !slices.Equal(rec.Channels[0], whole.Channels[0]) || rec.Rate != whole.Rate {
				t.Errorf("%s: not the same samples: %d at %g, %d at %g", c.name, len(rec.Channels[0]), rec.Rate,
					len(whole.Channels[0]), whole.Rate)
			}
			continue
		}
		got := r.ask(t, rec)
		t.Logf("%s: %v %v, %.2f", c.name, got.Outcome, got.Element, got.Margin)
		if got.Outcome == listen.Named && got.Element != want.Element ||
			c.answer && (got.Outcome != want.Outcome || got.Element != want.Element) {
			t.Errorf("%s: %v %v; the recording itself %v %v", c.name, got.Outcome, got.Element, want.Outcome,
				want.Element)
		}
		if got.Firm {
			t.Errorf("%s: firm, though something is lost", c.name)
		}
	}
}

// TestCodingTable counts for docs/listening.md what each coding leaves of the
// eight records: UNDERTRAY_LONG=1 go test ./internal/sound -run CodingTable -v
func TestCodingTable(t *testing.T) {
	if os.Getenv("UNDERTRAY_LONG") == "" {
		t.Skip("a minute long: set UNDERTRAY_LONG to run it")
	}
	same, mute, other := map[string]int{}, map[string]int{}, map[string]int{}
	for _, r := range records(t) {
		whole, _, err := take(t, r.path)
		if err != nil {
			t.Fatal(err)
		}
		want, dir := r.ask(t, whole), encode(t, r.path)
		for _, c := range coded {
			if c.lossy == "" {
				continue
			}
			rec, _, err := take(t, filepath.Join(dir, c.name))
			if err != nil {
				t.Logf("%s: %v", c.name, err)
				continue
			}
			switch got := r.ask(t, rec); {
			case got.Outcome == want.Outcome && (got.Outcome != listen.Named || got.Element == want.Element):
				same[c.name]++
			case got.Outcome != listen.Named:
				mute[c.name]++
			default:
				other[c.name]++
				t.Logf("%s, %s: %v for %v", filepath.Base(r.path), c.name, got.Element, want.Element)
			}
		}
	}
	for _, c := range coded {
		if c.lossy != "" {
			t.Logf("| %s | %d | %d | %d |", c.name, same[c.name], mute[c.name], other[c.name])
		}
	}
}

// noise is a second of noise that every reader can be tried with.
func noise(n int) []float64 {
	rng := rand.New(rand.NewPCG(7, 7))
	x := make([]float64, n)
	for i := range x {
		x[i] = 0.1 * rng.NormFloat64()
	}
	return x
}

// aiff writes an AIFF-C file the long way.
func aiff(coding string, bits, channels int, rate float64, frames uint32, data []byte) []byte {
	be := binary.BigEndian
	m, e := math.Frexp(rate)
	common := be.AppendUint16(nil, uint16(channels))
	common = be.AppendUint32(common, frames)
	common = be.AppendUint16(common, uint16(bits))
	common = be.AppendUint16(common, uint16(16382+e))
	common = be.AppendUint64(common, uint64(m*(1<<63))<<1)
	common = append(common, coding...)
	common = append(common, 0, 0)
	out := append([]byte("FORM\x00\x00\x00\x00AIFC"), "SSND"...) // the sound before what says how it is coded
	out = be.AppendUint32(out, uint32(8+len(data)))
	out = append(append(out, make([]byte, 8)...), data...)
	out = append(out, make([]byte, len(data)%2)...)
	out = be.AppendUint32(append(out, "COMM"...), uint32(len(common)))
	return append(out, common...)
}

func caf(rate float64, flags uint32, channels, bits int, size int64, data []byte) []byte {
	be := binary.BigEndian
	out := append([]byte("caff\x00\x01\x00\x00desc"), be.AppendUint64(nil, 32)...)
	out = be.AppendUint64(out, math.Float64bits(rate))
	out = append(out, "lpcm"...)
	for _, v := range []uint32{flags, uint32(channels * bits / 8), 1, uint32(channels), uint32(bits)} {
		out = be.AppendUint32(out, v)
	}
	out = append(out, "data"...)
	out = be.AppendUint64(out, uint64(size))
	return append(append(out, 0, 0, 0, 0), data...)
}

// bigSamples writes 16-bit samples, the highest byte first.
func bigSamples(x []float64) []byte {
	var out []byte
	for _, v := range x {
		out = binary.BigEndian.AppendUint16(out, uint16(int16(math.Round(v*(1<<15)))))
	}
	return out
}

func wavBytes(rate float64, x ...[]float64) []byte {
	return listen.Recording{Rate: rate, Channels: x}.WAV()
}

// shortened are the odd files whose end is missed: a header says how long they were. A stream in Ogg
// does not say.
var shortened = []string{"cut.wav", "cut.flac", "cut.m4a", "cut.mkv", "cut.mp3", "short.aifc"}

// Fifty odd files: each gives a recording or one error that a person can read.
func TestOddFiles(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	x := noise(3 * 48000)
	for i := range x {
		x[i] = math.Round(x[i]*(1<<15)) / (1 << 15)
	}
	wav := wavBytes(48000, x)
	if err := os.WriteFile(at("whole.wav"), wav, 0o600); err != nil {
		t.Fatal(err)
	}
	from := []string{"-i", at("whole.wav")}
	makes := map[string]string{
		"8bit.wav": "-c:a pcm_u8", "96k.wav": "-ar 96000", "192k.flac": "-ar 192000", "6ch.wav": "-ac 6",
		"6ch.m4a": "-ac 6 -c:a aac", "8ch.flac": "-ac 8", "8k.wav": "-ar 8000", "4k.wav": "-ar 4000",
		"3k.wav":  "-ar 3000",
		"11k.mp3": "-ar 11025 -b:a 32k", "64float.wav": "-c:a pcm_f64le", "tagged.mp3": "-metadata title=Belt",
		"stereo.opus": "-ac 2 -c:a libopus", "long.flac": "-compression_level 12",
		"fast.m4a": "-c:a aac -movflags +faststart",
		"frag.mp4": "-c:a aac -movflags +frag_keyframe+empty_moov", "s.au": "-c:a pcm_s16be", "s.w64": "-c:a pcm_s16le",
		"8bit.aiff": "-c:a pcm_s8", "ima.aifc": "-c:a adpcm_ima_qt -f aiff", "24.flac": "-c:a flac -sample_fmt s32",
		"5.1.ogg": "-ac 6 -c:a libvorbis", "5.1.opus": "-ac 6 -c:a libopus", "v.mkv": "-c:a libvorbis",
		"ts.ts": "-c:a aac -f mpegts", "s.speex.ogg": "-c:a libspeex -ar 16000", "wv.wv": "-c:a wavpack",
	}
	var all []string
	for name, args := range makes {
		all = append(append(append(all, "-map", "0:a:0"), strings.Fields(args)...), at(name))
	}
	ffmpeg(t, append(from, all...)...)
	ffmpeg(t, "-f", "lavfi", "-i", "testsrc=s=64x64:d=1:r=5", "-c:v", "mjpeg", "-an", at("mute.mp4"),
		"-c:v", "mjpeg", "-an", at("mute.avi"), "-c:v", "mjpeg", "-frames:v", "1", "-f", "image2", at("still.jpg"))
	ffmpeg(t, "-f", "lavfi", "-i", "testsrc=s=64x64:d=3:r=5", "-i", at("whole.wav"), "-c:v", "mjpeg",
		"-c:a", "aac", at("film.mov"))
	read := func(name string) []byte {
		b, err := os.ReadFile(at(name))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	half := func(name string) []byte { b := read(name); return b[:len(b)/2] }
	bare := bytes.Clone(wav)
	copy(bare[40:], "\xff\xff\xff\xff")
	files := map[string]struct {
		src  []byte
		want string // of the error; "" for a recording
	}{
		"empty.wav":         {nil, "an empty file"},
		"one byte":          {[]byte{0x52}, "no sound file"},
		"zeros.wav":         {make([]byte, 5000), "nothing but zeros"},
		"letter.wav":        {[]byte("Dear Sir, the belt squeals when it rains."), "it is text"},
		"page.mp3":          {[]byte("<!DOCTYPE html><html><body>404</body></html>"), "a web page"},
		"paper.m4a":         {[]byte("%PDF-1.7 ..."), "a PDF"},
		"packed.wav":        {[]byte("PK\x03\x04aaaaaaaaaaaaaaaaaaaaaaaaaaaa"), "a packed archive"},
		"picture.wav":       {read("still.jpg"), "a picture (JPEG)"},
		"junk.mp3":          {[]byte("\xfe\x01\x99\x13\x00\x1b[2J and so on"), "begins with fe 01 99 13"},
		"renamed.mp3":       {wav, ""},
		"renamed.wav":       {read("fast.m4a"), ""},
		"renamed.flac":      {read("tagged.mp3"), ""},
		"no name":           {read("stereo.opus"), ""},
		"open.wav":          {bare, ""},
		"cut.wav":           {wav[:len(wav)/2], ""},
		"head.wav":          {wav[:20], "broken WAV recording"},
		"cut.flac":          {half("long.flac"), ""},
		"head.flac":         {read("long.flac")[:30], "broken or cut off"},
		"cut.opus":          {half("stereo.opus"), ""},
		"head.opus":         {read("stereo.opus")[:60], "broken or cut off"},
		"cut.mp3":           {half("tagged.mp3"), ""},
		"cut.m4a":           {half("fast.m4a"), ""},
		"head.m4a":          {read("fast.m4a")[:40], "holds no sound"},
		"cut.ogg":           {half("5.1.ogg"), ""},
		"cut.mkv":           {half("v.mkv"), ""},
		"silent.wav":        {wavBytes(8000, make([]float64, 30000)), "silent"},
		"silent.aiff":       {aiff("NONE", 16, 1, 8000, 20000, make([]byte, 40000)), "silent"},
		"sound first.aifc":  {aiff("NONE", 16, 1, 48000, 48000, bigSamples(x[:48000])), ""},
		"short.aifc":        {aiff("NONE", 16, 1, 48000, 96000, bigSamples(x[:48000])), ""},
		"no channels.aifc":  {aiff("NONE", 16, 0, 48000, 10, bigSamples(x[:48000])), "0 channels"},
		"unknown.aifc":      {aiff("what", 16, 1, 48000, 48000, bigSamples(x[:48000])), "cannot be decoded"},
		"open.caf":          {caf(48000, 0, 1, 16, -1, bigSamples(x)), ""},
		"many.caf":          {caf(48000, 0, 3000, 16, -1, bigSamples(x)), "not known here"},
		"slow.caf":          {caf(100, 0, 1, 16, -1, bigSamples(x)), "100 samples a second"},
		"no table.caf":      {[]byte("caff\x00\x01\x00\x00"), "broken or cut off"},
		"playlist.m3u8":     {[]byte("#EXTM3U\nfile:///etc/passwd\n"), "it is text"},
		"concat.txt":        {[]byte("ffconcat version 1.0\nfile /etc/passwd\n"), "it is text"},
		"only a tag.mp3":    {append([]byte("ID3\x04\x00\x00\x00\x00\x00\x0a"), make([]byte, 300)...), "broken"},
		"9 channels.wav":    {nineChannels(), "9 channels"},
		"\x1b[31mred\n.wav": {[]byte("nothing"), "it is text"},
	}
	for name := range makes {
		want := map[string]string{"3k.wav": "3000 samples"}[name]
		files[name] = struct {
			src  []byte
			want string
		}{read(name), want}
	}
	for name, want := range map[string]string{"mute.mp4": "holds no sound", "mute.avi": "holds no sound",
		"film.mov": ""} {
		files[name] = struct {
			src  []byte
			want string
		}{read(name), want}
	}
	if len(files) < 50 {
		t.Fatalf("%d files", len(files))
	}
	loose, err := filepath.Glob(filepath.Join(os.TempDir(), "undertray-sound-*"))
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range files {
		s, err := Of(t.Context(), Name(name), c.src)
		var rec belt.Recording
		if err == nil {
			rec, err = belt.ReadRecording(Name(name), s)
			s.Close()
		}
		if c.want == "" {
			if err != nil || rec.Seconds() < 0.5 {
				t.Errorf("%q: %v, %g s", name, err, rec.Seconds())
			}
			if want := slices.Contains(shortened, name); want != has(rec, listen.Truncated) {
				t.Errorf("%q: %v", name, rec.Warnings)
			}
			continue
		}
		var told *fleet.Error
		if !errors.As(err, &told) || told.Hint == "" || !strings.Contains(told.Error(), c.want) {
			t.Errorf("%q: %v; want %q", name, err, c.want)
			continue
		}
		if text := told.Error(); strings.Contains(text, `\x`) || strings.ContainsFunc(text, func(r rune) bool {
			return r != '\n' && !unicode.IsPrint(r)
		}) {
			t.Errorf("%q: not to be printed: %q", name, text)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(os.TempDir(), "undertray-sound-*")); len(left) > len(loose) {
		t.Errorf("left behind: %v", left)
	}
	t.Logf("%d files", len(files))
}

func nineChannels() []byte {
	x := make([][]float64, 9)
	for i := range x {
		x[i] = noise(9000)
	}
	return wavBytes(8000, x...)
}

func has(rec belt.Recording, k listen.WarningKind) bool {
	return slices.ContainsFunc(rec.Warnings, func(w listen.Warning) bool { return w.Kind == k })
}

// Without ffmpeg one sentence says what is missing and three ways out.
func TestWithoutFFmpeg(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	for name, src := range map[string][]byte{
		"MP4":  []byte("\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00M4A mp42isom\x00\x00\x00\x00"),
		"MP3":  append([]byte("\xff\xfb\x90\x64"), make([]byte, 400)...),
		"WebM": []byte("\x1a\x45\xdf\xa3\x01\x00\x00\x00")} {
		_, err := Of(t.Context(), "idle", src)
		var told *fleet.Error
		if !errors.As(err, &told) || told.Kind != fleet.Invalid || !strings.Contains(told.Error(), name+" file") ||
			!strings.Contains(told.Hint.String(), "install ffmpeg") {
			t.Errorf("%s: %v", name, err)
		}
	}
	flac, err := os.ReadFile("testdata/tone.flac")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Of(t.Context(), "tone", flac); err != nil {
		t.Errorf("FLAC needs no ffmpeg: %v", err)
	}
}

// A file beyond the limit is refused before it is read.
func TestTooLargeIsRefusedEarly(t *testing.T) {
	name := filepath.Join(t.TempDir(), "huge.wav")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := f.Truncate(MaxBytes + 1); err != nil {
		t.Skip("no room for a file with a hole:", err)
	}
	if _, err := Open(t.Context(), name); err == nil || !strings.Contains(err.Error(), "2 GiB are taken") {
		t.Error(err)
	}
	if _, err := Open(t.Context(), filepath.Dir(name)); err == nil || !strings.Contains(err.Error(), "a folder") {
		t.Error(err)
	}
}

// hourName is the environment of the child that reads an hour.
const hourName = "UNDERTRAY_HOUR_OF_SOUND"

// An hour of stereo takes memory for half a minute, in a process of its own.
func TestAnHourFitsIntoMemory(t *testing.T) {
	if name := os.Getenv(hourName); name != "" {
		rec, _, err := take(t, name)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range rec.Warnings {
			if w.Kind == listen.Cut {
				fmt.Printf("kept %g to %g of %g\n", w.From, w.To, w.Of)
			}
		}
		status, _ := os.ReadFile("/proc/self/status")
		os.Stdout.Write(status)
		return
	}
	name := filepath.Join(t.TempDir(), "hour.wav")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	const frame, rate, seconds, loud = 4, 48000, 3600, 2000
	head := header(&pcm{rate: rate, channels: 2, bits: 16, frames: rate * seconds})
	sound := wavBytes(rate, noise(30*rate), noise(30*rate))
	sound = sound[len(sound)-30*rate*2*4:]
	if err := f.Truncate(int64(len(head)) + frame*rate*seconds); err != nil {
		t.Skip("no room for a file with a hole:", err)
	}
	var part []byte
	for i := 0; i < len(sound); i += 4 { // noise as 32-bit floats
		v := math.Float32frombits(binary.LittleEndian.Uint32(sound[i:]))
		part = binary.LittleEndian.AppendUint16(part, uint16(int16(v*(1<<15))))
	}
	_, err1 := f.WriteAt(head, 0)
	_, err2 := f.WriteAt(part, int64(len(head))+frame*rate*loud)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(os.Args[0], "-test.run", "^TestAnHourFitsIntoMemory$", "-test.v")
	c.Env = append(os.Environ(), hourName+"="+name, "GOGC=100") // as it is used
	out, err := c.CombinedOutput()
	if err != nil || !bytes.Contains(out, []byte("kept 2000 to 2030 of 3600")) {
		t.Fatalf("%v\n%s", err, out)
	}
	// Not the system's count of what a child took, which begins with what its parent had.
	found := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(out)
	if found == nil {
		t.Skip("this system does not say how much memory a process took")
	}
	kB, err := strconv.ParseFloat(string(found[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	peak := kB / 1024
	t.Logf("peak %.0f MB for %.0f MB of sound", peak, float64(frame*rate*seconds)/1e6)
	if peak > 120 {
		t.Errorf("%.0f MB at the peak", peak)
	}
}

// FuzzReaders: whatever comes, the readers of this package end with a
// recording, an end that was lost, or an error for a person.
func FuzzReaders(f *testing.F) {
	f.Setenv("PATH", "")
	var seeds [][]byte
	for _, name := range []string{"tone.flac", "tone.opus"} {
		b, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			f.Fatal(err)
		}
		seeds = append(seeds, b)
	}
	x := bigSamples(noise(200))
	seeds = append(seeds, aiff("NONE", 16, 2, 8000, 100, x), aiff("fl32", 32, 1, 8000, 100, x),
		aiff("sowt", 16, 1, 8000, 200, x),
		caf(8000, 2, 1, 16, int64(len(x)+4), x), caf(8000, 1, 1, 32, -1, x), wavBytes(8000, noise(200)))
	harm.Add(f, seeds...)
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := Of(t.Context(), "sound", b)
		var told *fleet.Error
		if err == nil {
			defer s.Close()
			var n int64
			n, err = io.Copy(io.Discard, io.LimitReader(s, 64<<20))
			if err == nil && n < 1 {
				t.Fatal("nothing and no error")
			}
		}
		if err != nil && !errors.As(err, &told) && !errors.Is(err, io.ErrUnexpectedEOF) {
			t.Fatalf("untyped error %v", err)
		}
	})
}
