package visit

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
)

// Code names a kind of reason. JSON carries it, tests check it, and only the
// words files phrase it.
type Code string

// Why a task is on a job sheet.
const (
	Chosen    Code = "chosen"     // by the owner
	OnWatch   Code = "on watch"   // to be looked at again
	Verdict   Code = "verdict"    // what governs the verdict of Judgement
	Due       Code = "due"        // its interval ends at When, says Authority
	Along     Code = "along with" // the trade deals with it along with With
	WhileOpen Code = "while open" // it can be seen then
	Begun     Code = "begun"      // the sheet in hand deals with it
	Planned   Code = "planned"    // as Planned, the reason of a plan, says
)

// Reason is why a task is on a job sheet: a code and the arguments it names.
type Reason struct {
	Code      Code
	Judgement *judge.Judgement
	When      advise.When
	Authority fleet.Authority
	With      *fleet.Position
	Planned   PlanReason
}

// PlanReason is a reason of a room above: it says itself in words, and what
// stands for it in JSON.
type PlanReason interface {
	Words() message.Text
	View() any
}
