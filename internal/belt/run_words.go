package belt

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undertray/drive"
	"undertray/internal/say"
	"undertray/units"
)

// Caution stands before everything that is worked out about a run.
const Caution = "Work on a belt drive only with the engine off and the key out; an electric fan may start by itself. What follows is arithmetic and does not replace the vehicle maker's instructions."

// Headline answers in a sentence or two whether the belt fits and what slips
// first; for a run that cannot be, why not and what would be right. A change
// that was asked about and cannot be comes before how the run stands without it.
func (b *Run) Headline() string {
	if b.Change != nil && len(b.Change.After.Refused) > 0 {
		return b.Change.Headline() + " Without that change: " + say.LowerFirst(b.standing())
	}
	return b.standing()
}

// standing answers for the run as it is.
func (b *Run) standing() string {
	switch {
	case len(b.Refused) > 0:
		return b.refused()
	case b.toothed():
		return fmt.Sprintf("%s: %s along the pitch line as drawn. A toothed belt is ordered by its number of teeth, not by this length.", b.Run.Name, mm(b.Layout.EffectiveMM))
	}
	return b.fits() + b.slips()
}

func (b *Run) refused() string {
	s := fmt.Sprintf("%s cannot be worked out: %s.", b.Run.Name, strings.TrimRight(b.Refused[0].Text, "."))
	return s + remedy(b.Refused[0])
}

// remedy says what would be right.
func remedy(r *drive.Refusal) string {
	if len(r.Suggestions) > 0 {
		return " " + say.Sentence(r.Suggestions[0].Text)
	}
	return " " + say.Sentence(r.Hint)
}

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

func (b *Run) fits() string {
	switch {
	case b.Source.Belt.LengthMM == 0:
		return b.needs()
	case b.Source.Belt.Stretch:
		return fmt.Sprintf("%s is a stretch-fit belt, whose length no published rule checks: compare its part number. The run is %s round, %.1f %% more than the belt's %s.",
			say.Capital(b.belt()), mm(b.Layout.EffectiveMM), b.StretchPercent, mm(b.Source.Belt.LengthMM))
	case b.NoFit != nil:
		return b.misfit()
	case b.Source.Tensioner.Kind == drive.NoTensioner:
		return fmt.Sprintf("%s fits the run as drawn, which needs %s; no pulley is drawn that moves.", say.Capital(b.belt()), mm(b.Layout.EffectiveMM))
	}
	s := fmt.Sprintf("%s fits: the %s stands %s from its %s, about %.0f mm of belt left.", say.Capital(b.belt()), b.mover(),
		b.moveWords(b.Fit.Take.Move), stopWords(b.Fit.Take), b.Fit.Take.BeltMM)
	return s + b.tolerance() + b.marks()
}

// stopWords names what ends a travel.
func stopWords(t drive.Travel) string {
	if t.AtStop {
		return t.Stop
	}
	return "end (" + strings.TrimSuffix(t.Note, ".") + ")"
}

// needs says which belt to ask for where none is known.
func (b *Run) needs() string {
	s := fmt.Sprintf("As drawn the run needs a belt of %s effective length", mm(b.Layout.EffectiveMM))
	if d, ok := drive.Belt(drive.Belt{Section: b.Source.Belt.Section, Ribs: b.Source.Belt.Ribs, LengthMM: b.Layout.EffectiveMM}).Designation(); ok && b.Run.Ribs > 0 {
		s += ", which would be printed " + d.String()
	}
	return s + "." + b.lengths()
}

// lengths says which belts fit.
func (b *Run) lengths() string {
	l := b.Lengths
	if l == nil || b.Source.Tensioner.Kind == drive.NoTensioner {
		return ""
	}
	if l.FromMM > l.ToMM {
		return " No belt fits with its whole tolerance: the tensioner moves too little."
	}
	return fmt.Sprintf(" Belts from %s to %s fit whatever their tolerance.", mm(math.Ceil(l.FromMM)), mm(math.Floor(l.ToMM)))
}

