package cli

import (
	"cmp"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/belt/measured"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// runFlags are what is asked about a run, as typed.
type runFlags struct {
	file, measures, svg, belt, leaveOut, idler, arm string
	diameters, moves, taps                          []string
	rpm                                             float64
	rpmGiven                                        bool
}

func (a *app) runCmd() *cobra.Command {
	var f runFlags
	c := &cobra.Command{Use: "run VEHICLE [RUN]",
		Short: "Whether a belt fits its run: length, wrap, slip, tensioner travel, speed", Args: a.args(0, 2),
		Long: "A belt run worked out: how long the belt must be, where the tensioner then stands,\n" +
			"wraps, speeds, tensions, what slips first, tones of the spans, loads on the hubs.\n" +
			"With --file it takes a run from a file of its own and needs no vehicle; with --measures the file\n" +
			"says what was measured by tape, and the pulleys are placed from that.",
		Example: "  undertray run heron main-run --belt 6PK1880\n" +
			"  undertray run heron --leave-out compressor\n" +
			"  undertray run heron --diameter alternator=58mm --tap \"crank pulley - steering pump = 74 Hz\"\n" +
			"  undertray run --file run.yaml --svg run.svg",
		RunE: func(c *cobra.Command, args []string) error {
			f.rpmGiven = c.Flags().Changed("rpm")
			q, err := f.question()
			if err != nil {
				return err
			}
			if f.file != "" || f.measures != "" {
				return a.loneRun(args, f, q)
			}
			if len(args) == 0 {
				return usageError{&fleet.Error{Kind: fleet.Invalid, Msg: "run needs a vehicle, or a run in a file",
					Hint: "name a vehicle, or a file with --file; more with: undertray run --help"}}
			}
			return a.withReport(c.Context(), args[0], func(y *yard.Yard, r *advise.Report) error {
				return a.vehicleRun(y, r, args[1:], f, q)
			})
		}}
	c.Flags().StringVar(&f.file, "file", "", "take the run from this file, without a vehicle")
	c.Flags().StringVar(&f.measures, "measures", "",
		"place the pulleys of the run in this file from its measures: length, how sure, what to measure next")
	c.Flags().StringVar(&f.svg, "svg", "", "write the drawing into this file")
	c.Flags().StringVar(&f.belt, "belt", "", "does this belt fit: what is printed on it, such as 6PK1880")
	c.Flags().StringVar(&f.leaveOut, "leave-out", "",
		"what if this pulley, named by itself or its position, were left out")
	c.Flags().StringArrayVar(&f.diameters, "diameter", nil, "what if a pulley had another diameter: alternator=58mm")
	c.Flags().StringArrayVar(&f.moves, "move", nil, "what if a pulley stood elsewhere: \"idler = 84 mm, 150 mm\"")
	c.Flags().StringVar(&f.idler, "idler", "",
		"what if an idler were added: \"70 mm at 120 mm, 90 mm\" (diameter, then x and y)")
	c.Flags().StringArrayVar(&f.taps, "tap", nil,
		"tension from the tone of a tapped span: \"crank - alternator = 74 Hz\"")
	c.Flags().StringVar(&f.arm, "arm", "",
		"where the tensioner stands now, counted from where it is drawn: 6° or 4 mm; says how worn the ribs are")
	c.Flags().Float64Var(&f.rpm, "rpm", 0, "engine speed to work it out at, beside idle, usual and highest")
	return c
}

// loneRun answers for a run in a file of its own.
func (a *app) loneRun(args []string, f runFlags, q belt.Question) error {
	if len(args) > 0 {
		return usageError{&fleet.Error{Kind: fleet.Invalid, Msg: "a run is either a vehicle's or in a file, not both",
			Hint: "leave out the vehicle, or --file"}}
	}
	name := cmp.Or(f.measures, f.file)
	src, err := os.ReadFile(name)
	if err != nil {
		return unreadable(name, err)
	}
	if f.measures != "" {
		return a.measuredRun(f, src)
	}
	rs, err := sheet.ReadRun(f.file, src)
	if err != nil {
		return err
	}
	b, err := belt.Alone(rs, q)
	if err != nil {
		return err
	}
	for _, w := range rs.Warnings {
		a.note("", message.Name(fmt.Sprint(w)))
	}
	return a.showRuns(&yard.Yard{}, f, b)
}

// measuredRun places the pulleys of a run in a file from its measures.
func (a *app) measuredRun(f runFlags, src []byte) error {
	p, err := measured.ReadFile(f.measures, src)
	if err != nil {
		return err
	}
	if f.svg != "" {
		if err := writeRun(f.svg, p.As); err != nil {
			return err
		}
	}
	if a.json {
		return a.printJSON(p.View())
	}
	return a.print(&yard.Yard{}, func(t *print.Text) { t.Measured(p) })
}

// vehicleRun answers for one run of a vehicle, or for each.
func (a *app) vehicleRun(y *yard.Yard, r *advise.Report, names []string, f runFlags, q belt.Question) error {
	if len(names) == 0 && len(r.Vehicle.Runs) == 0 {
		return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no belt run on its sheet", r.Vehicle.Name),
			Hint: "docs/your-own-run.md says how to measure and write one"}
	}
	if len(names) == 0 && (q.Belt != "" || f.svg != "" || len(r.Vehicle.Runs) == 1) {
		names = []string{r.Vehicle.Runs[0].ID}
	}
	if len(names) == 0 {
		for i := range r.Vehicle.Runs {
			names = append(names, r.Vehicle.Runs[i].ID)
		}
	}
	var all []*belt.Run
	for _, name := range names {
		b, err := belt.Of(r, name, q)
		if err != nil {
			return err
		}
		all = append(all, b)
	}
	return a.showRuns(y, f, all...)
}

