package belt

import (
	"slices"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
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
			out = append(out, Finding{Position: j.Position.ID, Name: j.Position.Name, Reason: reason})
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

// Offset judges an offset that was found over the spans of the run.
type Offset struct {
	MM     float64
	Short  drive.Leg
	Long   drive.Leg
	Limits []drive.AlignmentLimit
}

// offset judges the offset found between pulleys of the run: as the finding
// does not say over which span, over the shortest and the longest.
func offset(r *advise.Report, b *Run) *Offset {
	q := value(r, b, catalogue.RunOffset, units.Length)
	if q == nil || len(b.Layout.Spans) == 0 {
		return nil
	}
	o := &Offset{MM: q.Base(), Short: b.Layout.Spans[0], Long: b.Layout.Spans[0],
		Limits: drive.AlignmentLimits(b.Source.Belt.Section.Family)}
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

// Wear relates rib wear and the place of the tensioner.
type Wear struct {
	Code    Code // Worn, NoWear or RibsGone
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
		return &fleet.Error{Kind: fleet.Invalid, Where: "arm",
			Msg:  "where the tensioner stands says nothing while it is not known where this belt puts it when new",
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
	b.Wear = &Wear{Code: Worn, Wear: w, Unit: b.unit()}
	if w.TopSink == 0 {
		b.Wear.Code = NoWear
	}
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
		b.Wear = &Wear{Code: RibsGone, Wear: w, Percent: q.Base(), Unit: b.unit()}
	}
}
