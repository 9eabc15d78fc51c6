package onbelt

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/surface"
)

// units are what stands behind a value.
var units = map[string]message.Text{"": "per 75 mm", Profile: message.Of("%% of the ribs worn off"),
	Hose: message.Of("%% thicker"), Gauge: "mm above the rib tips"}

// belowTips is the unit of a gauge that has sunk.
const belowTips message.Text = "mm below the rib tips"

// words says what is in the way of reading a picture, and how a better one is taken: a line each.
func words(of string, f surface.Fault) (wrong, better message.Text) {
	switch of {
	case Profile:
		return profileWords(f)
	case Gauge:
		return gaugeWords(f)
	case Hose:
		return hoseWords(f)
	}
	switch f.Code {
	case surface.NoBelt:
		return "No ribs side by side are found.", "Fill the picture with the ribbed side, from a hand's breadth away."
	case surface.NotBelt:
		return "These stripes are not the ribs of a belt.", "Photograph the ribbed side, nothing else striped in view."
	case surface.FewRibs:
		return message.Of("Only %.0f ribs are found.", f.Value), "Show the belt's whole width."
	case surface.Small:
		return message.Of("The belt is too small in it: %.0f px per mm, %.0f are wanted.", f.Value, f.Want),
			"Go closer."
	case surface.Blurred:
		return "It is blurred.", "Rest the hand on something, let it focus on the ribs, and hold still."
	case surface.Dark:
		return "The ribs are too dark.", "Hold a lamp to one side of them."
	case surface.Glare:
		return message.Of("%.0f %% of the ribs is burnt out by glare.", 100*f.Value),
			"No flash: move the lamp aside, so that it does not mirror."
	case surface.Noisy:
		return "It is grainy.", "Give it more light, from the side."
	case surface.Tilted:
		return message.Of("The belt runs away from the camera by %.0f°.", math.Abs(f.Value)*180/math.Pi),
			"Hold the camera square to the ribs."
	case surface.TooShort:
		return message.Of("Only %.0f mm of belt is in view.", f.Value), "Show 75 mm of it, a finger's length."
	}
	return "Something is in the way of reading it.", "Take another: closer, square to the ribs, light from the side."
}

// along is how a picture along ribs is taken.
const along = "Fold the belt ribs outward and look along them, a light wall or the sky behind."

func profileWords(f surface.Fault) (wrong, better message.Text) {
	switch f.Code {
	case surface.NoBelt:
		return "No row of ribs is found in outline.", along
	case surface.NotBelt:
		return "These teeth are not the ribs of a belt looked along.", along
	case surface.NoOutline:
		return message.Of("Only %.0f %% of the ribs' outline stands out.", 100*f.Value),
			"Put something plain behind, much lighter or darker than the belt."
	case surface.Small:
		return message.Of("The ribs are too small in it: %.0f px per mm, %.0f are wanted.", f.Value, f.Want),
			"Go closer."
	case surface.Blurred:
		return "It is blurred.", "Rest the hand on something, let it focus on the ribs' edge, and hold still."
	}
	return "Something is in the way of reading it.", along
}

// gaugeAlong is how a picture of a gauge is taken.
const gaugeAlong = "Look along the ribs at the gauge's end, a light wall or card behind."

func gaugeWords(f surface.Fault) (wrong, better message.Text) {
	switch f.Code {
	case surface.NoGauge:
		return "No bars of a gauge stand out in the grooves.",
			"Put something plain behind that is lighter or darker than the gauge, and lighter than the belt."
	case surface.NoBelt, surface.NotBelt:
		return "No row of dark ribs is found in outline.", gaugeAlong
	case surface.NoOutline:
		return message.Of("Only %.0f %% of the ribs' outline stands out.", 100*f.Value), gaugeAlong
	case surface.Small, surface.Blurred:
		return profileWords(f)
	}
	return "Something is in the way of reading it.", gaugeAlong
}

func hoseWords(f surface.Fault) (wrong, better message.Text) {
	const plain = "Put a plain light card behind the hose, and have it through the middle of the picture."
	switch f.Code {
	case surface.NoHose:
		return "No hose is found in the middle of the picture.", plain
	case surface.NoOutline:
		return message.Of("Only %.0f %% of its edges stand out.", 100*f.Value), plain
	case surface.Small:
		return message.Of("The hose is only %.0f px thick, %.0f are wanted.", f.Value, f.Want), "Go closer."
	case surface.TooShort:
		return message.Of("Only %.1f diameters of it are seen, %.0f are wanted.", f.Value, f.Want),
			"Show more of its length, both ends if it can be done."
	}
	return "Something is in the way of reading it.", plain
}

