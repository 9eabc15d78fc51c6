package belt

import (
	"fmt"
	"math"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Words says what is changed, inside a sentence.
func (a Alteration) Words() message.Text {
	switch a.Code {
	case Resized:
		return message.Of("the %s %g mm instead of %g mm", a.Pulley, a.MM, a.Was)
	case Moved:
		return message.Of("the %s moved to x %.1f, y %.1f mm", a.Pulley, a.X, a.Y)
	case LeftOut:
		return message.Of("the %s left out", a.Pulley)
	}
	return message.Of("an idler of %g mm added at x %.0f, y %.0f mm", a.MM, a.X, a.Y)
}

// Words says what is changed, each change in a few words.
func (c *Change) Words() []message.Text {
	out := make([]message.Text, len(c.What))
	for i, a := range c.What {
		out[i] = a.Words()
	}
	return out
}

// Title names the changes, inside a sentence.
func (c *Change) Title() message.Text { return message.Joined(c.Words(), ", ") }

// Headline answers the what-if in one sentence.
func (c *Change) Headline() message.Text { return told.Head(c.Told()) }

// Told is the headline and what else there is to it, a sentence each; what is
// changed is said apart where it is too long for a headline.
func (c *Change) Told() []message.Text {
	a, what, after := c.Answer(), say.Capital(c.Title()), &c.After
	answered := func(answer message.Text, more ...message.Text) []message.Text {
		short := message.Of("%s: %s", what, answer)
		if told.Words(short) <= told.HeadWords {
			return told.Sentences(append([]message.Text{short}, more...)...)
		}
		return told.Sentences(append([]message.Text{say.Capital(answer), message.Of("Asked for: %s.", c.Title())},
			more...)...)
	}
	switch a.Code {
	case CannotBe:
		return answered("the run cannot be.", say.Sentence(runwords.Whole(after.Refused[0])))
	case NotLaid:
		return answered(message.Of("the run needs a belt of %s.", mm(after.Layout.EffectiveMM)))
	case CannotTurn:
		return answered(message.Of("at %.0f rpm it cannot run.", a.At.RPM), "The belt is long enough.",
			say.Sentence(runwords.Text(a.At.Refused)))
	case StillFits:
		return answered("the belt still fits.", say.Sentence(c.slip()))
	case Fits:
		return answered("the belt fits.", say.Sentence(c.slip()))
	}
	does := message.Of("As drawn the run needs %s.", mm(after.Layout.EffectiveMM))
	if l := after.Lengths; l != nil && l.FromMM < l.ToMM {
		does = message.Of("Belts from %s to %s do.", mm(l.FromMM), mm(l.ToMM))
	}
	if a.Code == NoLonger {
		return answered("this belt no longer fits.", does, say.Sentence(c.slip()))
	}
	return answered("this belt does not fit.", does, say.Sentence(c.slip()))
}

// UnsuitedWords names the pulleys that would have to be changed; empty where
// none would.
func (c *Change) UnsuitedWords() message.Text {
	if c.Way == nil || len(c.Way.Unsuited) == 0 {
		return ""
	}
	return message.Of("These would need another pulley, as the belt's other side then runs on them: %s.",
		names(c.Way.Unsuited))
}

// WayWords says of a way round that was found what it asks for.
func WayWords(w *Route) message.Text {
	var notes []message.Text
	if len(w.Back) > 0 {
		notes = append(notes, message.Of("on the back: %s", names(w.Back)))
	}
	if len(w.Reversed) > 0 {
		notes = append(notes, message.Of("turns the other way: %s", names(w.Reversed)))
	}
	if len(w.Unsuited) > 0 {
		notes = append(notes, message.Of("needs another pulley: %s", names(w.Unsuited)))
	}
	if w.PresentBelt {
		notes = append(notes, "this belt fits")
	}
	return message.Joined(notes, "; ")
}

// BeltsWords says which belts a way round takes.
func BeltsWords(w *Route) message.Text {
	if w.Shortest == w.Longest {
		return message.Of("%.0f mm", w.LengthMM)
	}
	return message.Of("%.0f to %.0f mm", w.Shortest, w.Longest)
}

// slip says which pulley is then closest to slipping.
func (c *Change) slip() message.Text {
	if c.Way != nil && len(c.Way.Reversed) > 0 {
		return message.Of("but the %s would turn the other way, which most do not stand", names(c.Way.Reversed))
	}
	if s := c.After.weakest(); s != nil {
		return message.Of("the %s slips first, at %s", s.Pulley, loadTimes(s.LoadFactor))
	}
	if c.Way != nil {
		return message.Of("the %s then has the least wrap that carries load, %.0f°", c.Way.Weakest, c.Way.WeakestWrap)
	}
	return message.Of("the change in length is %s", signedMM(c.Versus.LengthMM-c.Versus.LengthWas))
}

// agreeWords say how a tapped tone agrees with what is worked out.
var agreeWords = map[Code]message.Text{
	Octave: "Worked out for this run at rest: %.0f N; that would be the octave, so the tone taken was probably the " +
		"second.",
	HalfTone: "Worked out for this run at rest: %.0f N; that would be half the tone, so the tone taken was probably " +
		"one below the true one.",
	Agrees:  "Worked out for this run at rest: %.0f N, which agrees.",
	Differs: "Worked out for this run at rest: %.0f N, which does not agree.",
}

// Words says what the tapped span tells.
func (a *TapAnswer) Words() message.Text {
	all := []message.Text{message.Of("%s to %s (%s) at %g Hz: %.0f N, within %.0f N.", say.Capital(a.From), a.To,
		mm(a.SpanMM), a.Tap.Hz, a.Tension.TensionN, a.Tension.ErrorN)}
	if a.Agrees != "" {
		all = append(all, agreeWords[a.Agrees].With(a.Expected))
	}
	all = append(all, message.Of("If the tone was the octave, the tension is %.0f N; if half the true tone, %.0f N.",
		a.Tension.IfOctaveN, a.Tension.IfHalfN))
	if !a.Weighed {
		all = append(all, "The belt's mass is an estimate: weigh the belt, and the error shrinks.")
	}
	if a.Tension.ShortSpan {
		all = append(all, "The span is short for its thickness, so stiffness makes the tension read high: tap a "+
			"longer one.")
	}
	return message.Joined(all, " ")
}

// Words says what the offset means.
func (o *Offset) Words() message.Text {
	s := message.Of("An offset of %.1f mm is %.2f° over the shortest span (%s to %s, %s) and %.2f° over the "+
		"longest (%s to %s, %s).",
		o.MM, drive.AngleDeg(o.MM, o.Short.LengthMM), o.Short.Leaves, o.Short.Reaches, mm(o.Short.LengthMM),
		drive.AngleDeg(o.MM, o.Long.LengthMM), o.Long.Leaves, o.Long.Reaches, mm(o.Long.LengthMM))
	parts := make([]message.Text, len(o.Limits))
	for i, l := range o.Limits {
		parts[i] = message.Of("%g° (%s; %.1f mm over the shortest span)", l.Deg, l.Source,
			drive.OffsetMM(l.Deg, o.Short.LengthMM))
	}
	if len(parts) > 0 {
		return message.Of("%s Limits: %s.", s, message.Joined(parts, "; "))
	}
	return s
}

// Words says what the wear means.
func (w *Wear) Words() message.Text {
	if w.Code == RibsGone {
		return message.Of("With %.0f %% of the ribs gone the belt sits %.2f mm deeper, %.1f mm of belt are free, "+
			"and the tensioner stands %s further on; %s are left to its take-up stop.",
			w.Percent, w.Wear.SinkMM, w.Wear.SlackMM, move(w.Wear.Moved, w.Unit), move(w.Wear.Left, w.Unit))
	}
	if w.Code == NoWear {
		return "The tensioner stands where a new belt puts it, or before: nothing can be said of wear."
	}
	return message.Of("The tensioner has moved %s since the belt was new: the belt sits %.2f mm deeper (%.2f to "+
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
func (f *Finding) Words() message.Text { return say.Sentence(advise.ReasonWords(f.Reason)) }

// Words says where the belt meets a pulley out of line.
func (o OutOfLine) Words() message.Text {
	return message.Of("the belt meets the %s at %.2f°, %.1f mm over %.0f mm; allowed %.2f° (%s).",
		o.Pulley, math.Abs(o.AngleDeg), math.Abs(o.OffsetMM), o.SpanMM, o.Limit.Deg, o.Limit.Source)
}

// SideWords names the side of the belt on which a pulley runs.
func SideWords(back bool) message.Text {
	if back {
		return drive.BackSide.Message()
	}
	return drive.RibSide.Message()
}

// Note says what is doubtful about a bearing life; empty for nothing.
func (l *Life) Note() message.Text {
	if l.TooHeavy {
		return "load too heavy for the formula"
	}
	return ""
}

// TurnWords names a turning direction.
func TurnWords(turns int) message.Text {
	if turns == drive.Anticlockwise {
		return "anticlockwise"
	}
	return "clockwise"
}

// FigureWords says what the drawing shows of the belt.
func (b *Run) FigureWords() message.Text {
	if b.Fit != nil && b.moves() {
		return message.Of("Drawn with %s on, the %s where it then stands.", b.belt(), b.mover())
	}
	return "Drawn as measured."
}

// names lists names as in a sentence.
func names(of []string) message.Text { return told.Listing(told.Names(of)) }

// either joins what one of is meant.
func either(all []message.Text) message.Text {
	var out message.Text
	for i, t := range all {
		if out = t; i > 0 {
			out = message.Of("%s or %s", either(all[:i]), t)
		}
	}
	return out
}
