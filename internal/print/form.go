package print

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/cells"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/visit"
)

// RoundYAML writes a round as a file to fill in: every check with its answers
// in a comment. Checks left blank are passed over when it is read.
func RoundYAML(w io.Writer, r *visit.Round) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "# Round of %s. Fill in what you looked at, leave the rest blank, then:\n#   undertray findings "+
		"THIS-FILE\n", r.Vehicle.Name)
	fmt.Fprintf(b, "vehicle: %s\ndate: %s\nodometer:\nfound:\n", r.Vehicle.ID, r.On)
	for _, p := range byPosition(r) {
		fmt.Fprintf(b, "  # %s%s\n  %s:\n", p.Position.Name, whereWords(p), p.Position.ID)
		for _, c := range p.Checks {
			fmt.Fprintf(b, "    # %s: %s\n    #   %s\n    %s:\n", c.Sense, c.Question, choice(c.Check), c.ID)
		}
		fmt.Fprint(b, "    note:\n")
	}
	return b.Flush()
}

// RoundCSV writes a round as a spreadsheet to fill in, in one of cells.Forms. What is measured has its unit in a
// column of its own, beside a bare figure.
func RoundCSV(w io.Writer, form string, r *visit.Round) error {
	rows := [][]any{{"position", "check", "answer", "unit", "note", "name", "question", "possible answers"},
		{"vehicle", "", r.Vehicle.ID, "", "", r.Vehicle.Name, "", ""},
		{"date", "", r.On.String(), "", "", "", "", ""},
		{"odometer", "", "", r.Vehicle.Reader.CounterUnit(), "", "",
			message.Of("What does the %s show?", r.Vehicle.Counts.Meter()).String(), ""}}
	for _, p := range byPosition(r) {
		for _, check := range p.Checks {
			rows = append(rows, []any{p.Position.ID, check.ID, "", check.FigureUnit(), "", p.Position.Name,
				check.Question, choice(check.Check)})
		}
	}
	return cells.Write(w, form, rows)
}

// byPosition gathers a position's checks of all stages into one stop, in the
// order of first meeting.
func byPosition(r *visit.Round) []visit.Stop {
	var out []visit.Stop
	at := map[string]int{}
	for _, s := range r.Stages {
		for _, stop := range s.Stops {
			i, ok := at[stop.Position.ID]
			if !ok {
				at[stop.Position.ID] = len(out)
				out = append(out, stop)
				continue
			}
			out[i].Checks = append(append([]visit.CheckItem{}, out[i].Checks...), stop.Checks...)
		}
	}
	return out
}

func whereWords(s visit.Stop) message.Text {
	if s.Position.Where == "" {
		return ""
	}
	return message.Of(", %s", s.Position.Where)
}

// choice lists what a check can be answered with.
func choice(c *catalogue.Check) string {
	if c.Measured() {
		return "a figure in " + c.Unit
	}
	return strings.Join(c.AnswerIDs(), " | ")
}
