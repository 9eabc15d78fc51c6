package picture

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
)

// corners is a picture whose corner at the top left is red, at the top right green, at
// the bottom left blue and at the bottom right white.
func corners(w, h int) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{255, 0, 0, 255}
			switch right, low := x >= w/2, y >= h/2; {
			case right && low:
				c = color.RGBA{255, 255, 255, 255}
			case right:
				c = color.RGBA{0, 255, 0, 255}
			case low:
				c = color.RGBA{0, 0, 255, 255}
			}
			out.SetRGBA(x, y, c)
		}
	}
	return out
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	src, err := encode(img, 90)
	if err != nil {
		t.Fatal(err)
	}
	return src
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// exiftool runs Debian's reader and writer of what is said beside a picture once, for
// files of a folder: it takes a while to start.
func exiftool(t *testing.T, dir string, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath("exiftool"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("exiftool is not here")
		}
		t.Skip("exiftool is not here")
	}
	run := exec.Command("exiftool", args...)
	run.Dir = dir
	out, err := run.Output()
	if err != nil {
		t.Fatalf("exiftool: %v", err)
	}
	return out
}

func write(t *testing.T, dir, name string, src []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), src, 0o600); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, dir, name string) []byte {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return src
}

// beside is what exiftool finds in each picture of a folder beside its size and coding.
func beside(t *testing.T, dir string) map[string]string {
	t.Helper()
	var all []map[string]any
	if err := json.Unmarshal(exiftool(t, dir, "-a", "-j", "-G0", "-ee", "."), &all); err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, one := range all {
		said := ""
		for key := range one {
			group, tag, _ := strings.Cut(key, ":")
			of := slices.Contains([]string{"File", "ExifTool", "Composite", "SourceFile"}, group)
			if !of || tag == "Comment" {
				said += key + " "
			}
		}
		out[path.Base(one["SourceFile"].(string))] = said
	}
	return out
}

// TestNothingIsSaidBesideAPicture: exiftool writes what phones write, and finds nothing of
// it in what is kept; with and without turning, so that both ways of keeping are tried.
func TestNothingIsSaidBesideAPicture(t *testing.T) {
	dir, keptIn := t.TempDir(), t.TempDir()
	args := []string{}
	for _, held := range []int{1, 6} {
		photo, sheet := fmt.Sprintf("photo%d.jpg", held), fmt.Sprintf("sheet%d.png", held)
		write(t, dir, photo, jpegOf(t, corners(64, 48)))
		write(t, dir, sheet, pngOf(t, corners(64, 48)))
		args = append(args, fmt.Sprintf("-Orientation#=%d", held), "-GPSLatitude=52.1", "-GPSLatitudeRef=N",
			"-GPSLongitude=0.3", "-GPSLongitudeRef=E",
			"-Make=maker", "-DateTimeOriginal=2026:03:01 10:00:00", "-XMP:City=Fen",
			photo, sheet, "-execute")
	}
	args = append(args, "-Comment=by the gate", "-IPTC:City=Fen", "photo1.jpg", "photo6.jpg",
		"-common_args", "-overwrite_original", "-q")
	exiftool(t, dir, args...)
	for name, said := range beside(t, dir) {
		if !strings.Contains(said, "EXIF:GPSLatitude") || !strings.Contains(said, "XMP:City") {
			t.Fatalf("%s says only %s", name, said)
		}
		src := read(t, dir, name)
		if path.Ext(name) == ".jpg" {
			src = append(src, "GPS 52.1 N"...) // behind its end
		} else if !bytes.Contains(src, []byte("eXIf")) {
			t.Fatal("exiftool wrote no eXIf chunk")
		}
		kept, err := Read(src)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		write(t, keptIn, name, kept)
		if bytes.Contains(kept, []byte("GPS")) || bytes.Contains(kept, []byte("Fen")) {
			t.Errorf("%s: what was said is still in the bytes", name)
		}
	}
	all := beside(t, keptIn)
	for name, said := range all {
		if said != "" {
			t.Errorf("%s: what is kept says %s", name, said)
		}
	}
	if len(all) != 4 {
		t.Errorf("only %d were looked at", len(all))
	}
}

