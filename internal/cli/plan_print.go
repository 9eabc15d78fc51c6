package cli

import (
	"context"
	"io"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/yard"
)

// printPlan answers with the plan of a vehicle, or with what it buys, in the
// form asked for.
func (a *app) printPlan(ctx context.Context, y *yard.Yard, r *advise.Report, made *plan.Plan, opt plan.Options,
	ask planAsk) error {
	var against message.Text
	if inWords := !ask.parts && ask.sheet.file == "" && !a.json; inWords && opt.Asks() {
		asItIs, err := plan.Make(ctx, r, opt.AsItIs())
		if err != nil {
			return err
		}
		against = made.Against(asItIs)
	}
	return a.printAnyPlan(y, ask, anyPlan{
		shopping: func() (*buying.Shopping, error) { return buying.OfPlan(made) },
		sheet:    func(p print.Paper, w io.Writer) error { return p.Plan(w, made) },
		view:     func() any { return made.View(a.reads(y)) },
		text: func(t *print.Text) {
			if against != "" {
				t.Line(against)
			}
			t.Plan(made)
			if s := opt.Share.Words(); s != "" {
				t.Item("- ", s)
			}
		},
	})
}

// anyPlan is a plan of one vehicle or of all, in each form.
type anyPlan struct {
	shopping func() (*buying.Shopping, error)
	sheet    func(print.Paper, io.Writer) error
	view     func() any
	text     func(*print.Text)
}

// printAnyPlan answers with a plan, or with what it buys, in the form asked
// for.
func (a *app) printAnyPlan(y *yard.Yard, ask planAsk, p anyPlan) error {
	switch {
	case ask.parts:
		list, err := p.shopping()
		if err != nil {
			return err
		}
		return a.printShopping(y, list, ask.sheet)
	case ask.sheet.file != "":
		return a.onPaper(y, ask.sheet, p.sheet)
	case a.json:
		return a.printJSON(p.view())
	}
	return a.print(y, p.text)
}

// printShopping answers with what a plan buys in the form asked for.
func (a *app) printShopping(y *yard.Yard, list *buying.Shopping, sheet paper) error {
	switch {
	case sheet.file != "":
		return a.onPaper(y, sheet, func(p print.Paper, w io.Writer) error { return p.Shopping(w, list) })
	case a.json:
		return a.printJSON(list.View())
	}
	return a.print(y, func(t *print.Text) { t.Shopping(list) })
}
