package belt

import (
	"cmp"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/listen"
)

// The experiments that a second recording can be, as addresses and forms name
// them.
const (
	TryLamps  Code = "lamps-on"
	TryAir    Code = "air"
	TryFaster Code = "faster"
	TryWet    Code = "wet"
)

var experiments = map[Code]listen.Experiment{TryLamps: listen.LampsOn, TryAir: listen.AirOn, TryFaster: listen.Faster,
	TryWet: listen.BeltWet}

func codeOf(e listen.Experiment) Code {
	for c, is := range experiments {
		if is == e {
			return c
		}
	}
	return ""
}

// What was heard by ear (Tried); empty: the recordings are asked.
const (
	EarLouder  Code = "louder"
	EarAlike   Code = "alike"
	EarQuieter Code = "quieter"
)

var ears = map[Code]listen.Observed{EarLouder: listen.Louder, EarAlike: listen.Alike, EarQuieter: listen.Quieter}

// Tried is one experiment as it was done.
type Tried struct {
	What   Code
	Ear    Code   // what was heard, "" to ask the recordings
	Second *Heard // nil where nothing was recorded
}

// Step is one experiment done, and what it made of the odds.
type Step struct {
	Tried
	Observed listen.Observed
	Mute     bool // the recordings do not show the noise: nothing was weighed
	Updated  listen.Updated
}

// Experiment is the odds of a first recording and what was tried after it.
type Experiment struct {
	Odds  []listen.Weighed // as they stand, most believed first; Before: by the first recording alone
	Steps []Step
	Next  []listen.Telling // what is worth trying, the most telling first
	heard *Heard
}

// Experiment weighs what a recording says by what was tried after it, one thing
// changed at a time. The error is a *fleet.Error of kind Invalid for an
// experiment that is none, or that needs a recording or an ear.
func (h *Heard) Experiment(tried ...Tried) (*Experiment, error) {
	roles := map[string]listen.Role{}
	air := false
	for _, s := range h.Sources {
		roles[s.Name] = s.Role
		air = air || s.Role == listen.Compressor
	}
	odds := listen.OddsOf(h.Ranking, roles)
	first := slices.Clone(odds)
	out := &Experiment{heard: h}
	var done []listen.Experiment
	if !air {
		done = append(done, listen.AirOn)
	}
	for _, t := range tried {
		s, err := h.step(odds, t)
		if err != nil {
			return nil, err
		}
		if !s.Mute {
			odds = s.Updated.Hypotheses()
			done = append(done, experiments[t.What])
		}
		out.Steps = append(out.Steps, s)
	}
	for _, o := range believed(odds) {
		w := listen.Weighed{Hypothesis: o}
		if i := slices.IndexFunc(first, func(f listen.Hypothesis) bool {
			return f.Name == o.Name && f.Role == o.Role
		}); i >= 0 {
			w.Before = first[i].P
		}
		out.Odds = append(out.Odds, w)
	}
	var err error
	if out.Next, err = listen.NextExperiment(odds, done...); err != nil {
		return nil, recordingError("recording", err)
	}
	return out, nil
}

func (h *Heard) step(odds []listen.Hypothesis, t Tried) (Step, error) {
	s := Step{Tried: t}
	e, known := experiments[t.What]
	o, byEar := ears[t.Ear]
	switch {
	case !known || t.Ear != "" && !byEar:
		return s, &fleet.Error{Kind: fleet.Invalid, Where: "try", Msg: "no such experiment",
			Hint: "one of lamps-on, air, faster, wet, and of louder, alike, quieter"}
	case e == listen.Faster && t.Second == nil, t.Second == nil && !byEar:
		return s, &fleet.Error{Kind: fleet.Invalid, Where: "try", Msg: "nothing was recorded and nothing heard by ear",
			Hint: "record once more, or say whether the noise became louder"}
	}
	var err error
	if e == listen.Faster {
		s.Updated, err = listen.UpdateFaster(odds, t.Second.Ranking)
	} else {
		if !byEar {
			o, byEar = change(h.Ranking, t.Second.Ranking, odds)
		}
		if s.Mute = !byEar; s.Mute {
			return s, nil
		}
		s.Observed = o
		s.Updated, err = listen.Update(odds, e, o, "")
	}
	if err != nil {
		return s, recordingError("recording", err)
	}
	return s, nil
}

// change is what became of the noise of whom the odds believe most and whose
// lines are there to compare.
func change(a, b listen.Ranking, odds []listen.Hypothesis) (listen.Observed, bool) {
	for _, o := range believed(odds) {
		if o.Role != listen.Elsewhere {
			return listen.HeardChange(a, b, o)
		}
	}
	return listen.Alike, false
}

// believed are odds, most believed first.
func believed(odds []listen.Hypothesis) []listen.Hypothesis {
	out := slices.Clone(odds)
	slices.SortStableFunc(out, func(a, b listen.Hypothesis) int { return cmp.Compare(b.P, a.P) })
	return out
}

// sureFrom is the probability from which nothing more need be tried.
const sureFrom = 0.95

// Sure reports whether a first answer stands without an experiment: one pulley
// named on a recording that is not in doubt, hardly anyone beside it.
func (x *Experiment) Sure() bool {
	return len(x.Steps) == 0 && x.sureAlone() && x.Odds[0].P >= sureFrom
}

// sureAlone reports whether the first recording by itself names one pulley and is not in doubt.
func (x *Experiment) sureAlone() bool {
	a := x.heard.Answer()
	return a.Code == OneNamed && !a.Doubtful
}
