package together

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// standing is how a vehicle stands on the roll, and its nearest deadline: that of
// the part that is to be put right first, or the next oil change.
func standing(r *advise.Report) (Rank, civil.Date) {
	use, _ := r.Forbidden()
	press := r.Pressing()
	var by civil.Date
	if next := r.Visits[0]; next.Known {
		if by = next.When.Expected; next.Overdue {
			by = r.On
		}
	}
	rank := Calm
	switch {
	case use != "" || len(r.With(fleet.Park)) > 0:
		return Parked, r.On
	case len(press.Now) > 0:
		return Now, r.On
	case len(r.With(fleet.PutRight)) > 0:
		rank = Past
	}
	for _, j := range press.Within {
		by = sooner(by, r.When(j.Todos[0].Until).Expected)
	}
	return rank, sooner(by, lateDue(r, press.Later))
}

// lateDue is the day by which parts wait for a visit, where no oil change says
// when that is: today.
func lateDue(r *advise.Report, later []*judge.Judgement) civil.Date {
	if len(later) > 0 && !r.Visits[0].Known {
		return r.On
	}
	return civil.Date{}
}

// sooner is the earlier of two days, of which either may not be known.
func sooner(a, b civil.Date) civil.Date {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}
