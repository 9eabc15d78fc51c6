package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/along"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// planAsk is what the form was filled in with.
type planAsk struct {
	Months, Hours, Money, Skip, Stance string
	Move, To, Also, Day                string
	Not                                bool
}

// planOptions reads the rules asked for in an address.
func planOptions(r *http.Request) (plan.Options, planAsk, error) {
	q := r.URL.Query()
	ask := planAsk{Months: q.Get("months"), Hours: q.Get("hours"), Money: q.Get("money"), Skip: q.Get("skip"),
		Stance: q.Get("stance"),
		Move:   q.Get("move"), To: q.Get("to"), Also: q.Get("also"), Day: q.Get("day"), Not: q.Get("not") != ""}
	opt := plan.Options{}
	bad := func(field, typed string, hint message.Text, err error) error {
		return &fleet.Error{Kind: fleet.Invalid, Where: field, Msg: message.Of("%q is not possible here", typed),
			Hint: hint, Err: err}
	}
	var err error
	if ask.Months != "" {
		if opt.Months, err = strconv.Atoi(strings.TrimSpace(ask.Months)); err != nil || opt.Months < 1 {
			return opt, ask, bad("months", ask.Months, "write 1 to 36", err)
		}
	}
	if ask.Hours != "" {
		if opt.Hours, err = strconv.ParseFloat(strings.TrimSpace(ask.Hours), 64); err != nil || opt.Hours <= 0 {
			return opt, ask, bad("hours", ask.Hours, "write the hours of work that fit in one visit, such as 6", err)
		}
	}
	if ask.Money != "" {
		money, err := units.Parse(ask.Money, units.Money)
		if err != nil {
			return opt, ask, bad("money", ask.Money, "write it as 200 EUR", err)
		}
		opt.Money = &money
	}
	for _, name := range strings.FieldsFunc(ask.Skip, func(c rune) bool { return c == ',' || c == ' ' }) {
		if err := opt.LeaveOut(name); err != nil {
			return opt, ask, bad("skip", name, "write the names of months, such as August", err)
		}
	}
	if ask.Stance != "" {
		if err := opt.Stance.UnmarshalText([]byte(ask.Stance)); err != nil {
			return opt, ask, bad("stance", ask.Stance, message.Is(err), err)
		}
	}
	return opt, ask, nil
}

// rules are what an address has to say for the same plan to come of it.
func (a planAsk) rules() url.Values {
	q := url.Values{}
	for name, value := range map[string]string{"months": a.Months, "hours": a.Hours, "money": a.Money, "skip": a.Skip,
		"stance": a.Stance, "move": a.Move, "to": a.To} {
		if value != "" {
			q.Set(name, value)
		}
	}
	if a.Not {
		q.Set("not", "1")
	}
	return q
}

// Rules reports whether rules were asked for that are not the plan's own, beside a move.
func (a planAsk) Rules() bool { return a.Months+a.Hours+a.Money+a.Skip+a.Stance != "" }

// planned is the plan of a vehicle under the rules that an address asks for.
type planned struct {
	*plan.Plan
	ask planAsk
	opt plan.Options
}

// planned plans a vehicle, within what the plan of all leaves to it.
func (s *Server) planned(r *http.Request, d *desk) (*planned, error) {
	opt, ask, err := planOptions(r)
	if err != nil {
		return nil, err
	}
	if err := d.planTry(&opt, ask); err != nil {
		return nil, err
	}
	if opt.Share, err = s.share(r, d); err != nil {
		return nil, err
	}
	p, err := plan.Make(r.Context(), d.report, opt)
	if err == nil && !opt.Asks() && len(opt.Wishes) == 0 && opt.Months == 0 {
		kept := nextVisit{words: p.NextWords(), days: next.DaysOf(p)}
		if len(p.Visits) > 0 {
			kept.on = p.Visits[0].Date
		}
		s.next.put(s.nextKey(d), kept)
	}
	return &planned{p, ask, opt}, err
}

