package tally

import (
	"fmt"
	"math"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/surface"
)

// headlineOf is what came about between two counts, in few words.
func headlineOf(o *surface.Overlay) string {
	return fmt.Sprintf("%s in %.0f mm that both pictures show.", say.Capital(newWords(len(o.New))), o.To-o.From)
}

func newWords(n int) string {
	if n == 0 {
		return "no crack looks new"
	}
	return say.Several(n, "crack looks new", "cracks look new")
}

// least is the length, mm, below which nobody would call a crack longer.
const least = 0.2

// linesOf says what became of the others.
func linesOf(o *surface.Overlay) []string {
	var out []string
	if len(o.New) > 0 {
		out = append(out, "Look for each in both: on drawn belts half of what looked new had been there, unmarked.")
	}
	g, n := o.Growth, say.Several(len(o.Pairs), "crack is", "cracks are")
	switch {
	case len(o.Pairs) == 0:
	case g.Low > 0 && g.Value >= least:
		out = append(out, fmt.Sprintf("%s in both: longer by %.1f mm in the middle of all (%s mm).", n, g.Value,
			bandOf(g)))
	case g == surface.Measure{}:
		out = append(out, n+" in both, drawn by hand: how much longer they became cannot be told.")
	default:
		out = append(out, fmt.Sprintf("%s in both, none the longer as far as can be told: %s mm in the middle of all "+
			"(%s mm).", n, signed(g.Value), bandOf(g)))
	}
	if k := len(o.Faint); k > 0 {
		out = append(out, say.Several(k, "more mark", "more marks")+" may be new, or too faint for the earlier "+
			"picture to show: not called new.")
	}
	if k := len(o.Gone); k > 0 {
		out = append(out, say.Several(k, "mark", "marks")+" of the earlier picture not seen again: cracks do not "+
			"heal, so it was no crack, or the later picture misses it.")
	}
	if o.Flipped {
		out = append(out, "One of them was taken from the other end: the earlier one is shown turned.")
	}
	return out
}

// signed is a length with its sign, as people write it.
func signed(v float64) string {
	if v = math.Round(10*v) / 10; v < 0 {
		return fmt.Sprintf("−%.1f", -v)
	}
	return fmt.Sprintf("%.1f", math.Abs(v))
}

func bandOf(m surface.Measure) string { return signed(m.Low) + " to " + signed(m.High) }

// sureWords says how often chance lays two pictures over each other as well as that.
func sureWords(chance float64) string {
	n := "a million"
	if k := math.Floor(1.0000001e-3 / max(chance, 1e-9)); k < 1000 {
		n = fmt.Sprintf("%.0f 000", max(k, 1))
	}
	return "How sure the match is: as many cracks meet by chance at most once in " + n + " such pairs of other belts."
}

// faultWords says why two counts cannot be laid over each other, and what would help.
func faultWords(f *surface.Fault) (wrong, better string) {
	const mark = "Next time mark the same stretch on the belt's back, with chalk or a tag, and photograph it " +
		"squarely both times."
	switch f.Code {
	case surface.OtherRibs:
		return fmt.Sprintf("The later picture shows %.0f ribs, the earlier one %.0f.", f.Value, f.Want),
			"Show the belt's whole width both times."
	case surface.FewMarks:
		return fmt.Sprintf("One of them has only %s; in each %.0f are needed to find the place.",
			say.Several(int(f.Value), "mark", "marks"), f.Want), mark
	case surface.NoMatch:
		return "Their cracks do not lie over each other: they may show two stretches of the belt.", mark
	}
	return "They do not fit each other.", mark
}

// countsWords compares two counts by themselves.
func countsWords(before, after Once) string {
	a, b := before.Found.Counted, after.Found.Counted
	switch {
	case b.Low > a.High:
		return "By the counts alone there are more: their bands do not meet."
	case b.High < a.Low:
		return "By the counts alone there are fewer, which cracks do not become: these are two stretches, or one " +
			"picture shows more than the other."
	}
	return "The counts alone cannot tell: their bands overlap."
}

// keyOf says how many have each sign.
func keyOf(o *surface.Overlay) []ThenKey {
	out := []ThenKey{{IsNew, fmt.Sprintf("new: %d", len(o.New))}, {InBoth, fmt.Sprintf("in both: %d", len(o.Pairs))}}
	if len(o.Gone) > 0 {
		out = append(out, ThenKey{NotAgain, fmt.Sprintf("not seen again: %d", len(o.Gone))})
	}
	if len(o.Faint) > 0 {
		out = append(out, ThenKey{TooFaint, fmt.Sprintf("new or too faint then: %d", len(o.Faint))})
	}
	return out
}

var signWords = map[Sign]string{InBoth: "In both", IsNew: "New", TooFaint: "New, or too faint then",
	NotAgain: "Not seen again", Outside: "Not in both pictures"}

// saysOf names a mark for those who do not see it.
func saysOf(s Sign, c surface.Crack, along float64) string {
	out := signWords[s]
	if len(c.Ribs) > 0 {
		out += fmt.Sprintf(": rib %d", c.Ribs[0]+1)
	}
	out += fmt.Sprintf(", %.0f mm along", along)
	if c.Hand {
		out += ", by hand"
	}
	return out
}

func longerWords(mm float64) string {
	switch {
	case mm >= least:
		return fmt.Sprintf(", longer by %.1f mm", mm)
	case mm <= -least:
		return fmt.Sprintf(", shorter by %.1f mm", -mm)
	}
	return ", as long"
}

// sinceWords is what a count shows since the one before it.
func sinceWords(o *surface.Overlay, before *fleet.Finding) string {
	s := fmt.Sprintf("%s in %.0f mm since %s", newWords(len(o.New)), o.To-o.From, before.Date.Short())
	if o.Growth.Low > 0 && o.Growth.Value >= least {
		s += fmt.Sprintf(", the others longer by %.1f mm", o.Growth.Value)
	}
	return s
}

// OnceWords is a count in a row of counts: its figure and its band.
func OnceWords(o Once) string {
	c := o.Found.Counted
	return fmt.Sprintf("%s (%s)", o.Found.Value, advise.BandWords(c.Low, c.High))
}
