package cli

import (
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/along"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/plan/moves"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// planRules are the rules of a plan as typed.
type planRules struct {
	months        int
	hours         float64
	money, stance string
	skip          []string
	move, not     []string
}

func (p *planRules) flags(c *cobra.Command) {
	c.Flags().IntVar(&p.months, "months", 0, "how many months ahead, up to 36 (default 24)")
	c.Flags().Float64Var(&p.hours, "hours", 0, "hours of work that fit in one visit (default the sheet's, else 14)")
	c.Flags().StringVar(&p.money, "money", "",
		"what may be spent on parts in one month, such as \"200 EUR\" (default the sheet's, else no limit)")
	c.Flags().StringVar(&p.stance, "stance", "", "plan as if you followed: "+stances())
	c.Flags().StringSliceVar(&p.skip, "skip", nil,
		"months without visits, with commas between: August,January or, of one year, 2027-08")
	c.Flags().StringArrayVar(&p.move, "move", nil,
		"change this part in this month: main-belt=2027-09; visit=2027-09 for a visit then")
	c.Flags().StringArrayVar(&p.not, "not", nil, "do not change this part in this month: main-belt=2027-04")
}

func stances() string {
	var out []string
	for _, s := range fleet.Stances() {
		out = append(out, string(s))
	}
	return strings.Join(out, ", ")
}

// options reads the rules.
func (p *planRules) options(c *cobra.Command) (plan.Options, error) {
	opt := plan.Options{Months: p.months, Hours: p.hours}
	bad := func(flag string, msg, hint message.Text, err error) error {
		return &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: msg, Hint: hint, Err: err}
	}
	for flag, zero := range map[string]bool{"hours": p.hours == 0, "months": p.months == 0} {
		if c.Flags().Changed(flag) && zero {
			return opt, bad(flag, message.Of("nothing can be planned with 0 %s", flag), "write how many there are", nil)
		}
	}
	if p.money != "" {
		q, err := units.Parse(p.money, units.Money)
		if err != nil {
			return opt, bad("money", message.Is(err), "write it as \"200 EUR\"", err)
		}
		opt.Money = &q
	}
	if p.stance != "" {
		if err := opt.Stance.UnmarshalText([]byte(p.stance)); err != nil {
			return opt, bad("stance", message.Is(err), "", err)
		}
	}
	for _, name := range p.skip {
		if err := opt.LeaveOut(name); err != nil {
			return opt, bad("skip", message.Is(err), "", err)
		}
	}
	for flag, typed := range map[string][]string{"move": p.move, "not": p.not} {
		for _, s := range typed {
			w, err := wishOf(flag, s)
			if err != nil {
				return opt, err
			}
			opt.Wishes = append(opt.Wishes, w)
		}
	}
	return opt, nil
}

// wishOf reads what a part, or the visit, has to do with a month:
// main-belt=2027-09.
func wishOf(flag, typed string) (fleet.Wish, error) {
	position, in, ok := strings.Cut(typed, "=")
	month, err := fleet.ParseCalendarMonth(in)
	if !ok || err != nil || position == "" {
		return fleet.Wish{}, &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag,
			Msg:  message.Of("%q names no part and month", typed),
			Hint: "write it as main-belt=2027-09", Err: err}
	}
	w := fleet.Wish{Position: position, Month: month, Not: flag == "not"}
	if position == "visit" {
		w.Position = ""
	}
	return w, nil
}

// planAsk is what else was asked of a plan.
type planAsk struct {
	also    []string
	onVisit string
	parts   bool
	sheet   paper
	since   string
	keep    bool

	monthHours float64
}