func (b *Run) misfit() string {
	switch b.NoFit.Reason {
	case drive.BeltTooShort, drive.BeltTooLong:
		return fmt.Sprintf("%s does not fit: %s.", say.Capital(b.belt()), b.NoFit.Text) + b.lengths()
	}
	return fmt.Sprintf("Whether %s fits cannot be said: %s.", b.belt(), b.NoFit.Text)
}

// tolerance says so where the belt fits only if it is made well.
func (b *Run) tolerance() string {
	l := b.Lengths
	if l == nil || l.FromMM > l.ToMM {
		return ""
	}
	length := b.Source.Belt.LengthMM
	if length >= l.FromMM && length <= l.ToMM {
		return ""
	}
	which, stop := "short", "fitting stop"
	if length > l.ToMM {
		which, stop = "long", "take-up stop"
	}
	return fmt.Sprintf(" One made at the %s end of its tolerance (%.0f mm, from memory) would pass the %s.", which, l.ToleranceMM, stop)
}

// marks says between which marks the pointer stands.
func (b *Run) marks() string {
	f := b.Fit
	switch {
	case !f.InMarks:
		return " The pointer stands outside its marks."
	case f.Between[0] != "" && f.Between[1] != "":
		return fmt.Sprintf(" The pointer stands between the marks %q and %q.", f.Between[0], f.Between[1])
	}
	return ""
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

// weakest is where slip is nearest, or nil.
func (w *Work) weakest() *drive.SlipPoint {
	if st := w.Hardest(); st != nil {
		return st.Slip
	}
	return nil
}

// slips says what slips first; empty where it is not known.
func (b *Run) slips() string {
	s := b.weakest()
	switch {
	case s == nil:
		return ""
	case s.LoadFactor < 1:
		return fmt.Sprintf(" At %.0f rpm the %s slips: it would hold only %s.", s.DriverRPM, s.Pulley, loadTimes(s.LoadFactor))
	}
	return fmt.Sprintf(" The %s slips first, at %.0f rpm and %s.", s.Pulley, s.DriverRPM, loadTimes(s.LoadFactor))
}

// loadTimes says a factor on the loads.
func loadTimes(f float64) string { return fmt.Sprintf("%.2g times the loads given", f) }

// Hardest is the state in which slip is nearest; nil where no slip is known.
func (w *Work) Hardest() *State {
	var worst *State
	for i := range w.States {
		st := &w.States[i]
		if st.Slip != nil && !st.Slip.Never && (worst == nil || st.Slip.LoadFactor < worst.Slip.LoadFactor) {
			worst = st
		}
	}
	return worst
}

// SlipWords says what slips first at this speed.
func (st *State) SlipWords() string {
	if st.Slip == nil {
		return ""
	}
	if st.Slip.Never {
		return fmt.Sprintf("At %.0f rpm nothing slips, at up to %.0f times the loads.", st.RPM, st.Slip.LoadFactor)
	}
	return fmt.Sprintf("At %.0f rpm the %s slips first, at %s.", st.RPM, st.Slip.Pulley, loadTimes(st.Slip.LoadFactor))
}

// WarningWords says which limits are passed, those of one sort together.
func (w *Work) WarningWords() []string {
	var out, keys []string
	if s := w.Hardly(); s != "" {
		out = append(out, s)
	}
	for _, x := range w.Warnings {
		key := x.Text + x.Source
		if slices.Contains(keys, key) {
			continue
		}
		keys = append(keys, key)
		var who []string
		for _, y := range w.Warnings {
			if y.Text+y.Source == key && y.Pulley != "" {
				who = append(who, fmt.Sprintf("%s %s", y.Pulley, plainFigure(y.Value)))
			}
		}
		s := say.Capital(x.Text)
		if len(who) > 0 {
			s += ": " + say.Listing(who)
		}
		if x.Limit != 0 {
			s += "; limit " + plainFigure(x.Limit)
		}
		out = append(out, s+" ("+x.Source+").")
	}
	return out
}

// leastWrap is the wrap in degrees below which a belt hardly touches a pulley.
const leastWrap = 8

// Hardly names the pulleys that the belt hardly touches: as a rule the wrong
// side was written down.
func (w *Work) Hardly() string {
	var who []string
	for _, p := range w.Layout.Pulleys {
		if p.WrapDeg < leastWrap {
			who = append(who, fmt.Sprintf("the %s (%.0f°)", p.Name, p.WrapDeg))
		}
	}
	if len(who) == 0 {
		return ""
	}
	return "The belt hardly touches " + say.Listing(who) + ": check whether it runs there on the ribs or on the back, and the order of travel."
}

// plainFigure writes a figure to what matters.
func plainFigure(v float64) string {
	if math.Abs(v) >= 100 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.4g", v)
}

// Basis says how it is known.
func (b *Run) Basis() []string {
	var out []string
	if b.Facts.Printed != "" {
		out = append(out, fmt.Sprintf("Belt: %s, %s.", b.Facts.Printed, b.BeltFrom))
	}
	out = append(out, b.Facts.Assumed...)
	if b.Unmeasured != "" {
		out = append(out, say.Sentence(b.Unmeasured)+" Until then the run is worked out as drawn.")
	}
	if len(b.Refused) > 0 || b.toothed() {
		return out
	}
	if _, weighed := b.Source.Belt.MassKgPerM(); !weighed {
		out = append(out, "The belt's mass is an estimate from memory: weigh the belt and add mass.")
	}
	if b.NoForces != "" {
		out = append(out, "Tensions are not worked out: "+strings.TrimRight(b.NoForces, ".")+".")
	} else if len(b.States) > 0 && b.States[0].Forces != nil {
		out = append(out, fmt.Sprintf("Slip is judged with a friction of %.2g, a steady run and a sound belt; wet or glazed ribs have less, and a jerk can slip a belt that this calls safe.", b.States[0].Forces.Mu))
	}
	return out
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
	text := fmt.Sprintf("Effective length %.1f mm, pitch length %.1f mm (cord %.1f mm outside the effective line", b.Layout.EffectiveMM, b.Layout.PitchMM, s.LineMM)
	if s.LineMM < 0 {
		text = fmt.Sprintf("Effective length %.1f mm, pitch length %.1f mm (cord %.1f mm inside the effective line", b.Layout.EffectiveMM, b.Layout.PitchMM, -s.LineMM)
	}
	if s.OtherLine != 0 && s.OtherLine != s.LineMM {
		text += fmt.Sprintf("; %.1f mm would make it %.1f mm", s.OtherLine, b.Layout.EffectiveMM+2*math.Pi*s.OtherLine)
	}
	return text + ")."
}

// FitWords says how far the tensioner can go either way; empty where that is
// not known.
func (b *Run) FitWords() []string {
	if b.Fit == nil || b.Source.Tensioner.Kind == drive.NoTensioner {
		return nil
	}
	unit := b.unit()
	out := []string{
		fmt.Sprintf("It stands %s from where it is drawn; %s to its %s (%.1f mm of belt), %s to its %s (%.1f mm).",
			signed(b.Fit.Position, unit), move(b.Fit.Take.Move, unit), stopWords(b.Fit.Take), b.Fit.Take.BeltMM,
			move(b.Fit.Fitting.Move, unit), stopWords(b.Fit.Fitting), b.Fit.Fitting.BeltMM),
	}
	if r := b.lengths(); r != "" && b.NoFit == nil {
		out = append(out, strings.TrimRight(strings.TrimSpace(r), ".")+fmt.Sprintf(" (%.0f mm either way, from memory).", b.Lengths.ToleranceMM))
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

// fold makes names comparable whatever their case, spaces and hyphens.
func fold(s string) string {
	return strings.ToLower(strings.NewReplacer(" ", "", "-", "", "_", "").Replace(s))
}

// LifeWords writes a bearing life to two figures: it is no better than that.
func LifeWords(hours float64) string {
	if hours <= 0 {
		return "none"
	}
	step := math.Pow(10, math.Floor(math.Log10(hours))-1)
	return fmt.Sprintf("%.0f h", math.Round(hours/step)*step)
}
