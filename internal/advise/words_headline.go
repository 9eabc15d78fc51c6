package advise

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// Headline answers in one sentence what is to be done about the vehicle.
func (r *Report) Headline(p units.Preferences) message.Text { return told.Head(r.Sentences(p)) }

// More says what else there is to the headline, and until when that is good.
func (r *Report) More(p units.Preferences) message.Text { return told.Rest(r.Sentences(p)) }

// Sentences are the headline and what else there is to it, one each. How many
// parts are changed at the next visit is for the plan to say.
func (r *Report) Sentences(p units.Preferences) []message.Text {
	_, why := r.Forbidden()
	out := []message.Text{r.StandsWords(), undone.ForbiddenInFull(why)}
	press, untold := r.Pressing(), len(r.Untold())
	switch parked := r.With(fleet.Park); {
	case len(parked) > 0:
		out = append(out, ParkWords(parked))
	default:
		out = append(append(out, r.FirstTold(p)...), later(press.Later), untoldWords(untold))
		if len(press.Now)+len(press.Within)+len(press.Later)+untold == 0 {
			out = append(out, r.calm())
		}
		out = append(out, r.goodUntil(p))
	}
	return told.Sentences(append(out, r.StillWords(), r.LeftWords())...)
}

// ParkWords says of some parts that they keep the vehicle where it is.
func ParkWords(parked []*judge.Judgement) message.Text {
	return message.Of("Do not drive it: %s must be put right first.",
		told.FewWords(positionNames(positionsOf(parked)), 5))
}

// calm is said where nothing is past a limit.
func (r *Report) calm() message.Text {
	if n := len(r.With(fleet.Unseen)); n == len(r.Judgements) && n > 0 {
		return "Nothing is known of any part yet: do a round first."
	}
	if n := len(r.With(fleet.Watch)); n > 0 {
		return message.Of("Nothing is past a limit; %s to keep an eye on.", told.Count(n, "part", "parts"))
	}
	return "Nothing is past a limit."
}

// untoldWords says of how many parts nothing is known.
func untoldWords(n int) message.Text {
	if n == 0 {
		return ""
	}
	return message.Of("%s not known: look first.", say.Capital(told.Count(n, "part is", "parts are")))
}

// goodUntil says how far it is to the next oil change.
func (r *Report) goodUntil(p units.Preferences) message.Text {
	v := r.Visits[0]
	switch {
	case !v.Known:
		return "No oil change is recorded, so it is taken to be due now."
	case v.Overdue:
		return "The oil change is due now."
	case v.When.HasTotal && r.HasTotal && v.When.Total > r.Total:
		return message.Of("The next oil change is in about %s, %s.",
			say.Rough(v.When.Total-r.Total, p), v.When.Words())
	case !v.When.Expected.IsZero():
		return message.Of("The next oil change is due %s.", v.When.Words())
	}
	return ""
}

// Basis says how the headline is known: how many positions were looked at in
// time, how many never, and who governs.
func (r *Report) Basis() message.Text {
	fresh, stale, never := 0, 0, 0
	for i := range r.Judgements {
		switch l := r.Judgements[i].Looked; {
		case l.Never:
			never++
		case l.Stale:
			stale++
		default:
			fresh++
		}
	}
	s := message.Of("%d of %d positions looked at within their interval", fresh, len(r.Judgements))
	if stale > 0 {
		s = message.Of("%s; %s last looked at longer ago", s, told.Count(stale, "position", "positions"))
	}
	if never > 0 {
		s = message.Of("%s; %s never inspected", s, told.Count(never, "position", "positions"))
	}
	return message.Of("%s. %s", s, stanceWords(r.Vehicle.Stance))
}

func stanceWords(s fleet.Stance) message.Text {
	switch s {
	case fleet.FollowVehicleMaker:
		return "The vehicle maker's limits govern where there are any, else the strictest."
	case fleet.FollowPartMaker:
		return "The part makers' limits govern where there are any, else the strictest."
	case fleet.FollowOwn:
		return "Your own limits govern where there are any, else the strictest."
	}
	return "The strictest authority governs."
}

