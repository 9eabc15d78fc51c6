package advise

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// Meaning is what one answer to one check means on a part nobody has recorded
// anything else about.
type Meaning struct {
	Kind      *catalogue.Kind
	Check     *catalogue.Check
	Finding   *fleet.Finding
	Judgement judge.Judgement
	With      []catalogue.With // what would go along with it on any vehicle
}

// WhatItMeans judges a finding on a bare part of a kind and material, under a
// stance. The finding must answer the check; package record says whether it
// does.
func WhatItMeans(cat *catalogue.Catalogue, k *catalogue.Kind, part fleet.PartSpec, f *fleet.Found, stance fleet.Stance,
	on civil.Date) *Meaning {
	f.Position = "part"
	v := &fleet.Vehicle{ID: "bench", Name: "the bench", Stance: stance, Built: on,
		Positions: []fleet.Position{{ID: f.Position, Name: k.Name, Kind: k.ID, From: fleet.Above, Part: part}}}
	entries := []*fleet.Entry{
		{ID: "1", Type: fleet.TypeFitted, Vehicle: v.ID, Date: on,
			Fitted: &fleet.Fitted{Position: f.Position, Part: part}},
		{ID: "2", Type: fleet.TypeFound, Vehicle: v.ID, Date: on, Found: f},
	}
	js := judge.Vehicle(judge.Input{Catalogue: cat, State: fleet.Fold(v, entries, on)})
	m := &Meaning{Kind: k, Check: k.Check(f.Check), Judgement: js[0]}
	m.Finding = js[0].Place.Latest[f.Check]
	if js[0].Verdict >= fleet.Watch {
		m.With = judge.Advised(&js[0])
	}
	return m
}

// Seen is what each drawn answer to the checks of a kind means on a bare part of it,
// check by check; the strictest authority governs.
func Seen(cat *catalogue.Catalogue, k *catalogue.Kind, on civil.Date) []*Meaning {
	var out []*Meaning
	for i := range k.Checks {
		for _, a := range k.Checks[i].Answers {
			if a.Plate != "" {
				found := &fleet.Found{Check: k.Checks[i].ID, Answer: a.ID}
				out = append(out, WhatItMeans(cat, k, fleet.PartSpec{}, found, fleet.Strictest, on))
			}
		}
	}
	return out
}

// Meanings is what each answer to a check means at a position by itself, see
// [judge.Input.Meanings].
func (r *Report) Meanings(j *judge.Judgement, check *catalogue.Check) ([]judge.Meaning, bool) {
	return r.input().Meanings(j, check)
}
