package plate

import (
	"fmt"
	"image"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestTwoRenderersAgree draws all plates of TestPlates on one sheet with librsvg and with
// Chromium, which share no code: at 96 px a plate no spot of 5 px is darker in one than in the other.
func TestTwoRenderersAgree(t *testing.T) {
	need := func(tool string) string {
		path, err := exec.LookPath(tool)
		if err != nil {
			if os.Getenv("UNDERTRAY_CHECK") != "" {
				t.Fatalf("%s is not here: run scripts/setup", tool)
			}
			t.Skipf("%s is not here: run scripts/setup", tool)
		}
		return path
	}
	rsvg, chromium := need("rsvg-convert"), need("chromium-headless-shell")
	const across, cell = 20, 100 // px: a plate and white
	all := variants()
	rows := (len(all) + across - 1) / across
	var b strings.Builder
	fmt.Fprintf(&b,
		`<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" fill="none" stroke-linecap="round" `+
			`stroke-linejoin="round" font-family="sans-serif">`, across*cell, rows*cell)
	for i, v := range all {
		fmt.Fprintf(&b, `<g transform="translate(%d %d) scale(.6)">`, i%across*cell, i/across*cell)
		drawn(t, v).write(&b, alone)
		b.WriteString("</g>")
	}
	dir := t.TempDir()
	src := filepath.Join(dir, "sheet.svg")
	if err := os.WriteFile(src, []byte(b.String()+"</svg>"), 0o644); err != nil {
		t.Fatal(err)
	}
	images := map[string]image.Image{}
	for name, cmd := range map[string]*exec.Cmd{
		"rsvg": exec.Command(rsvg, "--background-color=white", "-o", filepath.Join(dir, "rsvg.png"), src),
		"chromium": exec.Command(chromium, "--no-sandbox", "--hide-scrollbars", "--force-device-scale-factor=1",
			fmt.Sprintf("--window-size=%d,%d", across*cell, rows*cell),
			"--screenshot="+filepath.Join(dir, "chromium.png"), "file://"+src),
	} {
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v: %s", name, err, out)
		}
		f, err := os.Open(filepath.Join(dir, name+".png"))
		if err != nil {
			t.Fatal(err)
		}
		images[name], _, err = image.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
	}
	worst := 0.0
	for i, v := range all {
		apart, ink := 0.0, 0.0
		for y := 0; y < cell; y += 5 {
			for x := 0; x < cell; x += 5 {
				at := image.Rect(x, y, x+5, y+5).Add(image.Pt(i%across*cell, i/across*cell))
				r, c := darkness(images["rsvg"], at), darkness(images["chromium"], at)
				apart, ink = max(apart, math.Abs(r-c)), ink+r
			}
		}
		if apart > .25 {
			t.Errorf("%s: in one place one has %.2f more ink than the other", v, apart)
		}
		if ink < 5 {
			t.Errorf("%s: there is hardly any ink", v)
		}
		worst = max(worst, apart)
	}
	t.Logf("%d plates, nowhere more than %.2f apart", len(all), worst)
}

// darkness is the mean of a part of an image, 0 white, 1 black.
func darkness(img image.Image, at image.Rectangle) float64 {
	sum := 0.0
	for y := at.Min.Y; y < at.Max.Y; y++ {
		for x := at.Min.X; x < at.Max.X; x++ {
			r, g, b, _ := img.At(x, y).RGBA()
			sum += 1 - float64(r+g+b)/(3*0xffff)
		}
	}
	return sum / float64(at.Dx()*at.Dy())
}
