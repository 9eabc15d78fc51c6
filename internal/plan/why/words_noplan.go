package why

import (
	"fmt"

	"undertray.example/undertray/internal/say"
)

// Words says why there is no plan.
func (n *NoPlan) Words() string { return "no plan keeps these limits: " + n.words() }

// Hint says what would make one possible.
func (n *NoPlan) Hint() string {
	return "allow more hours a visit, more money a month, or more months"
}

func (n *NoPlan) words() string {
	what, month := n.what(), n.Month.MonthYear()
	needs, have := say.Hours(n.Needs), say.Hours(n.Have)
	if n.Money {
		needs, have = say.Money(n.Needs, n.Currency), say.Money(n.Have, n.Currency)
	}
	switch n.Code {
	case WantedClosed:
		return fmt.Sprintf("a visit is wanted in %s, which is closed to visits", month)
	case TooLarge:
		return fmt.Sprintf("%s, with all that is opened for it, takes %s of the %s that there are at most",
			what, needs, have)
	case NeverInTime:
		return fmt.Sprintf("%s is due by the end of %s, and no months open to it keep its limits", what, month)
	case DueTogether:
		return fmt.Sprintf("what is due in %s, %s, takes %s of %s", month, what, needs, have)
	case DueByThen:
		return fmt.Sprintf("what is due by the end of %s, %s, takes at least %s of %s", month, what, needs, have)
	}
	if !n.Month.IsZero() {
		return fmt.Sprintf("all ways of placing the work were searched, and the furthest fails in %s", month)
	}
	return "all ways of placing the work were searched"
}

// what lists the tasks by what the owner calls them.
func (n *NoPlan) what() string {
	var names []string
	for _, t := range n.Tasks {
		switch {
		case t.Position != nil:
			names = append(names, say.LowerFirst(t.Position.Name))
		case t.Round:
			names = append(names, "the round")
		default:
			names = append(names, "a look")
		}
	}
	if len(names) == 0 {
		return "a visit"
	}
	return say.Listing(say.Unique(names))
}
