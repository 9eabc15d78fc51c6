package belt

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
)

// Words says what is changed, inside a sentence.
func (a Alteration) Words() string {
	switch a.Code {
	case Resized:
		return fmt.Sprintf("the %s %g mm instead of %g mm", a.Pulley, a.MM, a.Was)
	case Moved:
		return fmt.Sprintf("the %s moved to x %.1f, y %.1f mm", a.Pulley, a.X, a.Y)
	case LeftOut:
		return "the " + a.Pulley + " left out"
	}
	return fmt.Sprintf("an idler of %g mm added at x %.0f, y %.0f mm", a.MM, a.X, a.Y)
}

// Words says what is changed, each change in a few words.
func (c *Change) Words() []string {
	out := make([]string, len(c.What))
	for i, a := range c.What {
		out[i] = a.Words()
	}
	return out
}

// Title names the changes, inside a sentence.
func (c *Change) Title() string { return strings.Join(c.Words(), ", ") }

// Headline answers the what-if in one sentence.
func (c *Change) Headline() string { return say.Head(c.Told()) }

// Told is the headline and what else there is to it, a sentence each; what is
// changed is said apart where it is too long for a headline.
func (c *Change) Told() []string {
	a, what, after := c.Answer(), say.Capital(c.Title()), &c.After
	told := func(answer string, more ...string) []string {
		short := what + ": " + answer
		if len(strings.Fields(short)) <= say.HeadWords {
			return say.Told(append([]string{short}, more...)...)
		}
		return say.Told(append([]string{say.Capital(answer), "Asked for: " + c.Title() + "."}, more...)...)
	}
	switch a.Code {
	case CannotBe:
		return told("the run cannot be.", say.Sentence(runwords.Whole(after.Refused[0])))
	case NotLaid:
		return told("the run needs a belt of " + mm(after.Layout.EffectiveMM) + ".")
	case CannotTurn:
		return told(fmt.Sprintf("at %.0f rpm it cannot run.", a.At.RPM), "The belt is long enough.",
			say.Sentence(runwords.Text(a.At.Refused)))
	case StillFits:
		return told("the belt still fits.", say.Sentence(c.slip()))
	case Fits:
		return told("the belt fits.", say.Sentence(c.slip()))
	}
	does := "As drawn the run needs " + mm(after.Layout.EffectiveMM) + "."
	if l := after.Lengths; l != nil && l.FromMM < l.ToMM {
		does = fmt.Sprintf("Belts from %s to %s do.", mm(l.FromMM), mm(l.ToMM))
	}
	if a.Code == NoLonger {
		return told("this belt no longer fits.", does, say.Sentence(c.slip()))
	}
	return told("this belt does not fit.", does, say.Sentence(c.slip()))
}

// UnsuitedWords names the pulleys that would have to be changed; empty where
// none would.
func (c *Change) UnsuitedWords() string {
	if c.Way == nil || len(c.Way.Unsuited) == 0 {
		return ""
	}
	return "These would need another pulley, as the belt's other side then runs on them: " +
		say.Listing(c.Way.Unsuited) + "."
}

// WayWords says of a way round that was found what it asks for.
func WayWords(w *Route) string {
	var notes []string
	if len(w.Back) > 0 {
		notes = append(notes, "on the back: "+say.Listing(w.Back))
	}
	if len(w.Reversed) > 0 {
		notes = append(notes, "turns the other way: "+say.Listing(w.Reversed))
	}
	if len(w.Unsuited) > 0 {
		notes = append(notes, "needs another pulley: "+say.Listing(w.Unsuited))
	}
	if w.PresentBelt {
		notes = append(notes, "this belt fits")
	}
	return strings.Join(notes, "; ")
}

// BeltsWords says which belts a way round takes.
func BeltsWords(w *Route) string {
	if w.Shortest == w.Longest {
		return fmt.Sprintf("%.0f mm", w.LengthMM)
	}
	return fmt.Sprintf("%.0f to %.0f mm", w.Shortest, w.Longest)
}

// slip says which pulley is then closest to slipping.
func (c *Change) slip() string {
	if c.Way != nil && len(c.Way.Reversed) > 0 {
		return "but the " + say.Listing(c.Way.Reversed) + " would turn the other way, which most do not stand"
	}
	if s := c.After.weakest(); s != nil {
		return fmt.Sprintf("the %s slips first, at %s", s.Pulley, loadTimes(s.LoadFactor))
	}
	if c.Way != nil {
		return fmt.Sprintf("the %s then has the least wrap that carries load, %.0f°", c.Way.Weakest, c.Way.WeakestWrap)
	}
	return "the change in length is " + signedMM(c.Versus.LengthMM-c.Versus.LengthWas)
}

