package cells

import (
	"fmt"
	"strings"
	"testing"
)

func TestLists(t *testing.T) {
	const src = `{"headline": "two visits", "money": 99, "gives": [], "rests_on": ["a", "b"],
 "visits": [
  {"date": "2026-12-26", "money": 60.5, "parts": "60 EUR", "tasks": [
    {"position": "main-belt", "cost": "38.50 EUR", "life": "60000 km",
     "first": ["clean", "dry"], "due": {"by": "2027-01-01"}},
    {"position": "idler", "cost": "22 EUR", "round": true, "deep": [{"x": 1}]}]},
  {"date": "2027-04-03", "tasks": []}],
 "basis": [{"says": "x"}, {"says": "8200 mi or so"}, {"says": null}]}`
	lists, err := Lists([]byte(src))
	if err != nil || len(lists) != 2 || lists[0].Name != "visits" || lists[1].Name != "basis" ||
		len(lists[0].Lines) != 2 {
		t.Fatalf("%+v, %v", lists, err)
	}
	for i, want := range []string{`visit date|visit money|visit parts|visit parts unit|position|cost|cost unit|life|life unit|first|due by|round
2026-12-26|60.5|60|EUR|main-belt|38.5|EUR|60000|km|clean; dry|2027-01-01|
2026-12-26||||idler|22|EUR|||||yes
2027-04-03|||||||||||`, "says\nx\n8200 mi or so\n"} {
		var got []string
		for _, row := range lists[i].Rows {
			var line []string
			for _, c := range row {
				line = append(line, fmt.Sprint(c))
			}
			got = append(got, strings.Join(line, "|"))
		}
		if strings.Join(got, "\n") != want {
			t.Errorf("%s:\n%s", lists[i].Name, strings.Join(got, "\n"))
		}
	}
	whole, err := Lists([]byte(`[{"a": 1}, {"b": "<2"}]`))
	if err != nil || len(whole) != 1 || len(whole[0].Rows) != 3 || whole[0].Name != "" {
		t.Errorf("%+v, %v", whole, err)
	}
	if _, err := Lists([]byte(`{"a": [`)); err == nil {
		t.Error("half an answer is taken")
	}
}
