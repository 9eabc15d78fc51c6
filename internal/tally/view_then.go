package tally

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/surface"
)

// Sign is what became of a crack between two counts.
type Sign string

// Signs of cracks.
const (
	InBoth   Sign = "both"
	IsNew    Sign = "new"
	TooFaint Sign = "faint" // new, or too faint for the earlier picture
	NotAgain Sign = "gone"  // of the earlier picture alone
	Outside  Sign = "out"   // beyond what both pictures show
)

// Then is two counts of one part beside each other: their belts squared up, the earlier on the left, laid as the later
// one lies; all lengths are mm, those along as in the later picture.
type Then struct {
	Headline message.Text   `json:"headline"`
	Lines    []message.Text `json:"lines"` // what follows
	Sure     message.Text   `json:"sure,omitempty"`
	// Wrong says why they cannot be laid over each other and Better what would help; "" where they are.
	Wrong   message.Text     `json:"wrong,omitempty"`
	Better  message.Text     `json:"better,omitempty"`
	Overlay *surface.Overlay `json:"overlay,omitempty"`
	Counts  message.Text     `json:"counts"` // what the counts by themselves say
	Marks   []ThenMark       `json:"marks"`
	// Wide is that of a belt, Gap what is free between the two, Top and Tall the stretch that is drawn, From and To
	// what of it both show.
	Wide float64 `json:"wide"`
	Gap  float64 `json:"gap"`
	Top  float64 `json:"top"`
	Tall float64 `json:"tall"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
	// Before is how the earlier strip is moved, as SVG writes it; Long is how much belt each picture shows.
	Before string     `json:"before"`
	Long   [2]float64 `json:"long"`
	Key    []ThenKey  `json:"key"`
}

// ThenMark is a crack in the drawing of two counts.
type ThenMark struct {
	Sign Sign         `json:"sign"`
	Path string       `json:"path"`
	X    float64      `json:"x"` // of its left end
	Y    float64      `json:"y"`
	Says message.Text `json:"says"`
	Twin bool         `json:"-"` // the same crack in the other strip is told
}

// ThenKey says how many have a sign.
type ThenKey struct {
	Sign  Sign         `json:"sign"`
	Words message.Text `json:"words"`
}

// gap is what is free between two strips, mm.
const gap = 3

// Compare lays a later count over an earlier one.
func Compare(before, after Once) *Then {
	a, b := before.reading(), after.reading()
	t := &Then{Wide: max(a.Frame.Size().X, b.Frame.Size().X), Gap: gap, Counts: countsWords(before, after)}
	t.Long = [2]float64{a.Frame.Size().Y, b.Frame.Size().Y}
	t.Tall = max(t.Long[0], t.Long[1])
	o, fault := surface.LayOver(a, b)
	if fault != nil {
		t.Headline, t.Lines = "These two pictures could not be laid over each other.", []message.Text{}
		t.Wrong, t.Better = faultWords(fault)
		t.Before = "matrix(1 0 0 1 0 0)"
		o.Scale = 1
		t.draw(a, b, o, nil)
		return t
	}
	t.Overlay, t.From, t.To = &o, o.From, o.To
	t.Headline, t.Lines, t.Sure = headlineOf(&o), linesOf(&o), sureWords(o.Chance)
	t.Top = min(0, o.Shift)
	t.Tall = max(t.Long[1], o.Shift+o.Scale*t.Long[0]) - t.Top
	t.Before = fmt.Sprintf("matrix(1 0 0 %.5f 0 %.3f)", o.Scale, o.Shift)
	if o.Flipped {
		t.Before = fmt.Sprintf("matrix(-1 0 0 %.5f %.3f %.3f)", -o.Scale, a.Frame.Size().X, o.Scale*t.Long[0]+o.Shift)
	}
	t.draw(a, b, o, &o)
	return t
}

// draw lays out each mark; laid is nil where the two are only beside each other.
func (t *Then) draw(a, b surface.Reading, o surface.Overlay, laid *surface.Overlay) {
	left, right := make([]Sign, len(a.Cracks)), make([]Sign, len(b.Cracks))
	longer := map[int]float64{}
	for i := range left {
		left[i] = Outside
	}
	for i := range right {
		right[i] = Outside
	}
	if laid != nil {
		for _, p := range laid.Pairs {
			left[p.Before], right[p.After] = InBoth, InBoth
			if !a.Cracks[p.Before].Hand && !b.Cracks[p.After].Hand {
				longer[p.After] = p.Longer
			}
		}
		for _, i := range laid.More {
			right[i] = InBoth
		}
		for _, i := range laid.New {
			right[i] = IsNew
		}
		for _, i := range laid.Faint {
			right[i] = TooFaint
		}
		for _, i := range laid.Gone {
			left[i] = NotAgain
		}
	}
	for i, c := range b.Cracks {
		at := func(p surface.Point) surface.Point { return surface.Point{X: t.Wide + gap + p.X, Y: p.Y} }
		says := saysOf(right[i], c, c.Path[0].Y)
		if mm, ok := longer[i]; ok {
			says = longerWords(says, mm)
		}
		t.Marks = append(t.Marks, thenMark(right[i], c, at, says))
	}
	for i, c := range a.Cracks {
		at := func(p surface.Point) surface.Point {
			if o.Flipped {
				p = surface.Point{X: a.Frame.Size().X - p.X, Y: t.Long[0] - p.Y}
			}
			return surface.Point{X: p.X, Y: o.Scale*p.Y + o.Shift}
		}
		m := thenMark(left[i], c, at, saysOf(left[i], c, at(c.Path[0]).Y))
		m.Twin = left[i] == InBoth
		t.Marks = append(t.Marks, m)
	}
	if laid != nil {
		t.Key = keyOf(laid)
	}
}

func thenMark(s Sign, c surface.Crack, at func(surface.Point) surface.Point, says message.Text) ThenMark {
	var b strings.Builder
	for i, p := range c.Path {
		q := at(p)
		fmt.Fprintf(&b, "%c%.2f %.2f", "ML"[min(i, 1)], q.X, q.Y)
	}
	left := at(c.Path[0])
	for _, p := range c.Path[1:] {
		if q := at(p); q.X < left.X {
			left = q
		}
	}
	return ThenMark{Sign: s, Path: b.String(), X: round(left.X, 100), Y: round(left.Y, 100), Says: says}
}

// Since says what a count shows since the one before it, for a line of the history; "" where there is none or the two
// could not be laid over each other.
func Since(series []Once, f *fleet.Finding) message.Text {
	i := slices.IndexFunc(series, func(o Once) bool { return o.Found.Entry == f.Entry })
	if i < 1 {
		return ""
	}
	o, fault := surface.LayOver(series[i-1].reading(), series[i].reading())
	if fault != nil {
		return ""
	}
	return sinceWords(&o, series[i-1].Found)
}
