package ahead

import (
	"cmp"
	"slices"
	"strings"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// seen is what the looks at one part said on one day: the worst of their
// answers, and how much they would have seen.
type seen struct {
	fleet.Moment
	grade  int             // 0 nothing found, 1 watch, 2 put right, 3 park
	least  bool            // it is that or worse: a good answer would have told nothing
	senses strengths       // used
	glance bool            // none of its checks was answered
	grades []heldMost[int] // the worst of the day to each check
}

// strengths is how much each sort of look sees, see catalogue.Strengths.
type strengths []heldMost[float64]

// all is what they see together.
func (s strengths) all() float64 { return s.without(nil) }

// without is what is left where some sorts are blind.
func (s strengths) without(blind []string) float64 {
	sum := 0.0
	for _, each := range s {
		if !slices.Contains(blind, each.name) {
			sum += each.most
		}
	}
	return sum
}

// rungs is the sort of look that a prior holds for them all and, in turn, for each
// way in which some may be blind.
func (s strengths) rungs(looks *catalogue.Looks) []int {
	out := []int{rung(s.all())}
	for i := range looks.Blind {
		out = append(out, rung(s.without(looks.Blind[i].Sorts)))
	}
	return out
}

// looksAt returns what was seen of a part, by day. A finding that work put
// right speaks no more. While a bad answer stands, better ones to other checks
// do not take it back: only another answer to the same check does. What else is found then
// says that the part is that bad at least, so that it never speaks for the part.
func looksAt(cat *catalogue.Catalogue, place *fleet.Place, part *fleet.Part, kind *catalogue.Kind) []seen {
	days := answersOf(cat, place, part, kind)
	standing := map[string]int{}
	out := days[:0]
	for i := range days {
		d := &days[i]
		for _, g := range d.grades {
			delete(standing, g.name)
		}
		still := 0 // of what is not answered anew
		for _, grade := range standing {
			still = max(still, grade)
		}
		for _, g := range d.grades {
			standing[g.name] = g.most
		}
		tells := rung(d.senses.all()) >= 0 // by a good answer
		if d.grade < still || d.grade == 0 && !tells {
			continue
		}
		d.least = d.grade > 0 && (still > 0 || !tells)
		out = append(out, *d)
	}
	return out
}

// heldMost is the most that is told under a name.
type heldMost[N int | float64] struct {
	name string
	most N
}

// tell takes in what is told under a name: a day has few of them.
func tell[N int | float64](all []heldMost[N], name string, n N) []heldMost[N] {
	for i := range all {
		if all[i].name == name {
			all[i].most = max(all[i].most, n)
			return all
		}
	}
	return append(all, heldMost[N]{name, n})
}

func answersOf(cat *catalogue.Catalogue, place *fleet.Place, part *fleet.Part, kind *catalogue.Kind) []seen {
	looks, heirs := cat.Looks(), cat.Heirs(kind.ID)
	type by struct {
		*catalogue.Check
		sort     string
		strength float64
	}
	var asked []by // checks, each once
	days := make([]seen, 0, daysOf(place.Findings))
	room := make([]heldMost[int], len(place.Findings)) // for the grades of each day
	for n, f := range place.Findings {
		c := kind.Check(f.Check)
		if c == nil || !part.Had(f) || !looks.Tells(f.Answer) {
			continue
		}
		i := len(days) - 1
		for i >= 0 && days[i].Date != f.Date {
			i--
		}
		if i < 0 {
			i = len(days)
			days = append(days, seen{Moment: f.Moment, glance: true,
				grades: room[n:n:ofDay(place.Findings, n)]})
		}
		days[i].glance = days[i].glance && looks.IsGlance(c.ID)
		days[i].add(c.ID, gradeOf(c, place, part, f), f.HasTotal, f.Total)
		if f.Settled == "" {
			k := slices.IndexFunc(asked, func(b by) bool { return b.Check == c })
			if k < 0 {
				sort, strength := looks.StrengthOf(kind, heirs, c, len(place.Position.Seen) > 0)
				k, asked = len(asked), append(asked, by{c, sort, max(strength, 0)})
			}
			days[i].senses = tell(days[i].senses, asked[k].sort, asked[k].strength)
		}
	}
	slices.SortStableFunc(days, func(a, b seen) int { return a.Date.Compare(b.Date) })
	for i := range days {
		days[i].sum()
	}
	return days
}

// ofDay is where the findings end that follow one on its day.
func ofDay(all []*fleet.Finding, from int) int {
	to := from + 1
	for to < len(all) && all[to].Date == all[from].Date {
		to++
	}
	return to
}

// daysOf is on how many days there are findings, most of which stand in the order of
// their days.
func daysOf(all []*fleet.Finding) int {
	n := 0
	for i, f := range all {
		if i == 0 || f.Date != all[i-1].Date {
			n++
		}
	}
	return n
}

// add takes in one answer; of several to one check on a day the worst counts.
func (d *seen) add(check string, grade int, hasTotal bool, total float64) {
	d.grades = tell(d.grades, check, max(grade, 0))
	if hasTotal {
		d.Total, d.HasTotal = max(d.Total, total), true
	}
}

// sum takes the worst grade, and puts the senses in order.
func (d *seen) sum() {
	for _, g := range d.grades {
		d.grade = max(d.grade, g.most)
	}
	slices.SortFunc(d.senses, func(a, b heldMost[float64]) int { return strings.Compare(a.name, b.name) })
}

// gradeOf is what an answer tells: 0 nothing wrong, 1 watch, 2 put right, 3
// park; 0 for what work has put right.
func gradeOf(c *catalogue.Check, place *fleet.Place, part *fleet.Part, f *fleet.Finding) int {
	if f.Settled != "" {
		return 0
	}
	return gradeFor(judge.Worst(c, place, part, f))
}

func gradeFor(v fleet.Verdict) int {
	switch v {
	case fleet.Watch:
		return 1
	case fleet.PutRight:
		return 2
	case fleet.Park:
		return 3
	}
	return 0
}

// rung is the sort of look, of those that a prior holds, nearest below a
// strength; -1 where that is nothing to speak of.
func rung(strength float64) int {
	steps := catalogue.Strengths()
	i, found := slices.BinarySearchFunc(steps, strength, func(a, b float64) int { return cmp.Compare(a, b+1e-9) })
	if found {
		return i
	}
	return i - 1
}

// inWay adds to out what the looks at exposures say where some sorts are blind on the part;
// those of which nothing is left then say what they would of a sound one.
func inWay(out []condition.Look, all []seen, at [][]float64, blind []string) []condition.Look {
	for i, s := range all {
		if at[i] == nil {
			continue
		}
		l := condition.Look{At: at[i], Sort: rung(s.senses.without(blind)), Grade: s.grade, OrWorse: s.least}
		if l.Sort < 0 {
			l.Sort, l.Blind = max(0, rung(s.senses.all())), blind != nil
		}
		out = append(out, l)
	}
	return out
}