func (a *app) planCmd() *cobra.Command {
	var rules planRules
	var ask planAsk
	c := &cobra.Command{Use: "plan [VEHICLE]",
		Short: "The visits of the months ahead: what to do at which, and why then", Args: a.args(0, 1),
		Long: "The visits of the months ahead: what to do at which and why then, what to open, what to\n" +
			"buy by when; without a vehicle those of all, which share your hours and money of a\n" +
			"month (visits: in yard.yaml, --month-hours, --money). Rules the sheet has under visits: hold unless a " +
			"flag says otherwise; try\n" +
			"others to see what gives. --also ranks what else to change while you are in there for\n" +
			"some position; --since DATE says what moved in the plan since, and why. --move and\n" +
			"--not say what it costs to do a thing in another month; with --keep that is settled,\n" +
			"and later plans go by it until it is withdrawn. --parts lists what to order by when.",
		RunE: func(c *cobra.Command, args []string) error {
			opt, err := rules.options(c)
			if err != nil {
				return err
			}
			if err := ask.sheet.check(a.otherForm("")); err != nil {
				return err
			}
			if err := ask.alone(); err != nil {
				return err
			}
			if err := ask.whole(a, opt); err != nil {
				return err
			}
			if len(args) == 0 {
				return a.planYard(c.Context(), opt, ask)
			}
			if ask.monthHours != 0 {
				return &fleet.Error{Kind: fleet.Invalid, Where: "--month-hours",
					Msg:  "the hours of a month are shared by all vehicles",
					Hint: "leave the vehicle out, or say --hours for one visit"}
			}
			return a.withShare(c.Context(), args[0], func(y *yard.Yard, r *advise.Report, share *plan.Share) error {
				opt.Share = share
				switch {
				case len(ask.also) > 0 || ask.onVisit != "":
					return a.planAlso(c.Context(), y, r, opt, ask)
				case ask.since == sinceLast:
					return a.planSinceLast(c.Context(), y, r, opt)
				case ask.since != "":
					return a.planSince(c.Context(), y, r, opt, ask)
				}
				if ask.keep {
					return a.planKeep(c.Context(), y, r, opt)
				}
				made, err := plan.Make(c.Context(), r, opt)
				if err != nil {
					return err
				}
				return a.printPlan(c.Context(), y, r, made, opt, ask)
			})
		}}
	rules.flags(c)
	a.onlyFlag(c)
	ask.sheet.flags(c)
	c.Flags().BoolVar(&ask.parts, "parts", false, "only what to order by when, with its cost")
	c.Flags().StringSliceVar(&ask.also, "also", nil,
		"I shall be in there for these positions: what else is worth changing?")
	c.Flags().Float64Var(&ask.monthHours, "month-hours", 0,
		"hours of work in one month for all vehicles (default yard.yaml's, else no limit)")
	c.Flags().StringVar(&ask.onVisit, "on-visit", "",
		"the day of that visit, as 2026-11-28 or saturday (default the next visit of the plan)")
	c.Flags().BoolVar(&ask.keep, "keep", false, "settle what --move, --not and --skip 2027-08 say")
	c.Flags().StringVar(&ask.since, "since", "",
		"what moved in the plan since this earlier day, and why; last: with the last entries")
	return c
}

// alone reports an error where the parts, or a PDF, are asked for together with
// a question that has neither.
func (k planAsk) alone() error {
	other := ""
	switch {
	case len(k.also) > 0 || k.onVisit != "":
		other = "--also"
	case k.since != "":
		other = "--since"
	case k.keep:
		other = "--keep"
	default:
		return nil
	}
	switch {
	case k.parts:
		return &fleet.Error{Kind: fleet.Invalid, Where: "--parts",
			Msg: message.Of("what to order belongs to a plan, not to %s", other), Hint: "leave one of them out"}
	case k.sheet.file != "":
		return &fleet.Error{Kind: fleet.Invalid, Where: "--pdf",
			Msg:  message.Of("the answer to %s is not set on paper", other),
			Hint: "leave one of them out"}
	}
	return nil
}

// whole reports an error where something is missing that a question needs, before anything is worked out.
func (k planAsk) whole(a *app, opt plan.Options) error {
	switch {
	case k.keep && len(opt.Wishes) == 0:
		return &fleet.Error{Kind: fleet.Invalid, Where: "--keep", Msg: "there is nothing to settle",
			Hint: "add --move POSITION=MONTH, --not POSITION=MONTH or --skip MONTH"}
	case k.onVisit != "" && len(k.also) == 0:
		return &fleet.Error{Kind: fleet.Invalid, Where: "--on-visit",
			Msg:  "a day says nothing without what the visit is for",
			Hint: "add --also POSITION"}
	case k.since != sinceLast:
		_, err := a.dayOf("since", k.since)
		return err
	}
	return nil
}

// planYard prints the plan of all vehicles, or what it buys.
func (a *app) planYard(ctx context.Context, opt plan.Options, ask planAsk) error {
	if len(ask.also) > 0 || ask.onVisit != "" || ask.since != "" || ask.keep || len(opt.Wishes) > 0 {
		return &fleet.Error{Kind: fleet.Invalid, Where: "VEHICLE", Msg: "that is asked of one vehicle",
			Hint: "name one of them, as listed by: undertray yard"}
	}
	return a.withYard(ctx, func(y *yard.Yard, store journal.Store) error {
		reports, err := a.reports(ctx, y)
		if err != nil {
			return err
		}
		made, err := plan.MakeYard(ctx, reports,
			plan.YardOptions{Options: opt, MonthHours: ask.monthHours, Rules: y.Settings.Visits})
		if err != nil {
			return err
		}
		return a.printAnyPlan(y, ask, anyPlan{
			shopping: func() (*buying.Shopping, error) { return buying.OfYard(made) },
			sheet:    func(p print.Paper, w io.Writer) error { return p.YardPlan(w, made) },
			view:     func() any { return made.View(a.reads(y)) },
			text:     func(t *print.Text) { t.YardPlan(made) },
		})
	})
}