// Names lists the positions of judgements in words.
func Names(js []*judge.Judgement) message.Text { return told.Listing(positionNames(positionsOf(js))) }

// YardHeadline answers for all vehicles of a yard in one sentence.
func YardHeadline(reports []*Report) message.Text { return told.Head(YardTold(reports)) }

// YardTold is the headline of a yard and what else there is to it, a sentence
// each.
func YardTold(reports []*Report) []message.Text {
	if len(reports) == 0 {
		return []message.Text{"The yard has no vehicles yet: start one with: undertray sheet new my-vehicle"}
	}
	var stands, parked, now, change, left []message.Text
	var within []*pressed
	for _, r := range reports {
		name, press := message.Name(r.Vehicle.Name), r.Pressing()
		if s := r.StandsWords(); s != "" {
			stands = append(stands, message.Of("%s: %s", name, say.LowerFirst(s)))
		}
		switch {
		case len(r.With(fleet.Park)) > 0:
			parked = append(parked, name)
		case len(press.Now) > 0:
			now = append(now, r.NowOf())
		case len(press.Within) > 0:
			within = append(within, &pressed{r, press.Within})
		case len(press.Later) > 0:
			change = append(change, name)
		}
		if s := r.LeftWords(); s != "" {
			left = append(left, message.Of("%s: %s", name, say.LowerFirst(s)))
		}
	}
	out := stands
	if len(parked) > 0 {
		out = append(out, message.Of("Do not drive %s before it is put right.", vehicles(parked)))
	}
	out = append(out, now...)
	calm := len(out) == len(stands)
	for _, p := range nearestFirst(within) {
		out = append(out, p.words())
	}
	switch {
	case calm && len(change) > 0:
		out = append(out, message.Of("%s, parts past a limit on %s.", toDrive(reports), vehicles(change)),
			firstParts(reports))
	case calm && len(within) > 0:
		out = append(out, toDrive(reports)+".")
	case calm:
		out = append(out, message.Of("%s, nothing past a limit.", toDrive(reports)))
	case len(change) > 0:
		out = append(out, message.Of("Parts are past a limit on %s.", vehicles(change)))
	}
	return append(out, left...)
}

// pressed is what a vehicle has to be put right within a distance or a time.
type pressed struct {
	r      *Report
	within []*judge.Judgement
}

// nearestFirst orders vehicles by their nearest deadline.
func nearestFirst(ps []*pressed) []*pressed {
	until := func(p *pressed) When { return p.r.When(p.within[0].Todos[0].Until) }
	slices.SortStableFunc(ps, func(a, b *pressed) int { return until(a).compare(until(b)) })
	return ps
}

// words says by when what is put right on which vehicle.
func (p *pressed) words() message.Text {
	head := message.Of("%s, %s", p.r.withinHead(p.r.Units), p.r.Vehicle.Name)
	return message.Of("%s: %s.", head, doingIn(p.within, told.HeadWords-told.Words(head)))
}

// firstParts says what comes first on each vehicle of which all that is past a
// limit may wait for a visit.
func firstParts(reports []*Report) message.Text {
	var out []message.Text
	for _, r := range reports {
		if p := r.Pressing(); len(p.Later) > 0 && len(p.Now)+len(p.Within) == 0 {
			out = append(out, message.Of("%s of the %s", say.LowerFirst(p.Later[0].Position.Name), r.Vehicle.Name))
		}
	}
	return message.Of("First of them: %s.", told.Listing(out))
}

const beforeDrive message.Text = "Before the next drive"

// vehicles names a few vehicles, or counts them.
func vehicles(names []message.Text) message.Text {
	if s := told.Listing(names); told.Words(s) <= 6 {
		return s
	}
	return told.Count(len(names), "vehicle", "vehicles")
}

// toDrive counts the vehicles that nothing keeps where they are.
func toDrive(reports []*Report) message.Text {
	n := 0
	for _, r := range reports {
		if use, _ := r.Forbidden(); use == "" {
			n++
		}
	}
	return message.Of("%s to drive", say.Capital(told.Count(n, "vehicle", "vehicles")))
}