// Where the red corner stands once a picture is upright, for each way of holding the
// camera: CIPA DC-008-2012, table of Orientation (the 0th row and column of the picture are
// at the top and left, the top and right, the bottom and right, the bottom and left; the left
// and top, the right and top, the right and bottom, the left and bottom).
func TestPicturesStandUpright(t *testing.T) {
	upright, dir, args := corners(64, 48), t.TempDir(), []string{}
	for held := 1; held <= 8; held++ {
		write(t, dir, fmt.Sprintf("%d.jpg", held), jpegOf(t, stored(upright, held)))
		write(t, dir, fmt.Sprintf("%d.png", held), pngOf(t, stored(upright, held)))
		args = append(args, fmt.Sprintf("-Orientation#=%d", held), fmt.Sprintf("%d.jpg", held),
			fmt.Sprintf("%d.png", held), "-execute")
	}
	exiftool(t, dir, append(args[:len(args)-1], "-common_args", "-q", "-overwrite_original")...)
	for held := 1; held <= 8; held++ {
		for _, ext := range []string{"jpg", "png"} {
			kept, err := Read(read(t, dir, fmt.Sprintf("%d.%s", held, ext)))
			if err != nil {
				t.Fatal(err)
			}
			got, err := jpeg.Decode(bytes.NewReader(kept))
			if err != nil || got.Bounds().Dx() != 64 || got.Bounds().Dy() != 48 {
				t.Fatalf("held %d: %v, %v", held, got.Bounds(), err)
			}
			for _, at := range []image.Point{{4, 4}, {60, 4}, {4, 44}, {60, 44}} {
				r, g, b, _ := got.At(at.X, at.Y).RGBA()
				wr, wg, wb, _ := upright.At(at.X, at.Y).RGBA()
				if apart(r, wr) || apart(g, wg) || apart(b, wb) {
					t.Errorf("%s held %d: at %v it is %x %x %x", ext, held, at, r, g, b)
				}
			}
		}
	}
}

func apart(a, b uint32) bool { return max(a, b)-min(a, b) >= 0x2000 }

// stored is what a camera stores of a scene of 64 by 48: its row 0 and its column 0 are the
// sides of the scene that the standard names for a way of holding it.
func stored(scene image.Image, held int) image.Image {
	out := image.NewRGBA(scene.Bounds())
	if held >= 5 {
		out = image.NewRGBA(image.Rect(0, 0, 48, 64))
	}
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			sx, sy := x, y
			if held >= 5 { // rows are columns of the scene
				sx, sy = y, x
			}
			if held == 2 || held == 3 || held == 6 || held == 7 { // from the right
				sx = 63 - sx
			}
			if held == 3 || held == 4 || held == 7 || held == 8 { // from below
				sy = 47 - sy
			}
			out.Set(x, y, scene.At(sx, sy))
		}
	}
	return out
}

func TestSizes(t *testing.T) {
	for _, c := range []struct{ w, h, long int }{{3200, 20, 3200}, {3201, 20, 3200}, {20, 6399, 3200}, {6401, 40, 3200},
		{13000, 30, 3200}, {300, 200, 300}} {
		grey := image.NewGray(image.Rect(0, 0, c.w, c.h))
		for _, src := range [][]byte{jpegOf(t, grey), pngOf(t, grey)} {
			kept, err := Read(src)
			if err != nil {
				t.Fatal(err)
			}
			img, _, leave, err := decode(kept)
			if err != nil {
				t.Fatal(err)
			}
			if leave(); longer(img) != c.long {
				t.Errorf("%d × %d is kept as %v", c.w, c.h, img.Bounds())
			}
			small, err := Reduced(kept)
			head, again := jpeg.DecodeConfig(bytes.NewReader(small))
			if err != nil || again != nil || max(head.Width, head.Height) > Small {
				t.Errorf("%d × %d: small version: %v %v", c.w, c.h, err, again)
			}
		}
	}
	// What the device reduced is kept bit by bit.
	src := jpegOf(t, corners(300, 200))
	if kept, err := Read(src); err != nil || !bytes.Equal(kept, src) {
		t.Errorf("a JPEG that needs nothing was coded anew: %v", err)
	}
	clear := image.NewNRGBA(image.Rect(0, 0, 8, 8))
	kept, err := Read(pngOf(t, clear))
	if err != nil {
		t.Fatal(err)
	}
	if img, err := jpeg.Decode(bytes.NewReader(kept)); err != nil ||
		color.GrayModel.Convert(img.At(3, 3)).(color.Gray).Y < 250 {
		t.Error("what is clear does not stand on white")
	}
}