// nextVisit is what a vehicle's plan says of its next visit.
type nextVisit struct {
	words message.Text
	days  next.Days
	on    civil.Date // zero: there is none
}

// nextKey is what the next visit of a vehicle rests on.
func (s *Server) nextKey(d *desk) string {
	return fmt.Sprintf("%s|%d|%s|%s", s.files(d.vehicle.ID), d.known, d.report.On, d.vehicle.ID)
}

// Stances lists the stances to choose from.
func (a planAsk) Stances() []moveChoice {
	out := []moveChoice{{Name: "as the sheet says"}}
	for _, s := range fleet.Stances() {
		out = append(out, moveChoice{Value: string(s), Name: s.Message(), Chosen: string(s) == a.Stance})
	}
	return out
}

// asked is what follows the path in the address of what rests on the same
// plan.
func asked(a planAsk) string {
	if q := a.rules(); len(q) > 0 {
		return "?" + q.Encode()
	}
	return ""
}

// theVisit stands for the visit itself where a position is asked for.
const theVisit = "visit"

// planTry adds to the options what the form asks to move, and nothing where it
// asks for nothing. A month is given as 2027-09 or by its number in the plan.
func (d *desk) planTry(opt *plan.Options, ask planAsk) error {
	if ask.Move == "" || ask.To == "" {
		return nil
	}
	month, err := fleet.ParseCalendarMonth(ask.To)
	if n, errN := strconv.Atoi(ask.To); errN == nil && n >= 1 && n <= 36 {
		month, err = fleet.MonthOf(plan.MonthEnd(d.report.On, n)), nil
	}
	if err != nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: "to", Msg: message.Of("%q is not a month of the plan", ask.To),
			Hint: "choose one from the list", Err: err}
	}
	w := fleet.Wish{Position: ask.Move, Month: month, Not: ask.Not}
	if ask.Move == theVisit {
		w.Position = ""
	}
	opt.Wishes = append(opt.Wishes, w)
	return nil
}

// planAlso is what else to change while something is open anyway.
type planAlso struct {
	Words, More, Together message.Text
	Worth, Later          []alsoRow
	Looks                 message.Text
}

type alsoRow struct {
	ID, Name string
	Why      message.Text
	Verdict  fleet.Verdict
	Asks     bool
}

// whatElse answers "I shall be in there anyway": what else to change on the day
// asked for, else at the next visit of a plan; nil where that is not asked.
func (d *desk) whatElse(ask planAsk, p *plan.Plan, opt plan.Options) (*along.Also, error) {
	if ask.Also == "" {
		return nil, nil
	}
	day := d.report.On
	if len(p.Visits) > 0 {
		day = p.Visits[0].Date
	}
	if ask.Day != "" {
		var err error
		if day, err = parseDay("day", ask.Day); err != nil {
			return nil, err
		}
	}
	opt.Wishes = nil
	return along.WhileOpen(d.report, []string{ask.Also}, day, opt)
}

// alsoShown sets the answer out, and is nil where there is none.
func alsoShown(also *along.Also) *planAlso {
	if also == nil {
		return nil
	}
	out := &planAlso{Words: also.Headline(), More: told.Rest(also.Told()), Together: also.Together()}
	worth := len(also.Worth())
	for i, o := range also.Offers {
		row := alsoRow{o.Judgement.Position.ID, o.Judgement.Position.Name, o.Why(), o.Judgement.Verdict,
			o.Judgement.Verdict >= fleet.Watch}
		if i < worth {
			out.Worth = append(out.Worth, row)
		} else {
			out.Later = append(out.Later, row)
		}
	}
	var looks []string
	for _, j := range also.Looks {
		looks = append(looks, say.LowerFirst(j.Position.Name))
	}
	out.Looks = told.Listing(told.Names(looks))
	return out
}
