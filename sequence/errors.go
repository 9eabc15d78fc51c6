package sequence

import (
	"fmt"
	"slices"
	"strings"
)

// Fault says what is wrong with the input.
type Fault int

// The faults that Order reports.
const (
	MissingID           Fault = iota + 1 // a step without an ID
	DuplicateID                          // two steps with one ID
	UnknownPrerequisite                  // After names no step
	Cycle                                // steps that wait for each other
	UnknownAttribute                     // a setting names an attribute that Changes does not
	UnknownValue                         // a setting gives a value that Changes does not name
	BadChange                            // a change that is incomplete, repeated or has a bad cost
	NoWay                                // a value that cannot be reached from another
	TooMany                              // more steps or values than the limits allow
	BadOption                            // an option out of range
)

// Error is one fault in the input of Order.
type Error struct {
	Fault   Fault
	Step    string   // ID of the step concerned; empty when none is
	Field   string   // "id", "after", "needs", "start", "end", "changes" or "max states"
	Value   string   // the offending ID, attribute or value; empty when none is
	Nearest string   // the known name nearest to Value; empty when none is near
	Cycle   []string // for Cycle: the IDs on it, each a prerequisite of the next and the last of the first
	Msg     string   // the whole message
}

// Error returns what is wrong, where, and what would be right.
func (e *Error) Error() string { return e.Msg }

// suggest ends a message with the nearest known name, if one is near.
func suggest(nearest string) string {
	if nearest == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", nearest)
}

// quotedList renders names, of which there are two or more, as a, b and c; only
// the first few when there are many.
func quotedList(names []string) string {
	const most = 8
	quoted := make([]string, 0, most)
	for _, name := range names[:min(most, len(names))] {
		quoted = append(quoted, fmt.Sprintf("%q", name))
	}
	last := len(quoted) - 1
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(quoted, ", "), len(names)-most)
	}
	return strings.Join(quoted[:last], ", ") + " and " + quoted[last]
}

// nearestName returns the known name with the fewest single-letter edits from
// name, the alphabetically first of several, or "" when more than half the
// letters would have to change.
func nearestName(name string, known []string) string {
	sorted := slices.Sorted(slices.Values(known))
	best, bestDistance := "", len([]rune(name))/2+1
	for _, candidate := range sorted {
		if d := editDistance(name, candidate); d < bestDistance {
			best, bestDistance = candidate, d
		}
	}
	return best
}

// editDistance counts the insertions, deletions and replacements that turn a
// into b (V. Levenshtein, Soviet Physics Doklady 10, 1966).
func editDistance(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range from {
		diagonal := row[0]
		row[0] = i + 1
		for j, s := range to {
			replace := diagonal
			if r != s {
				replace++
			}
			diagonal = row[j+1]
			row[j+1] = min(replace, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(to)]
}
