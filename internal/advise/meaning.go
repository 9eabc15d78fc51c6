package advise

import (
	"time"

	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/judge"
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

// Supposed is what a finding would mean on a position of a vehicle.
type Supposed struct {
	Reason    *judge.Reason // of the finding, that governs; nil: none speaks
	Judgement *judge.Judgement
}

// lastly is after whatever was typed.
var lastly = time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC)

// Suppose works out what a finding would mean on top of a fold of the report's
// vehicle. It is recorded nowhere.
func Suppose(r *Report, fold *fleet.Kept, e *fleet.Entry) *Supposed {
	told := *e
	told.ID, told.Vehicle, told.Date, told.Recorded = "supposed", r.Vehicle.ID, r.On, lastly
	j := r.Judgement(e.Found.Position)
	if with, ok := fold.With([]*fleet.Entry{&told}, r.On); ok {
		j = Of(r.Catalogue, with.State(r.On)).Judgement(e.Found.Position)
	}
	out := &Supposed{Judgement: j}
	for i := range j.Reasons {
		if o := &j.Reasons[i]; o.Finding != nil && o.Check.ID == e.Found.Check && o.Governs {
			out.Reason = o
			break
		}
	}
	return out
}
