package fleet

import (
	"regexp"
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
)

// fields are what errors call the fields of forms.
var fields = []message.Text{"aboard", "across", "alarm", "along", "amount", "answer", "answers", "arm", "at", "batch",
	"bearing", "belt %s", "belts", "checks", "code", "correction", "cost", "counts", "currency", "cylinders", "date",
	"day", "days", "device", "distance", "distances driven", "engine speed", "fasteners", "file", "first used",
	"fluids", "for", "from", "gone", "hours", "how many", "idler to be added", "in a year", "interval %s",
	"interval %s, time", "journal", "keep", "kind of part", "known", "length of the belt that is on", "length",
	"limit %s", "line %s", "material", "may", "measure %s", "minutes to put back", "minutes", "money", "month",
	"month-hours", "move", "name", "odometer", "off", "oil change", "oil change, time", "old", "old, new", "on",
	"open", "opening", "opening, check", "person", "picture", "pictures", "place of the tensioner", "position",
	"position, month", "pressures", "program", "pulley", "query", "question", "recording", "recovery", "removed",
	"rpm", "run", "scale", "section", "seen", "settles", "sheet", "short name", "since", "since-date", "since-total",
	"sizes and gaps", "skip", "stance", "start", "step", "tap", "tapped span", "temperatures", "text", "the text",
	"thing", "tick", "to", "tone", "torque", "torques", "trigger", "try", "under", "used up", "vehicle", "vehicles",
	"visit", "weights", "what you call it", "what", "why", "work"}

// Field is where an error stands, as pages and answers say it: a field of a form, of which one of several rows, or a
// name, such as that of a file or of a position and its check.
func Field(where string) message.Text {
	n := rowNumber.FindString(where)
	if row := message.Text(strings.Replace(where, n, "%s", 1)); n != "" && slices.Contains(fields, row) {
		return row.With(n)
	}
	if slices.Contains(fields, message.Text(where)) {
		return message.Text(where)
	}
	return message.Name(where)
}

// rowNumber matches the number of a row among some that are alike.
var rowNumber = regexp.MustCompile(`\d+`)
