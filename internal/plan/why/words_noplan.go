package why

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// Words says why there is no plan.
func (n *NoPlan) Words() message.Text { return message.Of("no plan keeps these limits: %s", n.words()) }

// Hint says what would make one possible.
func (n *NoPlan) Hint() message.Text {
	return "allow more hours a visit, more money a month, or more months"
}

func (n *NoPlan) words() message.Text {
	what, month := n.what(), told.MonthYear(n.Month)
	needs, have := told.Hours(n.Needs), told.Hours(n.Have)
	if n.Money {
		needs, have = message.Name(say.Money(n.Needs, n.Currency)), message.Name(say.Money(n.Have, n.Currency))
	}
	switch n.Code {
	case WantedClosed:
		return message.Of("a visit is wanted in %s, which is closed to visits", month)
	case TooLarge:
		return message.Of("%s, with all that is opened for it, takes %s of the %s that there are at most",
			what, needs, have)
	case NeverInTime:
		return message.Of("%s is due by the end of %s, and no months open to it keep its limits", what, month)
	case DueTogether:
		return message.Of("what is due in %s, %s, takes %s of %s", month, what, needs, have)
	case DueByThen:
		return message.Of("what is due by the end of %s, %s, takes at least %s of %s", month, what, needs, have)
	}
	if !n.Month.IsZero() {
		return message.Of("all ways of placing the work were searched, and the furthest fails in %s", month)
	}
	return "all ways of placing the work were searched"
}

// what lists the tasks by what the owner calls them.
func (n *NoPlan) what() message.Text {
	var names []message.Text
	for _, t := range n.Tasks {
		switch {
		case t.Position != nil:
			names = append(names, message.Name(say.LowerFirst(t.Position.Name)))
		case t.Round:
			names = append(names, "the round")
		default:
			names = append(names, "a look")
		}
	}
	if len(names) == 0 {
		return "a visit"
	}
	return told.Listing(say.Unique(names))
}