// claims is a PNG whose head claims a size.
func claims(t testing.TB, w, h uint32) []byte {
	src := pngOf(t, image.NewGray(image.Rect(0, 0, 1, 1)))
	binary.BigEndian.PutUint32(src[16:], w)
	binary.BigEndian.PutUint32(src[20:], h)
	binary.BigEndian.PutUint32(src[29:], crc32.ChecksumIEEE(src[12:29]))
	return src
}

func TestRefusals(t *testing.T) {
	whole, noise := jpegOf(t, corners(900, 700)), image.NewGray(image.Rect(0, 0, 64, 48))
	rand.NewChaCha8([32]byte{}).Read(noise.Pix)
	wide := bytes.Clone(whole)
	at := bytes.Index(wide, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(wide[at+5:], 10000)
	binary.BigEndian.PutUint16(wide[at+7:], 10000)
	stepwise := bytes.Clone(wide)
	stepwise[at+1] = 0xc2
	binary.BigEndian.PutUint16(stepwise[at+5:], 5000)
	binary.BigEndian.PutUint16(stepwise[at+7:], 5000)
	for name, c := range map[string]struct {
		src  []byte
		says string
	}{
		"a script":              {[]byte("<script>alert(1)</script>"), "no picture that can be read"},
		"a drawing with script": {[]byte(`<svg xmlns="http://www.w3.org/2000/svg"><script/></svg>`), "no picture that can be read"},
		"a script behind JPEG":  {append([]byte{0xff, 0xd8, 0xff, 0xe0}, "<script>1</script>"...), "no picture"},
		"HEIC":                  {append([]byte{0, 0, 0, 24}, "ftypheic\x00\x00\x00\x00mif1heic"...), "HEIC"},
		"a GIF":                 {[]byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"), "no picture that can be read"},
		"nothing":               {nil, "no picture that can be read"},
		"a JPEG of 100 MP":      {wide, "10000 × 10000 pixels, more than 50 million"},
		"25 MP step by step":    {stepwise, "more than 13 million"},
		"a PNG of 100 MP":       {claims(t, 10000, 10000), "more than 34 million"},
		"a bomb":                {claims(t, 1<<31-1, 1<<31-1), "no picture that can be read"},
		"another bomb":          {claims(t, 60000, 60000), "more than 34 million"},
		"a JPEG cut off":        {whole[:len(whole)*9/10], "cut off or damaged"},
		"a PNG cut off":         {pngOf(t, noise)[:2000], "cut off or damaged"},
		"a large file":          {make([]byte, MaxFile+1), "larger than 32 MB"},
	} {
		before := taken()
		_, err := Read(c.src)
		if fleet.KindOf(err) != fleet.Invalid || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
		if e, ok := err.(*fleet.Error); ok && e.Hint == "" {
			t.Errorf("%s: no word on what would be right", name)
		}
		if grown := taken() - before; grown > 8<<20 {
			t.Errorf("%s: %d MB were taken to refuse it", name, grown>>20)
		}
	}
}

// webps are a lossy and a lossless picture of one pixel, from memory.
func webps(t testing.TB) (out [][]byte) {
	t.Helper()
	for _, text := range []string{"UklGRiIAAABXRUJQVlA4IBYAAAAwAQCdASoBAAEADsD+JaQAA3AAAAAA",
		"UklGRhoAAABXRUJQVlA4TA0AAAAvAAAAEAcQERGIiP4HAA=="} {
		src, err := base64.StdEncoding.DecodeString(text)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, src)
	}
	return out
}

func TestWebPIsRead(t *testing.T) {
	for _, src := range webps(t) {
		kept, err := Read(src)
		if err != nil {
			t.Fatal(err)
		}
		if img, format, err := image.Decode(bytes.NewReader(kept)); err != nil || format != "jpeg" || longer(img) != 1 {
			t.Errorf("%s, %v", format, err)
		}
	}
}

// taken is how much memory was taken so far, in bytes.
func taken() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

// TestHarmedPictures: 2 000 harmed files neither panic nor take more than the bound, and
// what is kept of those that can be read says nothing beside the picture.
func TestHarmedPictures(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(50))
	seeds := [][]byte{jpegOf(t, corners(60, 40)), pngOf(t, corners(24, 16)), pngOf(t,
		image.NewPaletted(image.Rect(0, 0, 9, 9), color.Palette{color.White, color.Black})), webps(t)[0], webps(t)[1],
		claims(t, 3000, 2000)}
	for _, s := range seeds[:2] {
		img, _, leave, err := decode(s)
		if err != nil || img == nil {
			t.Fatal(err)
		}
		leave()
	}
	random, read := rand.New(rand.NewPCG(15, 3)), 0
	for n := range 2000 {
		src := harm.Text(random, seeds...)
		if n%2 == 0 { // one byte alone, which gets further
			src = bytes.Clone(seeds[random.IntN(len(seeds))])
			src[random.IntN(len(src))] ^= 1 << random.IntN(8)
		}
		before := taken()
		kept, err := Read(src)
		if more := taken() - before; more > 2*maxHeld {
			t.Errorf("%d MB for %.40q", more>>20, src)
		}
		if err != nil {
			if k := fleet.KindOf(err); k != fleet.Invalid {
				t.Errorf("%v: %v", k, err)
			}
			continue
		}
		read++
		if _, err := Reduced(kept); err != nil {
			t.Errorf("what was kept cannot be read: %v", err)
		}
	}
	if read < 20 {
		t.Errorf("only %d of 2000 could be read at all: too much harm", read)
	}
	t.Logf("%d of 2000 could be read", read)
}

