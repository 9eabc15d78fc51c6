package tally

import (
	"fmt"
	"math"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/surface"
)

// headlineOf is what came about between two counts, in few words.
func headlineOf(o *surface.Overlay) message.Text {
	return message.Of("%s in %.0f mm that both pictures show.", newWords(len(o.New)).Capital(), o.To-o.From)
}

func newWords(n int) message.Text {
	if n == 0 {
		return "no crack looks new"
	}
	return told.Several(n, "crack looks new", "cracks look new")
}

// least is the length, mm, below which nobody would call a crack longer.
const least = 0.2

// linesOf says what became of the others.
func linesOf(o *surface.Overlay) []message.Text {
	var out []message.Text
	if len(o.New) > 0 {
		out = append(out, "Look for each in both: on drawn belts half of what looked new had been there, unmarked.")
	}
	g, n := o.Growth, len(o.Pairs)
	switch {
	case n == 0:
	case g.Low > 0 && g.Value >= least:
		out = append(out, message.Counted(n, "%d crack is in both: longer by %.1f mm in the middle of all (%s mm).",
			"%d cracks are in both: longer by %.1f mm in the middle of all (%s mm).", n, g.Value, bandOf(g)))
	case g == surface.Measure{}:
		out = append(out, message.Counted(n, "%d crack is in both, drawn by hand: how much longer they became cannot "+
			"be told.", "%d cracks are in both, drawn by hand: how much longer they became cannot be told.", n))
	default:
		out = append(out, message.Counted(n, "%d crack is in both, none the longer as far as can be told: %s mm in "+
			"the middle of all (%s mm).", "%d cracks are in both, none the longer as far as can be told: %s mm in "+
			"the middle of all (%s mm).", n, signed(g.Value), bandOf(g)))
	}
	if k := len(o.Faint); k > 0 {
		out = append(out, message.Counted(k, "%d more mark may be new, or too faint for the earlier picture to show: "+
			"not called new.", "%d more marks may be new, or too faint for the earlier picture to show: not called "+
			"new.", k))
	}
	if k := len(o.Gone); k > 0 {
		out = append(out, message.Counted(k, "%d mark of the earlier picture not seen again: cracks do not heal, so "+
			"it was no crack, or the later picture misses it.", "%d marks of the earlier picture not seen again: "+
			"cracks do not heal, so it was no crack, or the later picture misses it.", k))
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

func bandOf(m surface.Measure) message.Text {
	return message.Of("%s to %s", signed(m.Low), signed(m.High))
}

// sureWords says how often chance lays two pictures over each other as well as that.
func sureWords(chance float64) message.Text {
	n := message.Text("a million")
	if k := math.Floor(1.0000001e-3 / max(chance, 1e-9)); k < 1000 {
		n = message.Of("%.0f 000", max(k, 1))
	}
	return message.Of("How sure the match is: as many cracks meet by chance at most once in %s such pairs of other "+
		"belts.", n)
}

// faultWords says why two counts cannot be laid over each other, and what would help.
func faultWords(f *surface.Fault) (wrong, better message.Text) {
	const mark = "Next time mark the same stretch on the belt's back, with chalk or a tag, and photograph it " +
		"squarely both times."
	switch f.Code {
	case surface.OtherRibs:
		return message.Of("The later picture shows %.0f ribs, the earlier one %.0f.", f.Value, f.Want),
			"Show the belt's whole width both times."
	case surface.FewMarks:
		return message.Counted(int(f.Value), "One of them has only %.0f mark; in each %.0f are needed to find the "+
			"place.", "One of them has only %.0f marks; in each %.0f are needed to find the place.", f.Value,
			f.Want), mark
	case surface.NoMatch:
		return "Their cracks do not lie over each other: they may show two stretches of the belt.", mark
	}
	return "They do not fit each other.", mark
}

// countsWords compares two counts by themselves.
func countsWords(before, after Once) message.Text {
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
	out := []ThenKey{{IsNew, message.Of("new: %d", len(o.New))}, {InBoth, message.Of("in both: %d", len(o.Pairs))}}
	if len(o.Gone) > 0 {
		out = append(out, ThenKey{NotAgain, message.Of("not seen again: %d", len(o.Gone))})
	}
	if len(o.Faint) > 0 {
		out = append(out, ThenKey{TooFaint, message.Of("new or too faint then: %d", len(o.Faint))})
	}
	return out
}

var signWords = map[Sign]message.Text{InBoth: "In both", IsNew: "New", TooFaint: "New, or too faint then",
	NotAgain: "Not seen again", Outside: "Not in both pictures"}

// saysOf names a mark for those who do not see it.
func saysOf(s Sign, c surface.Crack, along float64) message.Text {
	out := signWords[s]
	if len(c.Ribs) > 0 {
		out = message.Of("%s: rib %d", out, c.Ribs[0]+1)
	}
	out = message.Of("%s, %.0f mm along", out, along)
	if c.Hand {
		out = message.Of("%s, by hand", out)
	}
	return out
}

// longerWords adds to what a mark says by how much it is longer.
func longerWords(says message.Text, mm float64) message.Text {
	switch {
	case mm >= least:
		return message.Of("%s, longer by %.1f mm", says, mm)
	case mm <= -least:
		return message.Of("%s, shorter by %.1f mm", says, -mm)
	}
	return message.Of("%s, as long", says)
}

// sinceWords is what a count shows since the one before it.
func sinceWords(o *surface.Overlay, before *fleet.Finding) message.Text {
	s := message.Of("%s in %.0f mm since %s", newWords(len(o.New)), o.To-o.From, told.Short(before.Date))
	if o.Growth.Low > 0 && o.Growth.Value >= least {
		s = message.Of("%s, the others longer by %.1f mm", s, o.Growth.Value)
	}
	return s
}

// OnceWords is a count in a row of counts: its figure and its band.
func OnceWords(o Once) message.Text {
	c := o.Found.Counted
	return message.Of("%s (%.0f to %.0f)", o.Found.Value, c.Low, c.High)
}
