package belt

import (
	"fmt"

	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
)

// Words says where the belt is known from.
func (k Known) Words() string {
	switch k.Code {
	case InSheet:
		return "named in the sheet"
	case InFile:
		return "named in the file"
	case Fitted:
		return "fitted " + k.On.Long()
	case Asked:
		return "asked about"
	}
	return ""
}

// Words says what is doubtful.
func (d Doubt) Words() string {
	if d.Code == OtherGrooves {
		return fmt.Sprintf("A %s belt needs other grooves than the %s belt of this run.", d.Section, d.Was)
	}
	return fmt.Sprintf("It has %g ribs, the belt of this run %g: see that it fills the grooves, no more and no "+
		"fewer than the maker asks for.", d.Ribs, d.WasRibs)
}

// Words says why no tensions are worked out, without a full stop.
func (u *Untold) Words() string {
	if u == nil {
		return ""
	}
	if u.Code == NoSlip {
		return "a toothed belt does not slip; its tension is set by the maker's procedure"
	}
	return runwords.Whole(u.Refusal)
}

// Basis says how it is known.
func (b *Run) Basis() []string {
	out := b.beltBasis()
	if b.Run.Typical {
		out = append(out, "Its pulleys are typical, not measured: speeds, tensions and lengths are those of such "+
			"runs, not of yours.")
	}
	if b.Unmeasured != "" {
		out = append(out, say.Sentence(b.Unmeasured)+" Until then the run is worked out as drawn.")
	}
	if len(b.Refused) > 0 || b.toothed() {
		return out
	}
	if _, weighed := b.Source.Belt.MassKgPerM(); !weighed {
		out = append(out, "The belt's mass is an estimate from memory: weigh the belt and add mass.")
	}
	if b.Untold != nil {
		out = append(out, "Tensions are not worked out: "+b.Untold.Words()+".")
	} else if len(b.States) > 0 && b.States[0].Forces != nil {
		out = append(out, fmt.Sprintf("Slip is judged with a friction of %.2g, a steady run and a sound belt; wet "+
			"or glazed ribs have less, and a jerk can slip a belt that this calls safe.", b.States[0].Forces.Mu))
	}
	return out
}

// beltBasis says where the belt is known from and what was taken to be so.
func (b *Run) beltBasis() []string {
	var out []string
	if b.Facts.Printed != "" {
		out = append(out, fmt.Sprintf("Belt: %s, %s.", b.Facts.Printed, b.Known.Words()))
	}
	if b.Facts.Section != "" {
		out = append(out, "No designation is known: a "+b.Facts.Section+" belt is assumed.")
	}
	if b.Facts.Ribs > 0 {
		out = append(out, fmt.Sprintf("The number of ribs is not known: %d are assumed for the belt's mass.",
			b.Facts.Ribs))
	}
	for _, d := range b.Doubts {
		out = append(out, d.Words())
	}
	return out
}
