package print

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

var update = flag.Bool("update", false, "write the golden files anew")

// kindOfSheet is one sheet the tests set.
type kindOfSheet struct {
	name, title string
	set         func(p Paper, w io.Writer) error
}

func sheets() []kindOfSheet {
	return []kindOfSheet{
		{"round", "Round sheet", func(p Paper, w io.Writer) error { return p.Round(w, sampleRound(40)) }},
		{"job", "Job sheet", func(p Paper, w io.Writer) error { return p.Job(w, sampleJob(18)) }},
		{"parts", "Parts list", func(p Paper, w io.Writer) error { return p.Parts(w, sampleJob(1)) }},
		{"plan", "Plan", func(p Paper, w io.Writer) error { return p.Plan(w, samplePlan(4)) }},
		{"shopping", "Shopping list", func(p Paper, w io.Writer) error { return p.Shopping(w, sampleShopping(6)) }},
		{"handover", "Hand-over", func(p Paper, w io.Writer) error { return p.sampleHandover(w, 12) }},
	}
}

// eachSheet sets every sheet on every size of paper.
func eachSheet(t *testing.T, do func(t *testing.T, k kindOfSheet, size Size, file string)) {
	for _, size := range []Size{A4, Letter} {
		for _, k := range sheets() {
			t.Run(k.name+"-"+string(size), func(t *testing.T) {
				var pdf bytes.Buffer
				if err := k.set(Paper{Size: size}, &pdf); err != nil {
					t.Fatal(err)
				}
				do(t, k, size, written(t, pdf.Bytes()))
			})
		}
	}
}

func written(t *testing.T, pdf []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(name, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// poppler runs one of the Poppler tools, which read a PDF independently of
// what wrote it. Without them a test is skipped, but not where CI is set.
func poppler(t *testing.T, tool string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(tool); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is needed: install poppler-utils", tool)
		}
		t.Skipf("%s is not installed (poppler-utils)", tool)
	}
	var complaints bytes.Buffer
	cmd := exec.Command(tool, args...)
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	if err != nil || complaints.Len() > 0 {
		t.Fatalf("%s %v: %v %s", tool, args, err, complaints.String())
	}
	return string(out)
}

// pages returns the text of each page.
func pages(t *testing.T, file string) []string {
	t.Helper()
	all := strings.Split(poppler(t, "pdftotext", "-layout", file, "-"), "\f")
	return all[:len(all)-1]
}

var (
	manySpaces = regexp.MustCompile(`[ \x{a0}]{2,}`)
	blankLines = regexp.MustCompile(`\n\s*\n+`)
)

// settled evens out the white, which differs between versions of the tool.
func settled(text string) string {
	text = blankLines.ReplaceAllString(text, "\n")
	text = manySpaces.ReplaceAllString(text, "  ")
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimSpace(lines[i])
	}
	return strings.Join(lines, "\n")
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	name = filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got); -update writes it anew:\n%s", name, diff)
	}
}

func TestPaperSaysTheSame(t *testing.T) {
	eachSheet(t, func(t *testing.T, k kindOfSheet, size Size, file string) {
		golden(t, k.name+"-"+string(size)+".txt", settled(strings.Join(pages(t, file), "\n=====\n")))
	})
}

func TestEveryPageIsFramed(t *testing.T) {
	eachSheet(t, func(t *testing.T, k kindOfSheet, _ Size, file string) {
		all := pages(t, file)
		if k.name != "parts" && len(all) < 2 {
			t.Errorf("only %d page: the sample is too short to test the turn of a page", len(all))
		}
		for i, page := range all {
			for _, want := range []string{"Teal, the ferry van", k.title, "25 November 2026",
				fmt.Sprintf("page %d of %d", i+1, len(all)), advice.String()} {
				if !strings.Contains(page, want) {
					t.Errorf("page %d lacks %q", i+1, want)
				}
			}
		}
	})
}