// showRuns writes the drawing, then the answer as text or JSON.
func (a *app) showRuns(y *yard.Yard, f runFlags, all ...*belt.Run) error {
	if f.svg != "" {
		if err := writeRun(f.svg, all[0]); err != nil {
			return err
		}
	}
	if a.json {
		if len(all) == 1 {
			return a.printJSON(all[0].View())
		}
		views := make([]belt.RunView, len(all))
		for i, b := range all {
			views[i] = b.View()
		}
		return a.printJSON(views)
	}
	return a.print(y, func(t *print.Text) {
		for i, b := range all {
			if i > 0 {
				t.Head(message.Is(b.Run.Name))
			}
			t.Run(b)
		}
	})
}

// writeRun writes the drawing of a run, or of what it would be.
func writeRun(name string, b *belt.Run) error {
	head := draw.Head{ID: "run", Title: message.Name(b.Run.Name), Width: 640}
	fig, err := b.Figure(head, nil)
	if b.Change != nil && len(b.Change.After.Refused) == 0 {
		head.Title = message.Of("%s: %s", b.Run.Name, b.Change.Title())
		fig, err = b.Change.Figure(head)
	}
	if err != nil {
		return err
	}
	if err := os.WriteFile(name, []byte(fig.SVG.Alone()), 0o644); err != nil {
		return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the drawing cannot be written",
			Hint: "check the folder and that you may write there", Err: err}
	}
	return nil
}

// question reads what was typed.
func (f *runFlags) question() (belt.Question, error) {
	q := belt.Question{Belt: f.belt, LeaveOut: f.leaveOut, Diameters: map[string]float64{},
		Moves: map[string]belt.Point{}}
	if f.rpmGiven {
		q.RPM = &f.rpm
	}
	for _, s := range f.diameters {
		name, figure, ok := strings.Cut(s, "=")
		d, err := units.Parse(strings.TrimSpace(figure), units.Length)
		if !ok || err != nil {
			return q, wrongFlag("diameter", s, "write it as alternator=58mm", err)
		}
		q.Diameters[strings.TrimSpace(name)] = d.Base()
	}
	for _, s := range f.moves {
		name, figures, ok := strings.Cut(s, "=")
		at, err := point(figures)
		if !ok || err != nil {
			return q, wrongFlag("move", s, `write it as "idler = 84 mm, 150 mm"`, err)
		}
		q.Moves[strings.TrimSpace(name)] = at
	}
	if err := f.readTaps(&q); err != nil {
		return q, err
	}
	return q, f.readRest(&q)
}

func (f *runFlags) readTaps(q *belt.Question) error {
	for _, s := range f.taps {
		ends, figure, ok := strings.Cut(s, "=")
		from, to, two := cutSpan(ends)
		figure = strings.TrimSpace(figure)
		if _, err := units.Parse(figure, units.Number); err == nil {
			figure += " Hz"
		}
		hz, err := units.Parse(figure, units.Frequency)
		if !ok || !two || err != nil {
			return wrongFlag("tap", s, `write it as "crank - alternator = 74 Hz"`, err)
		}
		q.Taps = append(q.Taps, belt.Tap{From: from, To: to, Hz: hz.Base()})
	}
	return nil
}

// cutSpan splits the ends of a span at " - ", " to " or a single hyphen.
func cutSpan(s string) (from, to string, ok bool) {
	for _, sep := range []string{" - ", " to ", "-"} {
		if from, to, ok = strings.Cut(s, sep); ok {
			return strings.TrimSpace(from), strings.TrimSpace(to), true
		}
	}
	return "", "", false
}

func (f *runFlags) readRest(q *belt.Question) error {
	if f.arm != "" {
		v, err := units.ParseAny(f.arm)
		if err != nil || v.Dimension() != units.Angle && v.Dimension() != units.Length {
			return wrongFlag("arm", f.arm, "write it as 6° for an arm or 4 mm for a slide", err)
		}
		at := v.Base()
		q.Arm = &at
	}
	if f.idler != "" {
		size, where, ok := strings.Cut(f.idler, " at ")
		d, err := units.Parse(strings.TrimSpace(size), units.Length)
		if !ok || err != nil {
			return wrongFlag("idler", f.idler, `write it as "70 mm at 120 mm, 90 mm"`, err)
		}
		at, err := point(where)
		if err != nil {
			return wrongFlag("idler", f.idler, `write it as "70 mm at 120 mm, 90 mm"`, err)
		}
		q.Idler = &belt.Idler{DiameterMM: d.Base(), At: at}
	}
	return nil
}

// point reads "84 mm, 150 mm".
func point(s string) (belt.Point, error) {
	xs, ys, _ := strings.Cut(s, ",")
	x, err := units.Parse(strings.TrimSpace(xs), units.Length)
	if err != nil {
		return belt.Point{}, err
	}
	y, err := units.Parse(strings.TrimSpace(ys), units.Length)
	return belt.Point{X: x.Base(), Y: y.Base()}, err
}

func wrongFlag(flag, typed string, hint message.Text, err error) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: "--" + flag, Msg: message.Of("%q cannot be read", typed),
		Hint: hint, Err: err}
}
