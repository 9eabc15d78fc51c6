package visit

import (
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
)

// engineNeeds is what the engine is not started without: a part that holds or
// drives it and parks the vehicle is as good as off.
var engineNeeds = []machine.Undone{machine.FuelOpen, machine.InletOpen, machine.OilOut, machine.CoolantOut,
	machine.BeltOff, machine.TimingCoverOff, machine.EngineLoose, machine.SteeringOpen}

// bars returns the parked parts with which the engine is not started; brakes,
// tyres and gearbox keep it from being driven only.
func bars(r *advise.Report) []*judge.Judgement {
	return slices.DeleteFunc(r.With(fleet.Park), func(j *judge.Judgement) bool {
		what := slices.Concat(j.Kind.Leaves, j.Kind.Emptied)
		if len(what) == 0 {
			return r.Catalogue.NeverLate(system(r, j))
		}
		return !slices.ContainsFunc(what, func(u machine.Undone) bool { return slices.Contains(engineNeeds, u) })
	})
}

// barred reports whether the engine is not to be started before the work of a job,
// and whether not after it either, since the job leaves a part that bars it. What a
// later visit of a plan finds has been put right by an earlier one.
func (b *builder) barred() (before, after bool) {
	for _, j := range bars(b.r) {
		i := slices.IndexFunc(b.job.Tasks, func(t Task) bool { return t.Judgement == j && t.Do != fleet.DoInspect })
		switch {
		case i >= 0:
			before = before || !b.job.Tasks[i].Again
		case b.job.On == b.r.On:
			before, after = true, true
		}
	}
	return before, after
}

// barredCautions is what is read before a start that a parked part bars.
func barredCautions(r *advise.Report) []string {
	if len(bars(r)) == 0 {
		return nil
	}
	return r.Catalogue.CautionsAt(catalogue.AtParked)
}
