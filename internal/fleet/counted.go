package fleet

import (
	"fmt"
	"math"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// CountedBy is a way in which something was counted.
type CountedBy string

// Ways of counting.
const (
	// ByPhotograph is a count of marks that a method made on a photograph, and hands put right.
	ByPhotograph CountedBy = "photograph"
	// ByOutline is a figure measured on an outline that a method found on a photograph.
	ByOutline CountedBy = "outline"
)

// Counted is how a figure was counted, where that was not by eye, so that anyone can count it again.
type Counted struct {
	By      CountedBy `json:"by"`
	Picture string    `json:"picture"` // content hash; the marks are a PictureMark on it
	Version string    `json:"version"` // of the method
	Marks   int       `json:"marks"`   // that count, on the whole picture
	ByHand  int       `json:"by_hand,omitempty"`
	Struck  int       `json:"struck,omitempty"` // made by the method and struck out by hand
	// Low and High are the band that holds the figure nine times in ten, in its unit.
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// ninety is how many standard deviations a band that holds nine in ten reaches to either side of a normal
// distribution: its quantile 0.95.
const ninety = 1.6449

// SD is the standard deviation of the count, in the unit of its figure.
func (c *Counted) SD() float64 { return (c.High - c.Low) / (2 * ninety) }

// CountedAs is how the figure was counted where it is put right to another one: nil, since that was not counted so.
func (f *Found) CountedAs(figure *units.Quantity) *Counted {
	if f.Value == nil || figure == nil || *f.Value != *figure {
		return nil
	}
	return f.Counted
}

// BeltMarks are the ribs of a belt as they were found on a picture, and each crack in them.
type BeltMarks struct {
	Pitch  float64     `json:"pitch"` // of the ribs, mm
	Ribs   []RibLine   `json:"ribs"`  // lines across the belt, at least two
	Cracks []CrackMark `json:"cracks,omitempty"`
	// Faint is, of each rib, how many cracks a mm are expected that are too faint for a mark; 0 where left out.
	Faint []float64 `json:"faint,omitempty"`
}

// OutlineMarks are an outline as it was found on a picture, and what was measured on it. Points are x and y in turn, in
// parts of the picture's width; figures are each a value, the least and the most that it may be.
type OutlineMarks struct {
	Lines    [][]float64  `json:"lines"`
	Measured []Measured   `json:"measured,omitempty"`
	Usual    [][3]float64 `json:"usual,omitempty"` // of ribs: height and width of a new one, mm
	Least    float64      `json:"least,omitempty"` // of a hose: share of its diameter below which nothing is told
}

// Measured is one rib, with its height and width in mm, or one place of a hose, with the share of its sound diameter
// that it is wider.
type Measured struct {
	Kind    string       `json:"kind"`
	At      []float64    `json:"at"` // a line over it
	Figures [][3]float64 `json:"figures"`
	Beyond  bool         `json:"beyond,omitempty"` // it goes on where nothing is seen, and may be more there
	Out     bool         `json:"out,omitempty"`    // struck out by hand: it does not count
}

// RibLine is a line across the belt: x and y of each border of a rib in turn, in parts of the picture's width.
type RibLine struct {
	Along float64   `json:"along"` // mm from the first line
	At    []float64 `json:"at"`
}

// CrackMark is a crack in a belt's own coordinates.
type CrackMark struct {
	At       []float64 `json:"at"`   // mm across and along of each of its points in turn
	Ribs     []int     `json:"ribs"` // it crosses, from 0
	Length   float64   `json:"length,omitempty"`
	Width    float64   `json:"width,omitempty"`    // mm
	Contrast float64   `json:"contrast,omitempty"` // share of light gone in its middle
	Chance   float64   `json:"chance,omitempty"`   // that it is one, by the method
	Hand     bool      `json:"hand,omitempty"`     // drawn by hand
	Out      bool      `json:"out,omitempty"`      // struck out by hand: it does not count
}

// Bounds of what a picture may be marked with.
const (
	mostRibLines = 400
	mostCracks   = 1000
	mostPoints   = 400 // numbers of a line or a crack
	mostAlong    = 1e4 // mm
	mostLines    = 40  // of an outline, and places measured on it
)

// checkCounted wants a count that can be told and made again.
func checkCounted(f *Found, where string) error {
	c := f.Counted
	switch {
	case c == nil:
		return nil
	case f.Value == nil:
		return wrong(where, "an answer in words is not counted", "leave it out")
	case c.By != ByPhotograph && c.By != ByOutline:
		return wrong(join(where, "by"), message.Of("%q is no way of counting", shorten([]byte(c.By))),
			message.Of("write %s or %s", string(ByPhotograph), string(ByOutline)))
	case c.Version == "":
		return wrong(join(where, "version"), "the version of the method is missing", "write it as the method gives it")
	case c.Marks < 0 || c.ByHand < 0 || c.ByHand > c.Marks || c.Struck < 0:
		return wrong(join(where, "marks"), message.Of("%d marks cannot hold %d by hand", c.Marks, c.ByHand),
			"write how many there are, and how many of them were drawn by hand")
	case !(c.Low >= 0 && c.Low <= c.High && c.High < math.MaxInt32):
		return wrong(join(where, "low"), message.Of("%g to %g is no band", c.Low, c.High),
			"write the least and the most that it may be")
	}
	return checkHash(c.Picture, join(where, "picture"))
}

// checkBeltMarks wants ribs that can be drawn with cracks of a shape, and none of any other.
func checkBeltMarks(m *PictureMark, where string) error {
	b := m.Belt
	switch {
	case (b != nil) != (m.Shape == MarkCracks):
		return wrong(where, "cracks are marked with the ribs they are in, and nothing else is",
			"write both with the shape cracks alone")
	case b == nil:
		return nil
	case !(b.Pitch > 0 && b.Pitch < 100):
		return wrong(join(where, "pitch"), message.Of("%g mm is no pitch of ribs", b.Pitch), "write it like 3.56")
	case len(b.Ribs) < 2 || len(b.Ribs) > mostRibLines || len(b.Cracks) > mostCracks:
		return wrong(join(where, "ribs"),
			message.Of("%d lines and %d cracks cannot be drawn", len(b.Ribs), len(b.Cracks)),
			message.Of("write two to %d lines, and at most %d cracks", mostRibLines, mostCracks))
	}
	for i, r := range b.Ribs {
		at := fmt.Sprintf("%s[%d]", join(where, "ribs"), i)
		if len(r.At) != len(b.Ribs[0].At) || !points(r.At, 4, -MaxAcross, MaxAcross) ||
			!(math.Abs(r.Along) <= mostAlong) || i > 0 && r.Along <= b.Ribs[i-1].Along {
			return wrong(at, "it is no line across the belt beyond the last",
				"write x and y of as many borders as the others have, in parts of the picture's width")
		}
	}
	if n := len(b.Ribs[0].At)/2 - 1; len(b.Faint) != 0 && len(b.Faint) != n {
		return wrong(join(where, "faint"), message.Of("it has %d figures for %d ribs", len(b.Faint), n),
			"write one for each rib, or none")
	}
	for _, v := range b.Faint {
		if !(v >= 0 && v <= mostAlong) {
			return wrong(join(where, "faint"), message.Of("%g cracks a mm cannot be", v), "write 0 or more")
		}
	}
	for i, c := range b.Cracks {
		at := fmt.Sprintf("%s[%d]", join(where, "cracks"), i)
		if !points(c.At, 2, -mostAlong, mostAlong) || len(c.Ribs) > mostPoints {
			return wrong(at, "it is no crack", "write mm across and along of each of its points")
		}
		for _, v := range []float64{c.Length, c.Width, c.Contrast, c.Chance} {
			if !(math.Abs(v) <= mostAlong) {
				return wrong(at, message.Of("%g is no measure of a crack", v), "leave it out where it is not known")
			}
		}
		for _, r := range c.Ribs {
			if r < 0 || r > len(b.Ribs[0].At)/2-2 {
				return wrong(join(at, "ribs"), message.Of("there is no rib %d", r), "count them from 0")
			}
		}
	}
	return nil
}

// checkOutline wants lines that can be drawn, and figures of what was measured on them, of a shape, and none of any
// other.
func checkOutline(m *PictureMark, where string) error {
	o := m.Outline
	switch {
	case (o != nil) != (m.Shape == MarkOutline):
		return wrong(where, "an outline is marked with its lines, and nothing else is",
			"write both with the shape outline alone")
	case o == nil:
		return nil
	case len(o.Lines) == 0 || len(o.Lines) > mostLines || len(o.Measured) > mostLines:
		return wrong(join(where, "lines"), message.Of("%d lines cannot be drawn", len(o.Lines)),
			message.Of("write one to %d", mostLines))
	case !figures(o.Usual) || !(math.Abs(o.Least) <= mostAlong):
		return wrong(join(where, "usual"), "these are no figures of a new part", "write value, least and most of each")
	}
	for i, l := range o.Lines {
		if !points(l, 4, -MaxAcross, MaxAcross) {
			return wrong(fmt.Sprintf("%s[%d]", join(where, "lines"), i), "it is no line",
				"write x and y of its points in parts of the picture's width")
		}
	}
	for i, k := range o.Measured {
		if !points(k.At, 4, -MaxAcross, MaxAcross) || len(k.Figures) == 0 || !figures(k.Figures) || k.Kind == "" {
			return wrong(fmt.Sprintf("%s[%d]", join(where, "measured"), i), "nothing is measured there",
				"write its kind, a line over it, and value, least and most of each figure")
		}
	}
	return nil
}

// figures reports whether each is a value within its bounds.
func figures(all [][3]float64) bool {
	for _, f := range all {
		if !(f[1] <= f[0] && f[0] <= f[2] && f[1] >= -mostAlong && f[2] <= mostAlong) {
			return false
		}
	}
	return len(all) <= mostLines
}

// points reports whether there are some pairs of numbers, all within bounds.
func points(at []float64, least int, low, high float64) bool {
	if len(at) < least || len(at)%2 != 0 || len(at) > mostPoints {
		return false
	}
	for _, v := range at {
		if !(v >= low && v <= high) {
			return false
		}
	}
	return true
}
