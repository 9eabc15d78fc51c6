package belt

import (
	"fmt"
	"math"
	"strings"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// Caution stands before everything that is worked out about a run.
const Caution = "Work on a belt drive only with the engine off and the key out; an electric fan may start by " +
	"itself. What follows is arithmetic and does not replace the vehicle maker's instructions."

// LifeCaution stands beside every bearing life.
const LifeCaution = "L10 is when one bearing in ten of a large number has failed by fatigue under this constant " +
	"load, " +
	"clean and lubricated. Sealed idler and alternator bearings usually end earlier, by grease or water. " +
	"It is not remaining life."

// Headline answers what was asked: what a change comes to where one was asked
// about, otherwise how the run is.
func (b *Run) Headline() string { return say.Head(b.Told()) }

// Told is the headline and what else there is to it, a sentence each.
func (b *Run) Told() []string {
	if b.Change == nil {
		return b.asItIs()
	}
	told := b.Change.Told()
	if b.Run.Typical {
		told = append(told, typicalHead)
	}
	return told
}

// AsItIs says whether the belt fits the run as it is and what slips first; for a
// run that cannot be, why not and what would be right.
func (b *Run) AsItIs() string { return strings.Join(b.asItIs(), " ") }

func (b *Run) asItIs() []string {
	a := b.Answer()
	switch a.Code {
	case CannotBe:
		r := b.Refused[0]
		return say.Told(say.Short(b.Run.Name+" cannot be worked out.", "This run cannot be worked out."),
			say.Sentence(runwords.Text(r)), say.Sentence(runwords.Remedy(r)))
	case Toothed:
		return []string{"Along its pitch line the belt is " + mm(b.Layout.EffectiveMM) + " as drawn.",
			"A toothed belt is ordered by its number of teeth, not by this length."}
	}
	if b.Run.Typical {
		return []string{typicalHead, "Typical pulleys stand in for yours, in their usual order: " +
			mm(b.Layout.EffectiveMM) + " round. No belt is judged by them."}
	}
	told := b.fitWords(&a)
	if s := a.Slips; s != nil && s.LoadFactor < 1 && a.Code == Fits && a.Untold == nil {
		told[0] = say.Short(strings.TrimRight(told[0], ".")+fmt.Sprintf(", but the %s slips.", s.Pulley), told[0])
	}
	return say.Told(append(told, b.slipWords(&a)...)...)
}

// typicalHead says of a run that nobody measured what it is not good for.
const typicalHead = "Nothing of this run is measured: measure yours before you buy a belt."

// belt names the belt.
func (b *Run) belt() string {
	if b.Facts.Printed != "" {
		return "the " + b.Facts.Printed
	}
	if l := b.Source.Belt.LengthMM; l > 0 {
		return "the belt of " + mm(l)
	}
	return "the belt"
}

// fitWords says in a headline whether the belt fits, then how far.
func (b *Run) fitWords(a *Answer) []string {
	belt := say.Capital(b.belt())
	switch a.Code {
	case NeedsBelt:
		return b.needs()
	case StretchFit:
		return []string{belt + " is a stretch-fit belt: compare its part number.",
			fmt.Sprintf("No published rule checks its length: the run is %s round, %.1f %% more than the belt's %s.",
				mm(b.Layout.EffectiveMM), b.StretchPercent, mm(b.Source.Belt.LengthMM))}
	case TooShort, TooLong:
		return []string{belt + " does not fit.", say.Sentence(runwords.Text(b.NoFit)), b.lengths()}
	case NotSaid:
		return []string{fmt.Sprintf("Whether %s fits cannot be said.", b.belt()), say.Sentence(runwords.Text(b.NoFit))}
	case FitsDrawn:
		return []string{belt + " fits the run as drawn.",
			fmt.Sprintf("It needs %s; no pulley is drawn that moves.", mm(b.Layout.EffectiveMM))}
	case CannotTurn:
		return append([]string{fmt.Sprintf("At %.0f rpm %s cannot run.", a.At.RPM, b.belt()),
			say.Sentence(runwords.Text(a.At.Refused)),
			"By its length alone it would do: " + b.stands() + "."}, b.closer(a)...)
	}
	return append([]string{fmt.Sprintf("%s fits, with about %.0f mm of belt left.", belt, b.Fit.Take.BeltMM),
		say.Sentence(b.stands())}, b.closer(a)...)
}

// stands says where the tensioner stands with the belt on.
func (b *Run) stands() string {
	if !b.moves() {
		return "the run as drawn needs " + mm(b.Layout.EffectiveMM)
	}
	return fmt.Sprintf("the %s stands %s from its %s", b.mover(), b.moveWords(b.Fit.Take.Move),
		runwords.End(&b.Fit.Take))
}

// closer says whether a belt made badly would fit as well, and how the pointer
// stands.
func (b *Run) closer(a *Answer) []string {
	made, pointer := "", ""
	switch a.Made {
	case ShortEnd:
		made = fmt.Sprintf("One made at the short end of its tolerance (%.0f mm, from memory) would pass the "+
			"fitting stop.", b.Lengths.ToleranceMM)
	case LongEnd:
		made = fmt.Sprintf("One made at the long end of its tolerance (%.0f mm, from memory) would pass the take-up "+
			"stop.", b.Lengths.ToleranceMM)
	}
	switch a.Pointer {
	case OffMarks:
		pointer = "The pointer stands outside its marks."
	case InMarks:
		pointer = fmt.Sprintf("The pointer stands between the marks %q and %q.", b.Fit.Between[0], b.Fit.Between[1])
	}
	return []string{made, pointer}
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
func (b *Run) needs() []string {
	printed := ""
	if s := b.ToBuy(); s != "" {
		printed = "It would be printed " + s + "."
	}
	return []string{fmt.Sprintf("As drawn the run needs a belt of %s effective length.", mm(b.Layout.EffectiveMM)),
		printed, b.lengths()}
}

// lengths says which belts fit; empty where that is not known.
func (b *Run) lengths() string {
	if s := b.fitting(); s != "" {
		return s + "."
	}
	return ""
}

func (b *Run) fitting() string {
	l := b.Lengths
	if l == nil || !b.moves() {
		return ""
	}
	if l.FromMM > l.ToMM {
		return "No belt fits with its whole tolerance: the tensioner moves too little"
	}
	return fmt.Sprintf("Belts from %s to %s fit whatever their tolerance", mm(math.Ceil(l.FromMM)),
		mm(math.Floor(l.ToMM)))
}

// mover is the owner's word for what moves.
func (w *Work) mover() string {
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
func (b *Run) slipWords(a *Answer) []string {
	stops, slips := "", ""
	if a.At != nil && a.Code != CannotTurn {
		stops = fmt.Sprintf("At %.0f rpm it cannot run: %s.", a.At.RPM, runwords.Text(a.At.Refused))
	}
	switch s := a.Slips; {
	case a.Untold != nil && a.Untold.Refusal != nil:
		slips = fmt.Sprintf("What slips first cannot be said: %s.", runwords.Text(a.Untold.Refusal))
	case s == nil:
	case s.LoadFactor < 1:
		slips = fmt.Sprintf("At %.0f rpm the %s slips: it would hold only %s.", s.DriverRPM, s.Pulley,
			loadTimes(s.LoadFactor))
	default:
		slips = fmt.Sprintf("The %s slips first, at %.0f rpm and %s.", s.Pulley, s.DriverRPM, loadTimes(s.LoadFactor))
	}
	return []string{stops, slips}
}

// loadTimes says a factor on the loads.
func loadTimes(f float64) string { return fmt.Sprintf("%.2g times the loads given", f) }

// Name says which speed it is.
func (st *State) Name() string {
	if st.Assumed {
		return fmt.Sprintf("%s, taken as %.0f rpm", st.Code, st.RPM)
	}
	return string(st.Code)
}

// SlipWords says what slips first at this speed, or why it cannot be.
func (st *State) SlipWords() string {
	switch {
	case st.Refused != nil:
		return fmt.Sprintf("At %.0f rpm it cannot run: %s", st.RPM, runwords.Text(st.Refused)) + "."
	case st.Slip == nil:
		return ""
	case st.Slip.Never:
		return fmt.Sprintf("At %.0f rpm nothing slips, at up to %.0f times the loads.", st.RPM, st.Slip.LoadFactor)
	}
	return fmt.Sprintf("At %.0f rpm the %s slips first, at %s.", st.RPM, st.Slip.Pulley, loadTimes(st.Slip.LoadFactor))
}

// Wrong lists what else is wrong with a run that cannot be, beyond the
// headline.
func (w *Work) Wrong() []string {
	var out []string
	for i, r := range w.Refused {
		if i > 0 {
			out = append(out, say.Sentence(runwords.Whole(r)))
		}
	}
	return out
}

// Else lists what else would put a run right that cannot be, beyond the
// headline.
func (w *Work) Else() []string {
	var out []string
	if len(w.Refused) > 0 {
		for i, s := range w.Refused[0].Suggestions {
			if i > 0 {
				out = append(out, say.Sentence(runwords.Suggestion(&s)))
			}
		}
	}
	return out
}

// WarningWords says which limits are passed, those of one sort together.
func (w *Work) WarningWords() []string {
	var out []string
	if s := w.Hardly(); s != "" {
		out = append(out, s)
	}
	for _, p := range w.Passed() {
		s, unit := say.Capital(runwords.Warning(p.Kind)), runwords.WarningUnit(p.Kind)
		who := make([]string, len(p.By))
		for i, by := range p.By {
			who[i] = by.Pulley + " " + plainFigure(by.Value) + unit
		}
		if len(who) > 0 {
			s += ": " + say.Listing(who)
		}
		if p.Limit != 0 {
			s += "; limit " + plainFigure(p.Limit) + unit
		}
		out = append(out, s+" ("+p.Source+").")
	}
	return out
}

// Hardly names the pulleys that the belt hardly touches.
func (w *Work) Hardly() string {
	var who []string
	for _, p := range w.Untouched() {
		who = append(who, fmt.Sprintf("the %s (%.0f°)", p.Name, p.WrapDeg))
	}
	if len(who) == 0 {
		return ""
	}
	return "The belt hardly touches " + say.Listing(who) +
		": check whether it runs there on the ribs or on the back, and the order of travel."
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
func (w *Work) SlipWords() string {
	if w.SlipsFrom == nil {
		return ""
	}
	return fmt.Sprintf("With the loads as given the %s slips at %.0f rpm.", w.SlipsFrom.Pulley, w.SlipsFrom.DriverRPM)
}

// LengthWords says how long the belt line is, by both lines.
func (b *Run) LengthWords() string {
	s := b.Source.Belt.Section
	if b.toothed() {
		return ""
	}
	text := fmt.Sprintf("Effective length %.1f mm, pitch length %.1f mm (cord %.1f mm outside the effective line",
		b.Layout.EffectiveMM, b.Layout.PitchMM, s.LineMM)
	if s.LineMM < 0 {
		text = fmt.Sprintf("Effective length %.1f mm, pitch length %.1f mm (cord %.1f mm inside the effective line",
			b.Layout.EffectiveMM, b.Layout.PitchMM, -s.LineMM)
	}
	if s.OtherLine != 0 && s.OtherLine != s.LineMM {
		text += fmt.Sprintf("; %.1f mm would make it %.1f mm", s.OtherLine, b.Layout.EffectiveMM+2*math.Pi*s.OtherLine)
	}
	return text + ")."
}

// FitWords says how far the tensioner can go either way; empty where that is
// not known, or nothing of the run was measured.
func (b *Run) FitWords() []string {
	if b.Fit == nil || b.Run.Typical || !b.moves() {
		return nil
	}
	unit := b.unit()
	out := []string{
		fmt.Sprintf("It stands %s from where it is drawn; %s to its %s (%.1f mm of belt), %s to its %s (%.1f mm).",
			signed(b.Fit.Position, unit), move(b.Fit.Take.Move, unit), runwords.End(&b.Fit.Take), b.Fit.Take.BeltMM,
			move(b.Fit.Fitting.Move, unit), runwords.End(&b.Fit.Fitting), b.Fit.Fitting.BeltMM),
	}
	if r := b.fitting(); r != "" && b.NoFit == nil {
		out = append(out, r+fmt.Sprintf(" (%.0f mm either way, from memory).", b.Lengths.ToleranceMM))
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
func LifeWords(hours float64) string {
	if hours <= 0 {
		return "none"
	}
	step := math.Pow(10, math.Floor(math.Log10(hours))-1)
	return fmt.Sprintf("%.0f h", math.Round(hours/step)*step)
}
