package belt

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undertray/drive"
	"undertray/internal/advise"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/units"
)

// runFindings returns what was found at the run's belt and pulleys and says
// something about it, as judged.
func runFindings(r *advise.Report, run *fleet.Run) []Finding {
	var out []Finding
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if !run.Has(j.Position.ID) {
			continue
		}
		var seen []string
		for _, reason := range j.Reasons {
			if reason.Finding == nil || reason.Check.Run == "" || slices.Contains(seen, reason.Check.ID) {
				continue
			}
			seen = append(seen, reason.Check.ID)
			out = append(out, Finding{Position: j.Position.ID, Name: j.Position.Name, Verdict: reason.Verdict, Words: advise.ReasonWords(reason)})
		}
	}
	return out
}

// value returns the figure found at the run's belt that tells something of the
// run, or nil.
func value(r *advise.Report, b *Run, tells string, d units.Dimension) *units.Quantity {
	j := r.Judgement(b.Run.Belt)
	if j == nil || j.Place == nil {
		return nil
	}
	i := slices.IndexFunc(j.Kind.Checks, func(c catalogue.Check) bool { return c.Run == tells })
	if i < 0 {
		return nil
	}
	f := j.Place.Latest[j.Kind.Checks[i].ID]
	if f == nil || f.Value == nil || f.Value.Dimension() != d {
		return nil
	}
	return f.Value
}

// OffsetWords judges an offset that was found over the spans of the run.
type OffsetWords struct {
	MM     float64
	Short  drive.Leg
	Long   drive.Leg
	Limits []drive.AlignmentLimit
}

// offset judges the offset found between pulleys of the run: as the finding
// does not say over which span, over the shortest and the longest.
func offset(r *advise.Report, b *Run) *OffsetWords {
	q := value(r, b, catalogue.RunOffset, units.Length)
	if q == nil || len(b.Layout.Spans) == 0 {
		return nil
	}
	o := &OffsetWords{MM: q.Base(), Short: b.Layout.Spans[0], Long: b.Layout.Spans[0], Limits: drive.AlignmentLimits(b.Source.Belt.Section.Family)}
	for _, s := range b.Layout.Spans {
		if s.LengthMM < o.Short.LengthMM {
			o.Short = s
		}
		if s.LengthMM > o.Long.LengthMM {
			o.Long = s
		}
	}
	return o
}

// Words says what the offset means.
func (o *OffsetWords) Words() string {
	s := fmt.Sprintf("An offset of %.1f mm is %.2f° over the shortest span (%s to %s, %s) and %.2f° over the longest (%s to %s, %s).",
		o.MM, drive.AngleDeg(o.MM, o.Short.LengthMM), o.Short.Leaves, o.Short.Reaches, mm(o.Short.LengthMM),
		drive.AngleDeg(o.MM, o.Long.LengthMM), o.Long.Leaves, o.Long.Reaches, mm(o.Long.LengthMM))
	parts := make([]string, len(o.Limits))
	for i, l := range o.Limits {
		parts[i] = fmt.Sprintf("%g° (%s; %.1f mm over the shortest span)", l.Deg, l.Source, drive.OffsetMM(l.Deg, o.Short.LengthMM))
	}
	if len(parts) > 0 {
		s += " Limits: " + strings.Join(parts, "; ") + "."
	}
	return s
}

// WearWords relates rib wear and the place of the tensioner.
type WearWords struct {
	From    string // "the arm", "the share of rib lost"
	Wear    drive.Wear
	Percent float64 // rib lost, where that was found
	Unit    string  // degrees or mm
}

// wearFromArm reads rib wear from where the tensioner was seen to stand.
func (b *Run) wearFromArm(q Question) error {
	if q.Arm == nil {
		return nil
	}
	if b.Fit == nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: "arm", Msg: "where the tensioner stands says nothing while it is not known where this belt puts it when new",
			Hint: "give the belt's designation, and a tensioner with its pivot and stops"}
	}
	within := q.ArmError
	if within == 0 {
		within = 1
	}
	w, err := b.Drive.WearFrom(b.Fit.Position, *q.Arm, within)
	if err != nil {
		return invalidRun("arm", err)
	}
	b.Wear = &WearWords{From: "arm", Wear: w, Unit: b.unit()}
	return nil
}

// ribLoss says where the tensioner must stand when a share of the rib was
// found to be gone.
func ribLoss(r *advise.Report, b *Run) {
	q := value(r, b, catalogue.RunRibShare, units.Percent)
	if q == nil || b.Wear != nil || b.Fit == nil || b.Source.Belt.Section.Name != drive.PK().Name {
		return
	}
	flank := drive.RibModel{}.FlankMM(q.Base()/100, b.Source.Belt.Section.GrooveDeg)
	if w, err := b.Drive.WearMoves(flank, 0); err == nil {
		b.Wear = &WearWords{From: "ribs", Wear: w, Percent: q.Base(), Unit: b.unit()}
	}
}

// Words says what the wear means.
func (w *WearWords) Words() string {
	if w.From == "ribs" {
		return fmt.Sprintf("With %.0f %% of the ribs gone the belt sits %.2f mm deeper, %.1f mm of belt are free, and the tensioner stands %s further on; %s are left to its take-up stop.",
			w.Percent, w.Wear.SinkMM, w.Wear.SlackMM, move(w.Wear.Moved, w.Unit), move(w.Wear.Left, w.Unit))
	}
	if w.Wear.TopSink == 0 {
		return "The tensioner stands where a new belt puts it, or before: nothing can be said of wear."
	}
	return fmt.Sprintf("The tensioner has moved %s since the belt was new: the belt sits %.2f mm deeper (%.2f to %.2f), about %.0f %% of the ribs gone if all of it is wear; %s are left to its take-up stop. A stretched cord, another belt or a worn arm bush look the same.",
		move(w.Wear.Moved, w.Unit), w.Wear.SinkMM, w.Wear.LowSink, w.Wear.TopSink, w.Wear.Share*100, move(w.Wear.Left, w.Unit))
}

// unit is what the tensioner's travel is measured in.
func (w *Work) unit() string {
	if w.Source.Tensioner.Kind.Swings() {
		return "°"
	}
	return "mm"
}

func move(v float64, unit string) string {
	if unit == "°" {
		return fmt.Sprintf("%.1f°", math.Abs(v))
	}
	return fmt.Sprintf("%.1f mm", math.Abs(v))
}
