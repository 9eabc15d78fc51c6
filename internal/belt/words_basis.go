package belt

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say/told"
)

// Words says where the belt is known from.
func (k Known) Words() message.Text {
	switch k.Code {
	case InSheet:
		return "named in the sheet"
	case InFile:
		return "named in the file"
	case Fitted:
		return message.Of("fitted %s", told.Long(k.On))
	case Asked:
		return "asked about"
	}
	return ""
}

// Words says what is doubtful.
func (d Doubt) Words() message.Text {
	if d.Code == OtherGrooves {
		return message.Of("A %s belt needs other grooves than the %s belt of this run.", d.Section, d.Was)
	}
	return message.Of("It has %g ribs, the belt of this run %g: see that it fills the grooves, no more and no "+
		"fewer than the maker asks for.", d.Ribs, d.WasRibs)
}

// Words says why no tensions are worked out, without a full stop.
func (u *Untold) Words() message.Text {
	if u == nil {
		return ""
	}
	if u.Code == NoSlip {
		return "a toothed belt does not slip; its tension is set by the maker's procedure"
	}
	return runwords.Whole(u.Refusal)
}

// Basis says how it is known.
func (b *Run) Basis() []message.Text {
	out := b.beltBasis()
	if b.Run.Typical {
		out = append(out, "Its pulleys are typical, not measured: speeds, tensions and lengths are those of such "+
			"runs, not of yours.")
	}
	if b.Unmeasured != "" {
		out = append(out, message.Of("%s Until then the run is worked out as drawn.",
			message.Name(b.Unmeasured).Sentence()))
	}
	if len(b.Refused) > 0 || b.toothed() {
		return out
	}
	if _, weighed := b.Source.Belt.MassKgPerM(); !weighed {
		out = append(out, "The belt's mass is an estimate from memory: weigh the belt and add mass.")
	}
	if b.Untold != nil {
		out = append(out, message.Of("Tensions are not worked out: %s.", b.Untold.Words()))
	} else if len(b.States) > 0 && b.States[0].Forces != nil {
		out = append(out, message.Of("Slip is judged with a friction of %.2g, a steady run and a sound belt; wet "+
			"or glazed ribs have less, and a jerk can slip a belt that this calls safe.", b.States[0].Forces.Mu))
	}
	return out
}

// beltBasis says where the belt is known from and what was taken to be so.
func (b *Run) beltBasis() []message.Text {
	var out []message.Text
	if b.Facts.Printed != "" {
		out = append(out, message.Of("Belt: %s, %s.", b.Facts.Printed, b.Known.Words()))
	}
	if b.Facts.Section != "" {
		out = append(out, message.Of("No designation is known: a %s belt is assumed.", b.Facts.Section))
	}
	if b.Facts.Ribs > 0 {
		out = append(out, message.Of("The number of ribs is not known: %d are assumed for the belt's mass.",
			b.Facts.Ribs))
	}
	for _, d := range b.Doubts {
		out = append(out, d.Words())
	}
	return out
}
