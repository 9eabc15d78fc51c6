package draw

import (
	"image"
	"image/color"
	_ "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/draw/typeface"
)

// A drawing that stands alone has outlines in the place of its letters, with the same words, and where a
// renderer that has the typeface sets them (librsvg draws both here, with fontconfig pointed at the typeface).
func TestADrawingStandsAlone(t *testing.T) {
	fig, err := os.ReadFile("testdata/run.svg")
	if err != nil {
		t.Fatal(err)
	}
	src := SVG(strings.ReplaceAll(string(fig), ">\n<", "><"))
	alone := string(src.Alone())
	if strings.Contains(alone, "<text") || strings.Contains(alone, "NaN") {
		t.Fatal("it has letters left, or figures that are none")
	}
	for _, m := range lettered.FindAllStringSubmatch(string(src), -1) {
		if !strings.Contains(alone, "<title>"+m[2]+"</title>") {
			t.Errorf("%q is lost", m[2])
		}
	}
	convert, err := exec.LookPath("rsvg-convert")
	if err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal("rsvg-convert is not here: run scripts/setup")
		}
		t.Skip("rsvg-convert is not here: run scripts/setup")
	}
	dir := t.TempDir()
	for name, b := range map[string][]byte{"text.ttf": typeface.Text, "strong.ttf": typeface.Strong,
		"fonts.conf": []byte(`<fontconfig><dir>` + dir + `</dir><cachedir>` + dir + `</cachedir></fontconfig>`),
		"alone.svg":  []byte(alone), "set.svg": []byte(strings.Replace(string(src), `font-family="`,
			`font-family="Undertray Sans,`, 1))} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	drawn := func(name string) image.Image {
		cmd := exec.Command(convert, "--zoom=2", "--background-color=white", filepath.Join(dir, name))
		cmd.Env = append(os.Environ(), "FONTCONFIG_FILE="+filepath.Join(dir, "fonts.conf"))
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		img, _, err := image.Decode(strings.NewReader(string(out)))
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	a, b := drawn("alone.svg"), drawn("set.svg")
	if a.Bounds() != b.Bounds() {
		t.Fatal(a.Bounds(), b.Bounds())
	}
	grey := func(c color.Color) int { return int(color.GrayModel.Convert(c).(color.Gray).Y) }
	apart, dark := 0, 0
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			p, q := grey(a.At(x, y)), grey(b.At(x, y))
			if q < 128 {
				dark++
			}
			if p-q > 120 || q-p > 120 {
				apart++
			}
		}
	}
	if dark < 1000 || apart > dark/50 {
		t.Errorf("%d of %d dark pixels are elsewhere", apart, dark)
	}
}

// Widths are those of the typeface: figures all of one width, kerning taken off.
func TestWidths(t *testing.T) {
	one := typeface.Width("1", 100, typeface.Regular)
	for _, d := range "0123456789" {
		if w := typeface.Width(string(d), 100, typeface.Regular); w != one || w < 30 || w > 80 {
			t.Errorf("%c is %g wide, 1 is %g", d, w, one)
		}
	}
	if typeface.Width("AVA", 100, typeface.Regular) >= typeface.Width("A", 100, typeface.Regular)*2+
		typeface.Width("V", 100, typeface.Regular) {
		t.Error("pairs are not kerned")
	}
	if !typeface.Has('Ж') || !typeface.Has('≥') || typeface.Has('漢') {
		t.Error("letters are there that are not, or are not that are")
	}
}