// planKeep records what is tried, once a plan with it has been found, and
// prints that plan.
func (a *app) planKeep(ctx context.Context, y *yard.Yard, r *advise.Report, opt plan.Options) error {
	if _, err := plan.Make(ctx, r, opt); err != nil {
		return err
	}
	var entries []*fleet.Entry
	for i := range opt.Wishes {
		entries = append(entries, &fleet.Entry{Type: fleet.TypeWish, Date: r.On, Wish: &opt.Wishes[i]})
	}
	return a.withYard(ctx, func(_ *yard.Yard, store journal.Store) error {
		stored, err := a.recorder(y).Batch(ctx, r.Vehicle, entries)
		if err != nil {
			return err
		}
		if a.json {
			return a.printJSON(stored)
		}
		r, share, err := a.shareOf(ctx, y, r.Vehicle)
		if err != nil {
			return err
		}
		opt.Wishes, opt.Share = nil, share
		made, err := plan.Make(ctx, r, opt)
		if err != nil {
			return err
		}
		return a.print(y, func(t *print.Text) { t.Plan(made) })
	})
}

func (a *app) planAlso(ctx context.Context, y *yard.Yard, r *advise.Report, opt plan.Options, ask planAsk) error {
	day := r.On
	if ask.onVisit != "" {
		var err error
		if day, err = a.comingDay(r.On, ask.onVisit); err != nil {
			return err
		}
	} else if made, err := plan.Make(ctx, r, opt); err == nil && len(made.Visits) > 0 {
		day = made.Visits[0].Date
	}
	also, err := along.WhileOpen(r, ask.also, day, opt)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(also.View())
	}
	return a.print(y, func(t *print.Text) { t.Also(also) })
}

// comingDay reads a day, or the name of a day of the week that comes next.
func (a *app) comingDay(on civil.Date, typed string) (civil.Date, error) {
	name := strings.ToLower(strings.TrimSpace(typed))
	for i := range 7 {
		day := on.AddDays(i)
		if weekday := strings.ToLower(say.Weekday(day)); len(name) >= 3 && strings.HasPrefix(weekday, name) {
			return day, nil
		}
	}
	return a.dayOf("on-visit", typed)
}

// sinceLast asks what the entries recorded together last moved.
const sinceLast = "last"

func (a *app) planSinceLast(ctx context.Context, y *yard.Yard, r *advise.Report, opt plan.Options) error {
	r, all, err := a.whole(ctx, r)
	if err != nil {
		return err
	}
	now, err := plan.Make(ctx, r, opt)
	if err != nil {
		return err
	}
	batch, changes, err := moves.BeforeLast(ctx, r, now, all, opt)
	if err != nil {
		return err
	}
	if batch.ID == "" {
		return &fleet.Error{Kind: fleet.NotFound, Where: "--since",
			Msg:  message.Of("%s has no entries yet", r.Vehicle.Name),
			Hint: "record something first"}
	}
	if a.json {
		return a.printJSON(changeViews(changes))
	}
	return a.print(y, func(t *print.Text) { t.PlanSinceLast(batch, changes) })
}

func changeViews(changes []moves.Change) []moves.ChangeView {
	views := []moves.ChangeView{}
	for i := range changes {
		views = append(views, changes[i].View())
	}
	return views
}

func (a *app) planSince(ctx context.Context, y *yard.Yard, r *advise.Report, opt plan.Options, ask planAsk) error {
	day, err := a.dayOf("since", ask.since)
	if err != nil {
		return err
	}
	if r, _, err = a.whole(ctx, r); err != nil {
		return err
	}
	changes, err := moves.Since(ctx, r, day, opt)
	if err != nil {
		return err
	}
	if a.json {
		return a.printJSON(changeViews(changes))
	}
	return a.print(y, func(t *print.Text) { t.PlanSince(day, changes) })
}

// visitOf lays out a visit of the plan; 0 is the sheet in hand, or else the next one.
func visitOf(ctx context.Context, r *advise.Report, share *plan.Share, number int,
	opt visit.JobOptions) (*visit.Job, error) {
	if len(opt.Positions) > 0 || opt.Alone {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "job", Msg: "a visit of the plan has its own positions",
			Hint: "leave out --alone and the positions, or --visit"}
	}
	if number == 0 {
		if job, err := visit.InHand(r); job != nil || err != nil {
			return job, err
		}
	}
	made, err := plan.Make(ctx, r, plan.Options{Share: share})
	if err != nil {
		return nil, err
	}
	if number == 0 {
		return made.NextJob()
	}
	return made.Job(number)
}
