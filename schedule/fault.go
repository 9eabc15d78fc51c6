package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Rule names a rule that a plan can break.
type Rule string

// The rules, with what a [Fault] then names beside Vehicle and Period.
const (
	UnknownVisit  Rule = "unknown-visit"   // the problem has no such vehicle or period
	UnknownTask   Rule = "unknown-task"    // the vehicle has no such Task
	TwiceInPeriod Rule = "twice"           // Task stands twice in one visit
	NoVisit       Rule = "no-visit"        // a visit is held, or wanted by period To, and there is none
	ClosedPeriod  Rule = "closed"          // a visit in a closed period
	HoursExceeded Rule = "hours"           // Needs, Have in hours; Vehicle empty: all together
	MoneyExceeded Rule = "money"           // Needs, Have in money; Vehicle empty: all together
	WithoutTied   Rule = "without-tied"    // Task is done without Other, named in its With
	BeforeOther   Rule = "before-other"    // Task is done before Other, named in its After
	TooOld        Rule = "too-old"         // Task is done at age Needs, Have is its Every
	LeftDue       Rule = "left-due"        // Task falls due and is not done after Period (0: at all)
	MoreThanOnce  Rule = "more-than-once"  // Task is done once at most
	OutsideWindow Rule = "outside-window"  // Task is done before its Earliest or after its Latest
	NotByLatest   Rule = "not-by-latest"   // Task is not done by Period, its Latest
	Forbidden     Rule = "forbidden"       // a table of Task forbids it in Period
	BeyondPlan    Rule = "beyond-the-plan" // there is no later period to move Task to
)

// Fault is one rule that a plan breaks, and the arguments it names. Which ones
// are set stands beside each Rule; the others are zero.
type Fault struct {
	Rule        Rule
	Vehicle     string
	Task, Other string
	Period, To  int
	Needs, Have float64
}

// String lists code and arguments, for logs and failing tests.
func (f Fault) String() string {
	var tasks []string
	for _, id := range []string{f.Task, f.Other} {
		if id != "" {
			tasks = append(tasks, id)
		}
	}
	return string(f.Rule) + arguments(f.Vehicle, tasks, f.Period, f.To, f.Needs, f.Have)
}

// arguments lists what is set.
func arguments(vehicle string, tasks []string, from, to int, needs, have float64) string {
	s := ""
	if vehicle != "" {
		s += fmt.Sprintf(", vehicle %s", vehicle)
	}
	if len(tasks) > 0 {
		s += ", " + strings.Join(tasks, " and ")
	}
	if from > 0 {
		s += fmt.Sprintf(", period %d", from)
	}
	if to > 0 {
		s += fmt.Sprintf(" to %d", to)
	}
	if needs != 0 || have != 0 {
		s += fmt.Sprintf(", needs %.6g of %.6g", needs, have)
	}
	return s
}

// compare is the order in which faults are listed.
func (f Fault) compare(g Fault) int {
	return cmp.Or(cmp.Compare(f.Vehicle, g.Vehicle), cmp.Compare(f.Period, g.Period), cmp.Compare(f.Rule, g.Rule),
		cmp.Compare(f.Task, g.Task), cmp.Compare(f.Other, g.Other), cmp.Compare(f.To, g.To))
}

func sortFaults(faults []Fault) { slices.SortFunc(faults, Fault.compare) }
