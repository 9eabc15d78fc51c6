package plate

// Tone names a custom property of the page's theme, without its two hyphens.
type Tone string

// The tones of plates; None paints nothing.
const (
	None  Tone = ""
	Ink   Tone = "ink"
	Soft  Tone = "soft"
	Paper Tone = "paper"
	Wash  Tone = "wash"
	Act   Tone = "act" // the accent: what is wrong
)

// Style is how a mark is painted. Widths are those of a plate 160 wide.
type Style struct {
	Fill, Stroke Tone
	Width        float64
	Dash         [2]float64 // dash and gap; 0: unbroken
}

// The styles of the one hand.
var (
	line   = Style{Stroke: Ink, Width: 1.6}                          // the thing
	thin   = Style{Stroke: Soft, Width: .9}                          // its inner lines
	fine   = Style{Stroke: Soft, Width: .7}                          // texture
	hidden = Style{Stroke: Soft, Width: 1, Dash: [2]float64{4, 2.5}} // what was or should be
	body   = Style{Fill: Paper, Stroke: Ink, Width: 1.6}             // a thing that hides what is behind it
	rubber = Style{Fill: Wash, Stroke: Ink, Width: 1.6}              // soft stuff
	part   = Style{Fill: Paper, Stroke: Soft, Width: .9}
	dark   = Style{Fill: Ink}
	wash   = Style{Fill: Wash}
	void   = Style{Fill: Paper}
	rope   = Style{Stroke: Ink, Width: 2.4} // a cord or wire
	cable  = Style{Stroke: Soft, Width: 1.6}

	fault     = Style{Stroke: Act, Width: 2.2}
	faultThin = Style{Stroke: Act, Width: 1.2}
	faultFill = Style{Fill: Act}
	faultBody = Style{Fill: Paper, Stroke: Act, Width: 2}
	faultDash = Style{Stroke: Act, Width: 1.4, Dash: [2]float64{3, 2.5}}
)
