package ask

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/fleet"
)

// Questions lists every question with all its choices, in the order they are asked.
func Questions() []Question { return slices.Clone(theKit().Questions) }

// Talk asks the questions one by one as text: a number or an id answers, an empty
// line takes what is usual, and what is none is asked again. The error is of kind
// fleet.Invalid where the input ends before the last answer.
func Talk(in io.Reader, out io.Writer) (Answers, error) {
	t := &talk{in: bufio.NewScanner(in), out: out}
	a := Answers{Say: map[string]string{}}
	fmt.Fprintln(out, "Type a number, or nothing for what is usual (marked *); ? for don't know.")
	for {
		r, err := Resolve(a)
		if err != nil {
			return a, err
		}
		i := slices.IndexFunc(r.Asked, func(q Question) bool { return a.Say[q.ID] == "" })
		if i < 0 {
			return a, t.belts(&a, r)
		}
		q := &r.Asked[i]
		if len(q.Choices) == 1 {
			a.Say[q.ID] = q.Choices[0].ID
			continue
		}
		if a.Say[q.ID], err = t.ask(q, r.Answer[q.ID]); err != nil {
			return a, err
		}
	}
}

type talk struct {
	in  *bufio.Scanner
	out io.Writer
}

// line reads an answer.
func (t *talk) line() (string, error) {
	fmt.Fprint(t.out, "> ")
	if !t.in.Scan() {
		return "", &fleet.Error{Kind: fleet.Invalid, Where: "answers", Msg: "they end before the last question",
			Hint: "nothing was written: begin again, or answer by flags"}
	}
	return strings.TrimSpace(t.in.Text()), nil
}

func (t *talk) ask(q *Question, usual string) (string, error) {
	for {
		fmt.Fprintf(t.out, "\n%s\n", q.Ask)
		if q.Hint != "" {
			fmt.Fprintf(t.out, "  %s\n", q.Hint)
		}
		for i, c := range q.Choices {
			mark := " "
			if c.ID == usual {
				mark = "*"
			}
			fmt.Fprintf(t.out, " %s %d  %s\n", mark, i+1, c.Say)
		}
		text, err := t.line()
		if err != nil {
			return "", err
		}
		n, number := strconv.Atoi(text)
		switch {
		case text == "":
			return usual, nil
		case text == "?":
			return DontKnow, nil
		case number == nil && n >= 1 && n <= len(q.Choices):
			return q.Choices[n-1].ID, nil
		}
		if slices.ContainsFunc(q.Choices, func(c Choice) bool { return c.ID == text }) {
			return text, nil
		}
		fmt.Fprintf(t.out, "%q is none of these: type a number from 1 to %d.\n", text, len(q.Choices))
	}
}

// belts asks what the belts turn.
func (t *talk) belts(a *Answers, r *Resolved) error {
	if len(r.Belts) == 0 {
		return nil
	}
	fmt.Fprintln(t.out, "\nBelts: the one that comes off first in front, what each turns in order from the "+
		"crankshaft, "+
		"clockwise.\nThe usual ones:")
	for _, b := range r.Belts {
		fmt.Fprintln(t.out, "  "+b.String())
	}
	fmt.Fprintln(t.out, "Type nothing to take them, or a line for each of yours and an empty line at the end.")
	for {
		text, err := t.line()
		if err != nil {
			return err
		}
		if text == "" {
			if _, err = Resolve(*a); err == nil {
				return nil
			}
		} else {
			var b Belt
			if b, err = ParseBelt(text); err == nil {
				a.Belts = append(a.Belts, b)
				continue
			}
		}
		fmt.Fprintf(t.out, "%v\nBegin again with the first belt.\n", err)
		a.Belts = nil
	}
}