// ISO 216 gives A4 as 210 mm by 297 mm; letter is 8.5 in by 11 in. A point is
// 1/72 in, so A4 is 595.28 by 841.89 points and letter 612 by 792.
func TestPaperHasItsSize(t *testing.T) {
	want := map[Size]string{A4: "595.28 x 841.89 pts (A4)", Letter: "612 x 792 pts (letter)"}
	eachSheet(t, func(t *testing.T, _ kindOfSheet, size Size, file string) {
		if info := poppler(t, "pdfinfo", file); !strings.Contains(info, want[size]) {
			t.Errorf("want %s:\n%s", want[size], info)
		}
	})
}

var wordBox = regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">`)

func TestNoWordLeavesTheMargins(t *testing.T) {
	eachSheet(t, func(t *testing.T, _ kindOfSheet, size Size, file string) {
		w, h := size.millimetres()
		const slack = 0.4 // mm: a letter's side may stand out of its advance
		words := wordBox.FindAllStringSubmatch(poppler(t, "pdftotext", "-bbox", file, "-"), -1)
		if len(words) < 40 {
			t.Fatalf("only %d words found", len(words))
		}
		for _, m := range words {
			var at [4]float64
			for i := range at {
				at[i], _ = strconv.ParseFloat(m[i+1], 64)
				at[i] *= 25.4 / 72
			}
			if at[0] < marginLeft-slack || at[2] > w-marginRight+slack || at[1] < 8 || at[3] > h-8 {
				t.Errorf("%s lies outside the margins (mm: %.1f)", m[0], at)
			}
		}
	})
}

// picture renders a page in grey at a resolution in dots per inch.
func picture(t *testing.T, file string, page, dpi int) *image.Gray {
	t.Helper()
	to := filepath.Join(t.TempDir(), "page")
	n := strconv.Itoa(page)
	poppler(t, "pdftoppm", "-gray", "-png", "-singlefile", "-r", strconv.Itoa(dpi), "-f", n, "-l", n, file, to)
	return readPNG(t, to+".png")
}

func readPNG(t *testing.T, name string) *image.Gray {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	grey := image.NewGray(img.Bounds())
	draw.Draw(grey, grey.Bounds(), img, img.Bounds().Min, draw.Src)
	return grey
}

// Ruled lines, boxes and bars stay inside the margins too, and no two pages
// are empty.
func TestNoInkLeavesTheMargins(t *testing.T) {
	const dpi = 60
	eachSheet(t, func(t *testing.T, _ kindOfSheet, _ Size, file string) {
		for i := range pages(t, file) {
			img := picture(t, file, i+1, dpi)
			b := img.Bounds()
			px := func(mm float64) int { return int(mm / 25.4 * dpi) }
			inside := image.Rect(px(marginLeft)-1, px(8), b.Max.X-px(marginRight)+1, b.Max.Y-px(8))
			ink := 0
			for y := b.Min.Y; y < b.Max.Y; y++ {
				for x := b.Min.X; x < b.Max.X; x++ {
					if img.GrayAt(x, y).Y > 200 {
						continue
					}
					ink++
					if !image.Pt(x, y).In(inside) {
						t.Fatalf("page %d has ink at %.0f mm, %.0f mm", i+1, float64(x)*25.4/dpi, float64(y)*25.4/dpi)
					}
				}
			}
			if ink < 500 {
				t.Errorf("page %d is almost empty", i+1)
			}
		}
	})
}

// The first page looks as it did when it was last approved: the mean absolute
// difference is below 2 % of full scale, and below a fifth of its ink.
func TestPaperLooksTheSame(t *testing.T) {
	const dpi = 40
	eachSheet(t, func(t *testing.T, k kindOfSheet, size Size, file string) {
		got := picture(t, file, 1, dpi)
		name := filepath.Join("testdata", k.name+"-"+string(size)+".png")
		if *update {
			writePNG(t, name, got)
		}
		want := readPNG(t, name)
		if got.Bounds() != want.Bounds() {
			t.Fatalf("the page is %v, was %v", got.Bounds(), want.Bounds())
		}
		diff, ink := 0.0, 0.0
		for i := range want.Pix {
			diff += math.Abs(float64(got.Pix[i]) - float64(want.Pix[i]))
			ink += 255 - float64(want.Pix[i])
		}
		scale := 255 * float64(len(want.Pix))
		if diff/scale > 0.02 || diff > ink/5 {
			t.Errorf("mean difference %.2f %% of full scale, ink %.2f %%; -update if it is meant to look so",
				100*diff/scale, 100*ink/scale)
		}
	})
}

