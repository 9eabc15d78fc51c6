package cli

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"time"
)

// beginsAsDate is what only a date can be, or what was meant as one.
var beginsAsDate = regexp.MustCompile(`^(\d{4}-\d{1,2}(-|$)|\d{1,2}[./]\d{1,2}[./]\d{4}|\d{8}T)`)

// Every date in an answer as JSON is a full-date or a date-time of RFC 3339 with its zone; only
// what is called a month has none. A date that is not known is left out, not empty or of the year one.
func TestDatesInJSONAreStrict(t *testing.T) {
	demoYard(t)
	days, times, months := 0, 0, 0
	var look func(where string, v any)
	look = func(where string, v any) {
		switch x := v.(type) {
		case map[string]any:
			for k, sub := range x {
				look(where+"."+k, sub)
			}
		case []any:
			for _, sub := range x {
				look(where, sub)
			}
		case string:
			if x == "" && regexp.MustCompile(`\.(date|day|recorded|from|until|since)$`).MatchString(where) {
				t.Errorf("%s is empty", where)
			}
			if !beginsAsDate.MatchString(x) || strings.HasPrefix(x, "0001-") {
				if strings.HasPrefix(x, "0001-") {
					t.Errorf("%s is %q, which is no date", where, x)
				}
				return
			}
			if _, err := time.Parse(time.DateOnly, x); err == nil {
				days++
			} else if _, err := time.Parse(time.RFC3339Nano, x); err == nil {
				times++
			} else if _, err := time.Parse("2006-01", x); err == nil && strings.HasSuffix(where, ".month") {
				months++
			} else {
				t.Errorf("%s is %q, no date of RFC 3339", where, x)
			}
		}
	}
	for _, line := range []string{"position heron main-belt", "plan heron", "history bittern",
		"handover bittern", `trip heron "1200 km"`, "forecast heron", "round heron", "aboard heron", "lives v-belt",
		`odometer heron "217000 km"`, "journal export -"} {
		ask := line
		if !strings.HasPrefix(line, "journal") {
			ask += " --json"
		}
		code, out, complaint := typed(ask, "")
		if code != exitOK {
			t.Fatalf("%s ends with %d: %s", ask, code, complaint)
		}
		dec := json.NewDecoder(strings.NewReader(out))
		for dec.More() {
			var v any
			if err := dec.Decode(&v); err != nil {
				t.Fatalf("%s: %v", ask, err)
			}
			look(line, v)
		}
	}
	if days < 1000 || times < 1000 || months == 0 {
		t.Errorf("%d days, %d times and %d months seen", days, times, months)
	}
}