// measuredWords names what is measured on an outline for those who do not see it.
func (s *Seen) measuredWords(i int) message.Text {
	m := s.Outline.Measured[i]
	if s.Of == Profile {
		return message.Of("Rib %d: %.2f mm high, %.2f mm wide half way up", i+1, m.Figures[0].Value,
			m.Figures[1].Value)
	}
	f, format := m.Figures[0], message.Text("%s: %.0f %% thicker (%.0f to %.0f %%)")
	if s.Of == Gauge {
		return message.Of("Bar %d: %s", i+1, standWords(f))
	}
	if f.Value < 0 {
		f = surface.Measure{Value: -f.Value, Low: -f.High, High: -f.Low}
		format = "%s: %.0f %% thinner (%.0f to %.0f %%)"
	}
	out := format.With(names[m.Kind], 100*f.Value, 100*max(f.Low, 0), 100*f.High)
	if len(m.Figures) > 1 {
		out = message.Of("%s, a kink by %.0f in 100", out, 100*m.Figures[1].Value)
	}
	if m.Beyond {
		out = message.Of("%s, or more where it goes out of sight", out)
	}
	return out
}

// standWords says how far a bar stands above the tips.
func standWords(m surface.Measure) message.Text {
	if m.Value < 0 {
		return message.Of("%.2f mm below the rib tips (%.2f to %.2f)", -m.Value, -m.High, -m.Low)
	}
	return message.Of("%.2f mm above the rib tips (%.2f to %.2f)", m.Value, m.Low, m.High)
}

// kinkSaid says what a kink asks for.
func kinkSaid(m Measured) Said {
	wrong := message.Text("A kink is found.")
	if len(m.Figures) > 1 {
		wrong = message.Of("A kink is found, by %.0f in 100: it turns at once there, and flattens.",
			100*m.Figures[1].Value)
	}
	return Said{Wrong: wrong,
		Better: "Bend it gently, engine cold, and see whether it folds there. Strike it out if not."}
}

var names = map[string]message.Text{"swelling": "Swelling", "necking": "Necking", "kink": "Kink"}

// loose names places to look at.
var loose = map[string]message.Text{"piece": "A piece may be missing here: look.",
	"fray": "It may be frayed here: look."}

// says names a mark for those who do not see it.
func says(c surface.Crack) message.Text {
	s := message.Text("A crack")
	if len(c.Ribs) > 0 {
		s = message.Of("%s on rib %d", s, c.Ribs[0]+1)
	}
	if len(c.Path) > 0 {
		s = message.Of("%s, %.0f mm along", s, c.Path[len(c.Path)/2].Y)
	}
	if c.Hand {
		s = message.Of("%s, by hand", s)
	}
	return s
}

// ProvenOf says what a method was tried on, and how well it did there (docs/surface.md).
func ProvenOf(of string) message.Text {
	switch of {
	case Profile:
		return "Tried on drawn belts, where nine ribs in ten come within 0.1 mm, not yet on yours."
	case Gauge:
		return "Tried on drawn gauges, where nine in ten come within 0.1 mm, not yet on yours. That a gauge bottoms, " +
			"without clearance at the flanks, this does not tell: feel for it."
	case Hose:
		return "Tried on drawn hoses, where nine swellings in ten come within 3 %, not yet on yours."
	}
	return Proven
}

// Proven says what counting was tried on.
const Proven = "Tried on drawn belts, where three counts in four come within one or a tenth, not yet on yours: " +
	"check each mark."