func writePNG(t *testing.T, name string, img image.Image) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}

func TestSameSheetGivesSameBytes(t *testing.T) {
	for _, k := range sheets() {
		var first, second bytes.Buffer
		if err := k.set(Paper{}, &first); err != nil {
			t.Fatal(err)
		}
		if err := k.set(Paper{}, &second); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Errorf("%s: two runs give different bytes", k.name)
		}
	}
}

// A caution stands before its step on the same page, and cautions that hold
// on are said again where the page was turned.
func TestCautionsStandBeforeTheirStep(t *testing.T) {
	const steps = 40
	var pdf bytes.Buffer
	if err := (Paper{}).Job(&pdf, sampleJob(steps)); err != nil {
		t.Fatal(err)
	}
	seen := 0
	for i, page := range pages(t, written(t, pdf.Bytes())) {
		first := true
		for n := 1; n <= steps; n++ {
			step := max(strings.Index(page, fmt.Sprintf("Step text %d ", n)),
				strings.Index(strings.ReplaceAll(page, "\n", " "), fmt.Sprintf("look text %d ", n)))
			if step < 0 {
				continue
			}
			seen++
			before := page[:step]
			if !strings.Contains(before, fmt.Sprintf("Caution before step %d.", n)) {
				t.Errorf("page %d: step %d stands without its caution before it", i+1, n)
			}
			if first && !strings.Contains(before, "Shared caution") {
				t.Errorf("page %d: the caution that holds on is not said again", i+1)
			}
			first = false
		}
	}
	if seen != steps {
		t.Errorf("%d of %d steps found", seen, steps)
	}
}

// A row no page can hold goes on over the page, and nothing of it is lost.
func TestALongNoteGoesOnOverThePage(t *testing.T) {
	const words = 4000
	var note strings.Builder
	for i := range words {
		fmt.Fprintf(&note, "w%04d ", i)
	}
	var pdf bytes.Buffer
	s := Paper{}.sheet("Hand-over", sampleVehicle(), sampleDay)
	s.handover(&handover.Handover{Report: &advise.Report{Vehicle: sampleVehicle(), State: &fleet.State{}}},
		handover.View{Parts: []handover.PartView{{Name: "Belt",
			Lines: []handover.LineView{{Words: message.Name(note.String())}}}}})
	if err := s.writeTo(&pdf); err != nil {
		t.Fatal(err)
	}
	all := pages(t, written(t, pdf.Bytes()))
	text := strings.Join(all, "\n")
	if len(all) < 3 {
		t.Errorf("%d words on %d pages", words, len(all))
	}
	for i := range words {
		if n := strings.Count(strings.ToLower(text), fmt.Sprintf("w%04d", i)); n != 1 {
			t.Fatalf("word %d stands %d times", i, n)
		}
	}
}

// The amounts in the parts table add up to the sum below it.
func TestPartsAddUp(t *testing.T) {
	var known []units.Quantity
	j := sampleJob(1)
	for _, r := range buyRows(j, units.Preferences{}) {
		if r.cost != "" {
			known = append(known, units.MustParse(r.cost))
		}
	}
	sum, err := units.Sum(known...)
	if err != nil {
		t.Fatal(err)
	}
	if len(known) != 3 || sum.String() != j.Cost() || sum.String() != "74.90 EUR" { // 34 + 22.50 + 18.40
		t.Errorf("%d amounts come to %s; the job says %s", len(known), sum, j.Cost())
	}
}

func TestParseSize(t *testing.T) {
	for in, want := range map[string]Size{"": A4, "A4": A4, " letter ": Letter, "Letter": Letter} {
		if got, err := ParseSize(in); err != nil || got != want {
			t.Errorf("ParseSize(%q) = %q, %v", in, got, err)
		}
	}
	if _, err := ParseSize("a5"); fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("a5: %v", err)
	}
}
