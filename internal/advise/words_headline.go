package advise

import (
	"fmt"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/units"
)

// Headline answers in one sentence, or two, what is to be done about the
// vehicle and until when that is good.
func (r *Report) Headline(p units.Preferences) string {
	return r.AheadWords(r.headline(p))
}

func (r *Report) headline(p units.Preferences) string {
	if parked := r.With(fleet.Park); len(parked) > 0 {
		return fmt.Sprintf("Do not drive it: %s must be put right first.", Names(parked))
	}
	untold := len(r.Untold())
	if first, rest := r.FirstWords(p), r.Pressing().Later; first != "" || len(rest) > 0 {
		if len(rest) > 0 {
			first += " " + later(rest)
		}
		return strings.TrimSpace(first) + untoldWords(untold) + r.goodUntil(p)
	}
	if untold > 0 {
		return strings.TrimSpace(untoldWords(untold)) + r.goodUntil(p)
	}
	if n := len(r.With(fleet.Watch)); n > 0 {
		return fmt.Sprintf("Nothing to change at the next visit; %s to keep an eye on.", say.Count(n, "part", "parts")) + r.goodUntil(p)
	}
	if n := len(r.With(fleet.Unseen)); n == len(r.Judgements) && n > 0 {
		return "Nothing is known of any part yet: do a round and record what you find."
	}
	return "Nothing to change at the next visit." + r.goodUntil(p)
}

// untoldWords says of how many parts nothing is known.
func untoldWords(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(" %s not known: look first.", say.Capital(say.Count(n, "part is", "parts are")))
}

// goodUntil says how far it is to the next visit.
func (r *Report) goodUntil(p units.Preferences) string {
	v := r.Visits[0]
	switch {
	case !v.Known:
		return " No oil change is recorded, so the next visit is taken to be due now."
	case v.Overdue:
		return " The oil change is due now."
	case v.When.HasTotal && r.HasTotal && v.When.Total > r.Total:
		return fmt.Sprintf(" The next visit is in about %s, %s.", say.Rough(v.When.Total-r.Total, p), v.When.Words())
	case !v.When.Expected.IsZero():
		return fmt.Sprintf(" The next visit is due %s.", v.When.Words())
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
func Names(js []*judge.Judgement) string {
	parts := make([]string, len(js))
	for i, j := range js {
		parts[i] = say.LowerFirst(j.Position.Name)
	}
	return say.Listing(parts)
}

// YardHeadline answers for all vehicles of a yard in one sentence.
func YardHeadline(reports []*Report) string {
	if len(reports) == 0 {
		return "The yard has no vehicles yet: start one with undertray sheet new."
	}
	s := yardHeadline(reports)
	for _, r := range reports {
		if left := r.LeftWords(); left != "" {
			s += " " + r.Vehicle.Name + ": " + say.LowerFirst(left)
		}
	}
	return strings.TrimSpace(standing(reports) + " " + s)
}

// standing says which vehicles half-done work keeps where they are.
func standing(reports []*Report) string {
	var out []string
	for _, r := range reports {
		if s := r.StandsWords(); s != "" {
			out = append(out, r.Vehicle.Name+": "+say.LowerFirst(s))
		}
	}
	return strings.Join(out, " ")
}

func yardHeadline(reports []*Report) string {
	var parked, now, change []string
	for _, r := range reports {
		switch press := r.Pressing(); {
		case len(r.With(fleet.Park)) > 0:
			parked = append(parked, r.Vehicle.Name)
		case len(press.Now) > 0:
			now = append(now, r.Vehicle.Name+": "+doing(press.Now))
		case len(r.With(fleet.PutRight)) > 0:
			change = append(change, r.Vehicle.Name)
		}
	}
	first := ""
	if len(now) > 0 {
		first = "Before the next drive, " + strings.Join(now, "; ") + "."
	}
	switch {
	case len(parked) > 0:
		return strings.TrimSpace(fmt.Sprintf("Do not drive %s before it is put right. %s", say.Listing(parked), first)) + alsoChange(change)
	case first != "":
		return first + alsoChange(change)
	case len(change) > 0:
		return toDrive(reports) + "with parts to change on " + say.Listing(change) + "."
	}
	return toDrive(reports) + "nothing to change at the next visits."
}

func alsoChange(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return " There are parts to change on " + say.Listing(names) + "."
}

// toDrive counts the vehicles that nothing keeps where they are.
func toDrive(reports []*Report) string {
	n := 0
	for _, r := range reports {
		if use, _ := r.Forbidden(); use == "" {
			n++
		}
	}
	return say.Capital(say.Count(n, "vehicle", "vehicles")) + " to drive, "
}
