package advise

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/units"
)

// Headline answers in one sentence what is to be done about the vehicle.
func (r *Report) Headline(p units.Preferences) string { return say.Head(r.Sentences(p)) }

// More says what else there is to the headline, and until when that is good.
func (r *Report) More(p units.Preferences) string { return say.Rest(r.Sentences(p)) }

// Sentences are the headline and what else there is to it, one each. How many
// parts are changed at the next visit is for the plan to say.
func (r *Report) Sentences(p units.Preferences) []string {
	_, why := r.Forbidden()
	out := []string{r.StandsWords(), undone.ForbiddenInFull(why).String()}
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
	return say.Told(append(out, r.StillWords(), r.LeftWords())...)
}

// ParkWords says of some parts that they keep the vehicle where it is.
func ParkWords(parked []*judge.Judgement) string {
	return fmt.Sprintf("Do not drive it: %s must be put right first.",
		say.FewWords(positionNames(positionsOf(parked)), 5))
}

// calm is said where nothing is past a limit.
func (r *Report) calm() string {
	if n := len(r.With(fleet.Unseen)); n == len(r.Judgements) && n > 0 {
		return "Nothing is known of any part yet: do a round first."
	}
	if n := len(r.With(fleet.Watch)); n > 0 {
		return fmt.Sprintf("Nothing is past a limit; %s to keep an eye on.", say.Count(n, "part", "parts"))
	}
	return "Nothing is past a limit."
}

// untoldWords says of how many parts nothing is known.
func untoldWords(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%s not known: look first.", say.Capital(say.Count(n, "part is", "parts are")))
}

// goodUntil says how far it is to the next oil change.
func (r *Report) goodUntil(p units.Preferences) string {
	v := r.Visits[0]
	switch {
	case !v.Known:
		return "No oil change is recorded, so it is taken to be due now."
	case v.Overdue:
		return "The oil change is due now."
	case v.When.HasTotal && r.HasTotal && v.When.Total > r.Total:
		return fmt.Sprintf("The next oil change is in about %s, %s.",
			say.Rough(v.When.Total-r.Total, p), v.When.Words())
	case !v.When.Expected.IsZero():
		return fmt.Sprintf("The next oil change is due %s.", v.When.Words())
	}
	return ""
}

// Basis says how the headline is known: how many positions were looked at in
// time, how many never, and who governs.
func (r *Report) Basis() string {
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
	s := fmt.Sprintf("%d of %d positions looked at within their interval", fresh, len(r.Judgements))
	if stale > 0 {
		s += fmt.Sprintf("; %s last looked at longer ago", say.Count(stale, "position", "positions"))
	}
	if never > 0 {
		s += fmt.Sprintf("; %s never inspected", say.Count(never, "position", "positions"))
	}
	return s + ". " + stanceWords(r.Vehicle.Stance)
}

func stanceWords(s fleet.Stance) string {
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
func Names(js []*judge.Judgement) string { return say.Listing(positionNames(positionsOf(js))) }

// YardHeadline answers for all vehicles of a yard in one sentence.
func YardHeadline(reports []*Report) string { return say.Head(YardTold(reports)) }

// YardTold is the headline of a yard and what else there is to it, a sentence
// each.
func YardTold(reports []*Report) []string {
	if len(reports) == 0 {
		return []string{"The yard has no vehicles yet: start one with: undertray sheet new my-vehicle"}
	}
	var stands, parked, now, change, left []string
	var within []*pressed
	for _, r := range reports {
		name, press := r.Vehicle.Name, r.Pressing()
		if s := r.StandsWords(); s != "" {
			stands = append(stands, name+": "+say.LowerFirst(s))
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
			left = append(left, name+": "+say.LowerFirst(s))
		}
	}
	out := stands
	if len(parked) > 0 {
		out = append(out, fmt.Sprintf("Do not drive %s before it is put right.", vehicles(parked)))
	}
	out = append(out, now...)
	calm := len(out) == len(stands)
	for _, p := range nearestFirst(within) {
		out = append(out, p.words())
	}
	switch {
	case calm && len(change) > 0:
		out = append(out, toDrive(reports)+", parts past a limit on "+vehicles(change)+".", firstParts(reports))
	case calm && len(within) > 0:
		out = append(out, toDrive(reports)+".")
	case calm:
		out = append(out, toDrive(reports)+", nothing past a limit.")
	case len(change) > 0:
		out = append(out, "Parts are past a limit on "+vehicles(change)+".")
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
func (p *pressed) words() string {
	head := p.r.withinHead(p.r.Units) + ", " + p.r.Vehicle.Name
	return fmt.Sprintf("%s: %s.", head, doingIn(p.within, say.HeadWords-len(strings.Fields(head))))
}

// firstParts says what comes first on each vehicle of which all that is past a
// limit may wait for a visit.
func firstParts(reports []*Report) string {
	var out []string
	for _, r := range reports {
		if p := r.Pressing(); len(p.Later) > 0 && len(p.Now)+len(p.Within) == 0 {
			out = append(out, say.LowerFirst(p.Later[0].Position.Name)+" of the "+r.Vehicle.Name)
		}
	}
	return "First of them: " + say.Listing(out) + "."
}

const beforeDrive = "Before the next drive"

// vehicles names a few vehicles, or counts them.
func vehicles(names []string) string {
	if s := say.Listing(names); len(strings.Fields(s)) <= 6 {
		return s
	}
	return say.Count(len(names), "vehicle", "vehicles")
}

// toDrive counts the vehicles that nothing keeps where they are.
func toDrive(reports []*Report) string {
	n := 0
	for _, r := range reports {
		if use, _ := r.Forbidden(); use == "" {
			n++
		}
	}
	return say.Capital(say.Count(n, "vehicle", "vehicles")) + " to drive"
}