// TestPicturesReadAtOnce: however many come at once, what is decoded together stays within
// the room, and one that needs all of it waits and is read.
func TestPicturesReadAtOnce(t *testing.T) {
	sizes := []image.Point{{3200, 2400}, {3200, 2400}, {5600, 4200}, {3200, 2400}, {3200, 2400}}
	files := make([][]byte, len(sizes))
	for i, size := range sizes {
		files[i] = jpegOf(t, image.NewGray(image.Rectangle{Max: size}))
	}
	var at sync.WaitGroup
	for _, src := range files {
		at.Go(func() {
			if _, err := Read(src); err != nil {
				t.Error(err)
			}
		})
	}
	at.Wait()
	if !room.TryAcquire(maxHeld) {
		t.Fatal("what was read still takes room")
	}
	defer room.Release(maxHeld)
	read := make(chan error)
	go func() { _, err := Read(files[0]); read <- err }()
	select {
	case <-read:
		t.Error("a picture is read while others take all the room")
	case <-time.After(50 * time.Millisecond):
	}
	room.Release(maxHeld)
	if err := <-read; err != nil {
		t.Error(err)
	}
	room.Acquire(t.Context(), maxHeld)
}

// What a file tells of the lens is told in px of the picture as it is kept: 36 mm wide film at 24 mm is 24/43.27 of the
// diagonal (CIPA DCG-001).
func TestFocalLengthIsRead(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "belt.jpg")
	var b bytes.Buffer
	if err := jpeg.Encode(&b, corners(300, 400), nil); err != nil {
		t.Fatal(err)
	}
	if f := Focal(b.Bytes(), 300, 400); f != 0 {
		t.Errorf("%g px of a file that does not tell", f)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	exiftool(t, dir, "-overwrite_original", "-FocalLengthIn35mmFormat=24", "-FocalLength=4.2", name)
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if f := Focal(src, 300, 400); f < 277.3 || f > 277.5 {
		t.Errorf("%g px, not 277.4", f)
	}
	if g, err := Grey(src); err != nil || g.Rect.Dx() != 300 || g.Pix[0] > 100 || g.GrayAt(299, 399).Y < 240 {
		t.Errorf("its light: %v", err)
	}
}
