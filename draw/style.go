package draw

import (
	"strings"
)

// role is what a paint is for; the page's colours follow from it.
type role string

const (
	none  role = "none"
	ink   role = "ink"
	soft  role = "soft"
	hair  role = "hair"
	paper role = "paper"
	wash  role = "wash"
	watch role = "watch"
	act   role = "act"
)

// paint says how a class of elements looks. It is written twice: as
// presentation attributes with currentColor, so that a figure stands alone and
// prints black on white, and as rules of the style sheet, which follow the
// page's custom properties.
type paint struct {
	class        string
	fill, stroke role
	width, dash  string
	size, weight string
}

var paints = []paint{
	// the vehicle
	{class: "d-outline", fill: none, stroke: ink, width: "1.7"},
	{class: "d-part", fill: paper, stroke: soft, width: "1.1"},
	{class: "d-fine", fill: none, stroke: soft, width: ".6"},
	{class: "d-hidden", fill: none, stroke: soft, width: ".8", dash: "4 2.5"},
	{class: "d-axis", fill: none, stroke: soft, width: ".6", dash: "9 2 2 2"},
	{class: "d-hose", fill: none, stroke: soft},
	{class: "d-bore", fill: none, stroke: paper},
	{class: "d-cable", fill: none, stroke: soft, width: "1.6", dash: "3 1.6"},
	{class: "d-pipe", fill: none, stroke: soft, width: "1.6"},
	{class: "d-strap", fill: none, stroke: soft, width: "3"},
	{class: "d-solid", fill: soft, stroke: none},
	// callouts and marks
	{class: "d-halo", fill: paper, stroke: paper, width: "2.4"},
	{class: "d-lead", fill: none, stroke: ink, width: ".7"},
	{class: "d-lead-lit", fill: none, stroke: ink, width: "1.4"},
	{class: "d-clear", fill: none, stroke: paper, width: "2.6"},
	{class: "d-ring", fill: paper, stroke: ink, width: "1.2"},
	{class: "d-num", fill: ink, stroke: none, size: "11", weight: "600"},
	{class: "d-keep", fill: paper, stroke: ink, width: "1.2"},
	{class: "d-watch", fill: paper, stroke: watch, width: "1.7"},
	{class: "d-watch-dot", fill: watch, stroke: none},
	{class: "d-put-right", fill: act, stroke: act, width: "1"},
	{class: "d-park", fill: ink, stroke: ink, width: "1"},
	{class: "d-park-bar", fill: none, stroke: paper, width: "2"},
	{class: "d-unseen", fill: paper, stroke: ink, width: "1.1", dash: "1.9 1.7"},
	// words
	{class: "d-word", fill: ink, stroke: none, size: "11"},
	{class: "d-bold", fill: ink, stroke: none, size: "11", weight: "600"},
	{class: "d-note", fill: soft, stroke: none, size: "10"},
	{class: "d-note-watch", fill: watch, stroke: none, size: "10", weight: "600"},
	{class: "d-note-put-right", fill: act, stroke: none, size: "10", weight: "600"},
	// the belt run
	{class: "d-belt", fill: none, stroke: ink},
	{class: "d-belt-core", fill: none, stroke: paper},
	{class: "d-rim", fill: paper, stroke: ink, width: "1.5"},
	{class: "d-groove", fill: none, stroke: ink, width: ".7"},
	{class: "d-wrap", fill: none, stroke: soft, width: ".6"},
	{class: "d-turn", fill: none, stroke: ink, width: "1"},
	{class: "d-tip", fill: ink, stroke: none},
	{class: "d-arm", fill: paper, stroke: ink, width: "1.2"},
	{class: "d-ghost", fill: none, stroke: soft, width: ".8", dash: "7 2 1.5 2 1.5 2"},
	{class: "d-sweep", fill: none, stroke: ink, width: "1"},
	// charts
	{class: "d-frame", fill: none, stroke: ink, width: "1.1"},
	{class: "d-grid", fill: none, stroke: hair, width: ".7"},
	{class: "d-band", fill: wash, stroke: none},
	{class: "d-band-edge", fill: none, stroke: soft, width: ".6"},
	{class: "d-curve", fill: none, stroke: ink, width: "1.6"},
	{class: "d-trace", fill: none, stroke: ink, width: ".8"},
	{class: "d-ahead", fill: none, stroke: ink, width: "1.3", dash: "5 3"},
	{class: "d-dot", fill: ink, stroke: paper, width: "1"},
	{class: "d-limit", fill: none, stroke: ink, width: "1", dash: "8 3 2 3"},
	{class: "d-limit-first", fill: none, stroke: act, width: "1.8"},
	{class: "d-now", fill: none, stroke: soft, width: "1", dash: "2 2.5"},
	{class: "d-cross", fill: none, stroke: act, width: "2.2"},
	{class: "d-opens", fill: none, stroke: ink, width: "1"},
}

var paintOf = func() map[string]paint {
	m := make(map[string]paint, len(paints))
	for _, p := range paints {
		m[p.class] = p
	}
	return m
}()

// attribute is the colour a figure has without the style sheet.
func (r role) attribute() string {
	switch r {
	case none:
		return "none"
	case paper:
		return "#fff"
	default:
		return "currentColor"
	}
}

// css is the colour a figure has with it.
func (r role) css() string {
	switch r {
	case none:
		return "none"
	case paper:
		return "var(--paper,#fff)"
	default:
		return "var(--" + string(r) + ",currentColor)"
	}
}

// paintAttrs writes the class attribute and the presentation attributes of
// the first class. A class without paint is written alone, for the page to use.
func paintAttrs(class string) string {
	if class == "" {
		return ""
	}
	first, _, _ := strings.Cut(class, " ")
	p, ok := paintOf[first]
	if !ok {
		return ` class="` + class + `"`
	}
	var b strings.Builder
	b.WriteString(` class="` + class + `"`)
	if p.fill != none || p.size != "" {
		b.WriteString(` fill="` + p.fill.attribute() + `"`)
	}
	if p.fill == wash {
		b.WriteString(` fill-opacity=".16"`)
	}
	if p.stroke != none {
		b.WriteString(` stroke="` + p.stroke.attribute() + `"`)
	}
	for _, a := range [][2]string{{"stroke-width", p.width}, {"stroke-dasharray", p.dash}, {"font-size", p.size},
		{"font-weight", p.weight}} {
		if a[1] != "" {
			b.WriteString(" " + a[0] + `="` + a[1] + `"`)
		}
	}
	return b.String()
}

// ClassCSS returns the rules for the classes that figures use. It belongs in a
// style sheet file of the page; figures carry no style themselves, so that a
// strict content security policy holds.
func ClassCSS() string {
	var b strings.Builder
	b.WriteString(".d-fig{display:block;max-width:100%;height:auto;color:var(--ink,currentColor);" +
		"font-family:inherit;font-variant-numeric:tabular-nums lining-nums}\n")
	for _, p := range paints {
		b.WriteString("." + p.class + "{fill:" + p.fill.css() + ";stroke:" + p.stroke.css())
		if p.fill == wash {
			b.WriteString(";fill-opacity:1")
		}
		b.WriteString("}\n")
	}
	b.WriteString("a.d-call{cursor:pointer;text-decoration:none}\n")
	b.WriteString("a.d-call:hover .d-num,a.d-call:focus-visible " +
		".d-num{text-decoration:underline;text-underline-offset:2px}\n")
	b.WriteString("a.d-call:focus-visible,a.d-call:hover{outline:2px solid " +
		"var(--ink,currentColor);outline-offset:2px}\n")
	return b.String()
}
