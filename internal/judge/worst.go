package judge

import (
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
)

// Worst is the worst verdict that any limit gives a finding on a part that is,
// or was, at a place: what the answer tells of the part's condition, whomever
// the owner follows.
func Worst(check *catalogue.Check, place *fleet.Place, part *fleet.Part, f *fleet.Finding) fleet.Verdict {
	measured := f.Value
	if check.Of != "" && measured != nil {
		measured = share(*measured, part.Spec.Spec, check.Of)
	}
	worst := fleet.Keep
	for l := range limitsOn(check, place.Position, part) {
		if holds, _ := meets(l, f.Answer, f.Value, measured); holds {
			worst = max(worst, l.Verdict)
		}
	}
	return worst
}