// headline is what was counted, in few words.
func (s *Seen) headline() message.Text {
	switch {
	case s.Stops && s.Of != "":
		return "This picture cannot be measured."
	case s.Stops:
		return "This picture cannot be counted."
	case s.Of == Gauge && s.Answer == "":
		return "No bar is left to measure."
	case s.Of == Gauge && s.Answer == Level:
		return message.Of("The gauge is level with the rib tips: %s.", standWords(s.stand()))
	case s.Of == Gauge:
		return message.Of("The gauge stands %s.", standWords(s.stand()))
	case s.Of == Profile && s.Low == 0:
		return message.Of("Little or nothing worn off the ribs (at most %.0f %%).", s.High)
	case s.Of == Profile:
		return message.Of("%.0f %% of the ribs is worn off (%.0f to %.0f %%).", s.Value, s.Low, s.High)
	case s.Of == Hose && s.Value == 0:
		return message.Of("No swelling of %.0f %% or more is found.", s.High)
	case s.Of == Hose:
		return message.Of("The hose is %.0f %% thicker than its sound part (%.0f to %.0f %%).", s.Value, s.Low, s.High)
	case s.High == 0:
		return message.Of("No crack counted in %.0f mm of belt.", s.Reading.Count.Seen)
	}
	return message.Counted(int(s.Value), "%.0f crack in 75 mm of the worst rib (%.0f to %.0f).",
		"%.0f cracks in 75 mm of the worst rib (%.0f to %.0f).", s.Value, s.Low, s.High)
}

// basis is what a count rests on.
func (s *Seen) basis() []message.Text {
	out := []message.Text{}
	if s.Stops {
		return out
	}
	if s.Of != "" {
		return s.outlineBasis()
	}
	c := s.Reading.Count
	marks := message.Counted(s.Marks, "%d mark on all ribs", "%d marks on all ribs", s.Marks)
	if s.ByHand > 0 {
		marks = message.Of("%s, %d by hand", marks, s.ByHand)
	}
	if s.Struck > 0 {
		marks = message.Of("%s, %d more struck out", marks, s.Struck)
	}
	out = append(out, marks.Sentence())
	if s.Marks > 0 {
		out = append(out, message.Of("Rib %d has the most; %.0f mm of belt could be read.", c.Worst+1, c.Seen))
	}
	if c.Seen < 75 {
		out = append(out, "Less than 75 mm was seen: what was counted is scaled up.")
	}
	if s.Closest > 0 {
		out = append(out, message.Of("Where they stand closest: %d in 25 mm.", s.Closest))
	}
	return out
}

// more is what is to be looked at beside a hose's figure.
var more = Said{Wrong: "A bulge or a kink weighs more than this figure.",
	Better: "Answer how the hose looks and keeps its shape as well."}

// outlineBasis is what a measure rests on.
func (s *Seen) outlineBasis() []message.Text {
	all := s.standing()
	of := func(t message.Text) message.Text {
		if s.Struck == 0 {
			return t
		}
		return message.Of("%s, %d struck out", t, s.Struck)
	}
	switch s.Of {
	case Hose:
		return []message.Text{
			of("Compared with its own sound part: a photograph of a hose tells no millimetres").Sentence()}
	case Gauge:
		return []message.Text{message.Of("%s, on the mean; the ribs' pitch gives the scale.",
			of(message.Counted(len(all), "%d bar", "%d bars", len(all)))),
			message.Of("Up to %.1f mm off the tips counts as level (a guess: about what an eye tells).", levelMM)}
	}
	h, w, n := 0.0, 0.0, float64(max(len(all), 1))
	for _, m := range all {
		h, w = h+m.Figures[0].Value/n, w+m.Figures[1].Value/n
	}
	usual := s.Outline.Usual
	out := []message.Text{message.Of("%s: %.2f mm high, %.2f mm wide half way up, on the mean.",
		of(message.Counted(len(all), "%d rib", "%d ribs", len(all))), h, w)}
	if usual[0].Low == usual[0].High {
		return append(out, message.Of("A new one of this part: %.2f mm high, %.2f mm wide.", usual[0].Value,
			usual[1].Value))
	}
	return append(out, message.Of("A new one is taken for %.1f to %.1f mm high, %.2f to %.2f mm wide: that makes the "+
		"band wide. Measure a new belt so, and write its figures with the part.", usual[0].Low, usual[0].High,
		usual[1].Low, usual[1].High))
}

// GaugeNote says how far a gauge's bars stand, by which method, and what its owner adds.
func (s *Seen) GaugeNote(note string) string {
	return strings.TrimSpace(fmt.Sprintf("%s Measured on a photograph (%s). %s", s.Headline, s.Version, note))
}
