package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/intake"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

func (a *app) askCmd() *cobra.Command {
	var w when
	var open string
	c := &cobra.Command{Use: "ask VEHICLE",
		Short: "Do a round at the terminal: one question after the other, kept as one batch", Args: a.args(1, 1),
		Long: "Asks every check of a round in walking order. An empty line passes a check over;\n" +
			"\"skip\" passes the position over; \"end\" ends the round and records what was answered;\n" +
			"\"drop\" ends it and records nothing. Ctrl-C records nothing and keeps what was answered\n" +
			"in a file that undertray findings takes.",
		RunE: func(c *cobra.Command, args []string) error {
			if _, err := a.entry(fleet.TypeFound, w); err != nil {
				return err // before a question is asked, not after the last answer
			}
			return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
				v, err := y.Vehicle(args[0])
				if err != nil {
					return err
				}
				r, err := a.reportOn(c.Context(), y, v)
				if err != nil {
					return err
				}
				round, err := visit.NewRound(r, visit.RoundOptions{Open: commas(open)})
				if err != nil {
					return err
				}
				return a.askRound(c.Context(), y, store, round, w)
			})
		}}
	w.flags(c)
	c.Flags().StringVar(&open, "open", "", "openings made, with commas between")
	return c
}

// askRound asks a round and records what was answered. What cannot be recorded, or is broken off, is kept in a file.
func (a *app) askRound(ctx context.Context, y *yard.Yard, store journal.Store, round *visit.Round, w when) error {
	q := &asking{app: a, lines: make(chan string)}
	var stop func()
	q.ctx, stop = signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	go q.read(a.in)
	rows, word := q.round(round)
	switch {
	case word == broken:
		a.item("", "")
		a.line("Broken off: nothing is recorded.")
		a.keepAnswers(round.Vehicle, rows, w)
		return errBroken
	case word == "drop", len(rows) == 0:
		a.line("Nothing recorded.")
		return nil
	}
	entries, errs := a.roundEntries(y, round.Vehicle, rows, w)
	err := errors.Join(errs...)
	var stored []*fleet.Entry
	if err == nil {
		stored, err = a.recorder(y).Batch(ctx, round.Vehicle, entries)
	}
	if err != nil {
		a.keepAnswers(round.Vehicle, rows, w)
		return err
	}
	return a.recorded(ctx, y, store, round.Vehicle, stored)
}

// keepAnswers writes what was answered into a file to record later, and says how.
func (a *app) keepAnswers(v *fleet.Vehicle, rows []record.TypedFinding, w when) {
	if len(rows) == 0 {
		return
	}
	f, err := a.writeAnswers(v, rows, w)
	if err != nil {
		a.line("What was answered is lost: %s.", fleet.Why(err))
		return
	}
	name, err := filepath.Abs(f.Name())
	if err != nil {
		name = f.Name()
	}
	a.line("What was answered is kept; record it with: %s", "undertray findings "+quoted(name))
}

func (a *app) writeAnswers(v *fleet.Vehicle, rows []record.TypedFinding, w when) (*os.File, error) {
	e, err := a.entry(fleet.TypeFound, w)
	if err != nil {
		return nil, err
	}
	answers := intake.Answers{Vehicle: v.ID, Date: e.Date, Odometer: e.Odometer, Found: map[string]map[string]string{}}
	for _, r := range rows {
		if answers.Found[r.Position] == nil {
			answers.Found[r.Position] = map[string]string{}
		}
		answers.Found[r.Position][r.Check] = r.Answer
	}
	text, err := answers.File()
	if err != nil {
		return nil, err
	}
	line, err := yard.EditorLine(a.dir, "answers.json", intake.AnswersSchema())
	if err != nil {
		return nil, err
	}
	f, err := os.CreateTemp(a.dir, "round-"+v.ID+"-*.yaml")
	if err != nil {
		return nil, err
	}
	_, err = f.WriteString(line + string(text))
	return f, errors.Join(err, f.Close())
}

// broken is the word for a round that was broken off.
const broken = "\x03"

// errBroken ends a command that was broken off; it has said so itself.
var errBroken = errors.New("broken off")

// asking is a round that is being asked.
type asking struct {
	*app
	ctx   context.Context // ends when it is broken off
	lines chan string     // what is typed, closed at its end
}

func (q *asking) read(in io.Reader) {
	defer close(q.lines)
	for s := bufio.NewScanner(in); s.Scan(); {
		select {
		case q.lines <- s.Text():
		case <-q.ctx.Done():
			return
		}
	}
}

// answer asks for one line; ok is false where no more comes.
func (q *asking) answer() (typed string, ok bool) {
	fmt.Fprint(q.out, "   > ")
	select {
	case typed, ok = <-q.lines:
		return strings.TrimSpace(typed), ok
	case <-q.ctx.Done():
		return broken, true
	}
}

// round puts the round's checks one by one and returns the word that ended it.
func (q *asking) round(round *visit.Round) (rows []record.TypedFinding, word string) {
	for _, stage := range round.Stages {
		q.item("", "")
		q.item("", stage.Title())
		for _, c := range stage.Cautions {
			q.item("! ", message.Is(c))
		}
		for _, stop := range stage.Stops {
			got, word := q.stop(stop)
			rows = append(rows, got...)
			switch word {
			case "end", "drop", broken:
				return rows, word
			}
		}
	}
	return rows, ""
}

// stop asks the checks of one position and returns the word that ended it.
func (q *asking) stop(stop visit.Stop) (rows []record.TypedFinding, word string) {
	q.item("", "")
	q.item(fmt.Sprintf("%d. ", stop.N), message.Is(stop.Position.Name))
	for _, c := range stop.Checks {
		q.item("   ", message.Is(c.Question))
		if c.Caution != "" {
			q.item("   ! ", message.Is(c.Caution))
		}
		for i, ans := range c.Answers {
			q.item(fmt.Sprintf("   %d  ", i+1), message.Is(ans.Say))
		}
		for {
			typed, ok := q.answer()
			if !ok {
				return rows, "end"
			}
			switch typed {
			case "":
			case "skip", "end", "drop", broken:
				return rows, typed
			default:
				answer := c.Numbered(typed)
				if _, err := record.Answer(stop.Kind, c.ID, answer); err != nil {
					q.report(err)
					continue
				}
				rows = append(rows, record.TypedFinding{Position: stop.Position.ID, Check: c.ID, Answer: answer})
			}
			break
		}
	}
	return rows, ""
}
