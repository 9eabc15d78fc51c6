package belt

import (
	"fmt"
	"math"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// Caution stands before everything that is worked out about a run.
const Caution message.Text = "Work on a belt drive only with the engine off and the key out; an electric fan may " +
	"start by itself. What follows is arithmetic and does not replace the vehicle maker's instructions."

// LifeCaution stands beside every bearing life.
const LifeCaution message.Text = "L10 is when one bearing in ten of a large number has failed by fatigue under this " +
	"constant load, " +
	"clean and lubricated. Sealed idler and alternator bearings usually end earlier, by grease or water. " +
	"It is not remaining life."

// Headline answers what was asked: what a change comes to where one was asked
// about, otherwise how the run is.
func (b *Run) Headline() message.Text { return told.Head(b.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (b *Run) Told() []message.Text {
	if b.Change == nil {
		return b.asItIs()
	}
	out := b.Change.Told()
	if b.Run.Typical {
		out = append(out, typicalHead)
	}
	return out
}

// AsItIs says whether the belt fits the run as it is and what slips first; for a
// run that cannot be, why not and what would be right.
func (b *Run) AsItIs() message.Text { return message.Joined(b.asItIs(), " ") }

func (b *Run) asItIs() []message.Text {
	a := b.Answer()
	switch a.Code {
	case CannotBe:
		r := b.Refused[0]
		return told.Sentences(told.Brief(message.Of("%s cannot be worked out.", b.Run.Name),
			"This run cannot be worked out."),
			say.Sentence(runwords.Text(r)), say.Sentence(runwords.Remedy(r)))
	case Toothed:
		return []message.Text{message.Of("Along its pitch line the belt is %s as drawn.", mm(b.Layout.EffectiveMM)),
			"A toothed belt is ordered by its number of teeth, not by this length."}
	}
	if b.Run.Typical {
		return []message.Text{typicalHead, message.Of("Typical pulleys stand in for yours, in their usual order: %s "+
			"round. No belt is judged by them.", mm(b.Layout.EffectiveMM))}
	}
	out := b.fitWords(&a)
	if s := a.Slips; s != nil && s.LoadFactor < 1 && a.Code == Fits && a.Untold == nil {
		out[0] = told.Brief(message.Of("%s, but the %s slips.", out[0].Open(), s.Pulley), out[0])
	}
	return told.Sentences(append(out, b.slipWords(&a)...)...)
}

// typicalHead says of a run that nobody measured what it is not good for.
const typicalHead message.Text = "Nothing of this run is measured: measure yours before you buy a belt."

// belt names the belt.
func (b *Run) belt() message.Text {
	if b.Facts.Printed != "" {
		return message.Of("the %s", b.Facts.Printed)
	}
	if l := b.Source.Belt.LengthMM; l > 0 {
		return message.Of("the belt of %s", mm(l))
	}
	return "the belt"
}

// fitWords says in a headline whether the belt fits, then how far.
func (b *Run) fitWords(a *Answer) []message.Text {
	belt := say.Capital(b.belt())
	switch a.Code {
	case NeedsBelt:
		return b.needs()
	case StretchFit:
		return []message.Text{message.Of("%s is a stretch-fit belt: compare its part number.", belt),
			message.Of("No published rule checks its length: the run is %s round, %.1f %% more than the belt's %s.",
				mm(b.Layout.EffectiveMM), b.StretchPercent, mm(b.Source.Belt.LengthMM))}
	case TooShort, TooLong:
		return []message.Text{message.Of("%s does not fit.", belt), say.Sentence(runwords.Text(b.NoFit)), b.lengths()}
	case NotSaid:
		return []message.Text{message.Of("Whether %s fits cannot be said.", b.belt()),
			say.Sentence(runwords.Text(b.NoFit))}
	case FitsDrawn:
		return []message.Text{message.Of("%s fits the run as drawn.", belt),
			message.Of("It needs %s; no pulley is drawn that moves.", mm(b.Layout.EffectiveMM))}
	case CannotTurn:
		return append([]message.Text{message.Of("At %.0f rpm %s cannot run.", a.At.RPM, b.belt()),
			say.Sentence(runwords.Text(a.At.Refused)),
			message.Of("By its length alone it would do: %s.", b.stands())}, b.closer(a)...)
	}
	return append([]message.Text{message.Of("%s fits, with about %.0f mm of belt left.", belt, b.Fit.Take.BeltMM),
		say.Sentence(b.stands())}, b.closer(a)...)
}

// stands says where the tensioner stands with the belt on.
func (b *Run) stands() message.Text {
	if !b.moves() {
		return message.Of("the run as drawn needs %s", mm(b.Layout.EffectiveMM))
	}
	return message.Of("the %s stands %s from its %s", b.mover(), b.moveWords(b.Fit.Take.Move),
		runwords.End(&b.Fit.Take))
}

// closer says whether a belt made badly would fit as well, and how the pointer
// stands.
func (b *Run) closer(a *Answer) []message.Text {
	var made, pointer message.Text
	switch a.Made {
	case ShortEnd:
		made = message.Of("One made at the short end of its tolerance (%.0f mm, from memory) would pass the "+
			"fitting stop.", b.Lengths.ToleranceMM)
	case LongEnd:
		made = message.Of("One made at the long end of its tolerance (%.0f mm, from memory) would pass the take-up "+
			"stop.", b.Lengths.ToleranceMM)
	}
	switch a.Pointer {
	case OffMarks:
		pointer = "The pointer stands outside its marks."
	case InMarks:
		pointer = message.Of("The pointer stands between the marks %q and %q.", b.Fit.Between[0], b.Fit.Between[1])
	}
	return []message.Text{made, pointer}
}

// ToBuy is what would be printed on a belt that is as long as the run as drawn; "" where its section or its ribs are
// not known, or nothing of it was measured.
func (b *Run) ToBuy() string {
	d, ok := drive.Belt{Section: b.Source.Belt.Section, Ribs: b.Source.Belt.Ribs,
		LengthMM: b.Layout.EffectiveMM}.Designation()
	if !ok || b.Run.Ribs == 0 || b.Run.Typical {
		return ""
	}
	return d.String()
}

// needs says which belt to ask for where none is known.
func (b *Run) needs() []message.Text {
	var printed message.Text
	if s := b.ToBuy(); s != "" {
		printed = message.Of("It would be printed %s.", s)
	}
	return []message.Text{message.Of("As drawn the run needs a belt of %s effective length.", mm(b.Layout.EffectiveMM)),
		printed, b.lengths()}
}

// lengths says which belts fit; empty where that is not known.
func (b *Run) lengths() message.Text { return b.fitting().Sentence() }

func (b *Run) fitting() message.Text {
	l := b.Lengths
	if l == nil || !b.moves() {
		return ""
	}
	if l.FromMM > l.ToMM {
		return "No belt fits with its whole tolerance: the tensioner moves too little"
	}
	return message.Of("Belts from %s to %s fit whatever their tolerance", mm(math.Ceil(l.FromMM)),
		mm(math.Floor(l.ToMM)))
}

// mover is the owner's word for what moves.
func (w *Work) mover() message.Text {
	switch w.Source.Tensioner.Kind {
	case drive.SpringArm:
		return "arm"
	case drive.SpringSlider:
		return "slider"
	}
	return "adjuster"
}

func (w *Work) moveWords(v float64) string {
	if w.Source.Tensioner.Kind.Swings() {
		return fmt.Sprintf("%.0f°", math.Abs(v))
	}
	return mm(math.Abs(v))
}

// slipWords says what slips first, or what is missing to say so.
func (b *Run) slipWords(a *Answer) []message.Text {
	var stops, slips message.Text
	if a.At != nil && a.Code != CannotTurn {
		stops = message.Of("At %.0f rpm it cannot run: %s.", a.At.RPM, runwords.Text(a.At.Refused))
	}
	switch s := a.Slips; {
	case a.Untold != nil && a.Untold.Refusal != nil:
		slips = message.Of("What slips first cannot be said: %s.", runwords.Text(a.Untold.Refusal))
	case s == nil:
	case s.LoadFactor < 1:
		slips = message.Of("At %.0f rpm the %s slips: it would hold only %s.", s.DriverRPM, s.Pulley,
			loadTimes(s.LoadFactor))
	default:
		slips = message.Of("The %s slips first, at %.0f rpm and %s.", s.Pulley, s.DriverRPM, loadTimes(s.LoadFactor))
	}
	return []message.Text{stops, slips}
}

// loadTimes says a factor on the loads.
func loadTimes(f float64) message.Text { return message.Of("%.2g times the loads given", f) }

// speedNames name the engine speeds.
var speedNames = map[Code]message.Text{Idle: "idle", Usual: "usual", Highest: "highest", Asked: "asked"}

// Name says which speed it is.
func (st *State) Name() message.Text {
	if st.Assumed {
		return message.Of("%s, taken as %.0f rpm", speedNames[st.Code], st.RPM)
	}
	return speedNames[st.Code]
}

// SlipWords says what slips first at this speed, or why it cannot be.
func (st *State) SlipWords() message.Text {
	switch {
	case st.Refused != nil:
		return message.Of("At %.0f rpm it cannot run: %s.", st.RPM, runwords.Text(st.Refused))
	case st.Slip == nil:
		return ""
	case st.Slip.Never:
		return message.Of("At %.0f rpm nothing slips, at up to %.0f times the loads.", st.RPM, st.Slip.LoadFactor)
	}
	return message.Of("At %.0f rpm the %s slips first, at %s.", st.RPM, st.Slip.Pulley, loadTimes(st.Slip.LoadFactor))
}

// Wrong lists what else is wrong with a run that cannot be, beyond the
// headline.
func (w *Work) Wrong() []message.Text {
	var out []message.Text
	for _, r := range w.Refused[min(1, len(w.Refused)):] {
		out = append(out, say.Sentence(runwords.Whole(r)))
	}
	return out
}

// Else lists what else would put a run right that cannot be, beyond the
// headline.
func (w *Work) Else() []message.Text {
	var out []message.Text
	if len(w.Refused) > 0 {
		all := w.Refused[0].Suggestions
		for i := range all[min(1, len(all)):] {
			out = append(out, say.Sentence(runwords.Suggestion(&all[i+1])))
		}
	}
	return out
}

// WarningWords says which limits are passed, those of one sort together.
func (w *Work) WarningWords() []message.Text {
	var out []message.Text
	if s := w.Hardly(); s != "" {
		out = append(out, s)
	}
	for _, p := range w.Passed() {
		s, unit := say.Capital(runwords.Warning(p.Kind)), runwords.WarningUnit(p.Kind)
		who := make([]message.Text, len(p.By))
		for i, by := range p.By {
			who[i] = message.Of("%s %s", by.Pulley, plainFigure(by.Value)+unit)
		}
		if len(who) > 0 {
			s = message.Of("%s: %s", s, told.Listing(who))
		}
		if p.Limit != 0 {
			s = message.Of("%s; limit %s", s, plainFigure(p.Limit)+unit)
		}
		out = append(out, message.Of("%s (%s).", s, p.Source))
	}
	return out
}

// Hardly names the pulleys that the belt hardly touches.
func (w *Work) Hardly() message.Text {
	var who []message.Text
	for _, p := range w.Untouched() {
		who = append(who, message.Of("the %s (%.0f°)", p.Name, p.WrapDeg))
	}
	if len(who) == 0 {
		return ""
	}
	return message.Of("The belt hardly touches %s: check whether it runs there on the ribs or on the back, and the "+
		"order of travel.", told.Listing(who))
}

// plainFigure writes a figure to what matters.
func plainFigure(v float64) string {
	if math.Abs(v) >= 100 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.4g", v)
}

// SlipWords says from which engine speed on a pulley slips with the loads as
// given; empty where none does.
func (w *Work) SlipWords() message.Text {
	if w.SlipsFrom == nil {
		return ""
	}
	return message.Of("With the loads as given the %s slips at %.0f rpm.", w.SlipsFrom.Pulley, w.SlipsFrom.DriverRPM)
}

// LengthWords says how long the belt line is, by both lines.
func (b *Run) LengthWords() message.Text {
	s := b.Source.Belt.Section
	if b.toothed() {
		return ""
	}
	cord := message.Of("cord %.1f mm outside the effective line", s.LineMM)
	if s.LineMM < 0 {
		cord = message.Of("cord %.1f mm inside the effective line", -s.LineMM)
	}
	if s.OtherLine != 0 && s.OtherLine != s.LineMM {
		cord = message.Of("%s; %.1f mm would make it %.1f mm", cord, s.OtherLine,
			b.Layout.EffectiveMM+2*math.Pi*s.OtherLine)
	}
	return message.Of("Effective length %.1f mm, pitch length %.1f mm (%s).", b.Layout.EffectiveMM, b.Layout.PitchMM,
		cord)
}

// FitWords says how far the tensioner can go either way; empty where that is
// not known, or nothing of the run was measured.
func (b *Run) FitWords() []message.Text {
	if b.Fit == nil || b.Run.Typical || !b.moves() {
		return nil
	}
	unit := b.unit()
	out := []message.Text{
		message.Of("It stands %s from where it is drawn; %s to its %s (%.1f mm of belt), %s to its %s (%.1f mm).",
			signed(b.Fit.Position, unit), move(b.Fit.Take.Move, unit), runwords.End(&b.Fit.Take), b.Fit.Take.BeltMM,
			move(b.Fit.Fitting.Move, unit), runwords.End(&b.Fit.Fitting), b.Fit.Fitting.BeltMM),
	}
	if r := b.fitting(); r != "" && b.NoFit == nil {
		out = append(out, message.Of("%s (%.0f mm either way, from memory).", r, b.Lengths.ToleranceMM))
	}
	return out
}

func signed(v float64, unit string) string {
	if math.Abs(v) < 0.05 {
		v = 0
	}
	if unit == "°" {
		return fmt.Sprintf("%+.1f°", v)
	}
	return fmt.Sprintf("%+.1f mm", v)
}

func signedMM(v float64) string { return fmt.Sprintf("%+.1f mm", v) }

// mm writes a length to the millimetre, grouped as elsewhere.
func mm(v float64) string { return units.Format(v, "mm", 0) }

// LifeWords writes a bearing life to two figures: it is no better than that.
func LifeWords(hours float64) message.Text {
	if hours <= 0 {
		return "none"
	}
	step := math.Pow(10, math.Floor(math.Log10(hours))-1)
	return message.Of("%.0f h", math.Round(hours/step)*step)
}