// agreeWords say how a tapped tone agrees with what is worked out.
var agreeWords = map[Code]string{
	Octave:   "; that would be the octave, so the tone taken was probably the second.",
	HalfTone: "; that would be half the tone, so the tone taken was probably one below the true one.",
	Agrees:   ", which agrees.",
	Differs:  ", which does not agree.",
}

// Words says what the tapped span tells.
func (a *TapAnswer) Words() string {
	s := fmt.Sprintf("%s to %s (%s) at %g Hz: %.0f N, within %.0f N.", say.Capital(a.From), a.To, mm(a.SpanMM),
		a.Tap.Hz, a.Tension.TensionN, a.Tension.ErrorN)
	if a.Agrees != "" {
		s += fmt.Sprintf(" Worked out for this run at rest: %.0f N", a.Expected) + agreeWords[a.Agrees]
	}
	s += fmt.Sprintf(" If the tone was the octave, the tension is %.0f N; if half the true tone, %.0f N.",
		a.Tension.IfOctaveN, a.Tension.IfHalfN)
	if !a.Weighed {
		s += " The belt's mass is an estimate: weigh the belt, and the error shrinks."
	}
	if a.Tension.ShortSpan {
		s += " The span is short for its thickness, so stiffness makes the tension read high: tap a longer one."
	}
	return s
}

// Words says what the offset means.
func (o *Offset) Words() string {
	s := fmt.Sprintf("An offset of %.1f mm is %.2f° over the shortest span (%s to %s, %s) and %.2f° over the "+
		"longest (%s to %s, %s).",
		o.MM, drive.AngleDeg(o.MM, o.Short.LengthMM), o.Short.Leaves, o.Short.Reaches, mm(o.Short.LengthMM),
		drive.AngleDeg(o.MM, o.Long.LengthMM), o.Long.Leaves, o.Long.Reaches, mm(o.Long.LengthMM))
	parts := make([]string, len(o.Limits))
	for i, l := range o.Limits {
		parts[i] = fmt.Sprintf("%g° (%s; %.1f mm over the shortest span)", l.Deg, l.Source,
			drive.OffsetMM(l.Deg, o.Short.LengthMM))
	}
	if len(parts) > 0 {
		s += " Limits: " + strings.Join(parts, "; ") + "."
	}
	return s
}

// Words says what the wear means.
func (w *Wear) Words() string {
	if w.Code == RibsGone {
		return fmt.Sprintf("With %.0f %% of the ribs gone the belt sits %.2f mm deeper, %.1f mm of belt are free, "+
			"and the tensioner stands %s further on; %s are left to its take-up stop.",
			w.Percent, w.Wear.SinkMM, w.Wear.SlackMM, move(w.Wear.Moved, w.Unit), move(w.Wear.Left, w.Unit))
	}
	if w.Code == NoWear {
		return "The tensioner stands where a new belt puts it, or before: nothing can be said of wear."
	}
	return fmt.Sprintf("The tensioner has moved %s since the belt was new: the belt sits %.2f mm deeper (%.2f to "+
		"%.2f), about %.0f %% of the ribs gone if all of it is wear; %s are left to its take-up stop. A stretched "+
		"cord, another belt or a worn arm bush look the same.",
		move(w.Wear.Moved, w.Unit), w.Wear.SinkMM, w.Wear.LowSink, w.Wear.TopSink, w.Wear.Share*100,
		move(w.Wear.Left, w.Unit))
}

func move(v float64, unit string) string {
	if unit == "°" {
		return fmt.Sprintf("%.1f°", math.Abs(v))
	}
	return fmt.Sprintf("%.1f mm", math.Abs(v))
}

// Words says what was found, as it was judged.
func (f *Finding) Words() string { return say.Sentence(advise.ReasonWords(f.Reason)).String() }

// Words says where the belt meets a pulley out of line.
func (o OutOfLine) Words() string {
	return fmt.Sprintf("the belt meets the %s at %.2f°, %.1f mm over %.0f mm; allowed %.2f° (%s).",
		o.Pulley, math.Abs(o.AngleDeg), math.Abs(o.OffsetMM), o.SpanMM, o.Limit.Deg, o.Limit.Source)
}

// SideWords names the side of the belt on which a pulley runs.
func SideWords(back bool) string {
	if back {
		return drive.BackSide.String()
	}
	return drive.RibSide.String()
}

// Note says what is doubtful about a bearing life; empty for nothing.
func (l *Life) Note() string {
	if l.TooHeavy {
		return "load too heavy for the formula"
	}
	return ""
}

// TurnWords names a turning direction.
func TurnWords(turns int) string {
	if turns == drive.Anticlockwise {
		return "anticlockwise"
	}
	return "clockwise"
}

// FigureWords says what the drawing shows of the belt.
func (b *Run) FigureWords() string {
	if b.Fit != nil && b.moves() {
		return fmt.Sprintf("Drawn with %s on, the %s where it then stands.", b.belt(), b.mover())
	}
	return "Drawn as measured."
}
