package sequence

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

func TestErrors(t *testing.T) {
	side := BothWays("side", "above", "below", 1)
	many := make([]Change, 0, 2*MaxValues)
	for v := range MaxValues {
		many = append(many, BothWays("node", fmt.Sprint(v), fmt.Sprint(v+1), 1)...)
	}
	cases := []struct {
		name  string
		steps []Step
		opts  Options
		want  Error // Msg is a part of the message
	}{
		{"no ID", []Step{{ID: "a"}, {}}, Options{},
			Error{Fault: MissingID, Field: "id", Msg: "step 2 has no ID"}},
		{"duplicate ID", []Step{{ID: "a"}, {ID: "b"}, {ID: "a"}}, Options{},
			Error{Fault: DuplicateID, Step: "a", Field: "id", Value: "a", Msg: `steps 1 and 3 are both called "a"`}},
		{"unknown prerequisite", []Step{{ID: "undertray off"}, {ID: "b", After: []string{"undertray of"}}}, Options{},
			Error{Fault: UnknownPrerequisite, Step: "b", Field: "after", Value: "undertray of",
				Nearest: "undertray off",
				Msg:     `step "b" comes after "undertray of", which is not a step; did you mean "undertray off"?`}},
		{"unknown prerequisite, none near", []Step{{ID: "abc"}, {ID: "b", After: []string{"xyz"}}}, Options{},
			Error{Fault: UnknownPrerequisite, Step: "b", Field: "after", Value: "xyz", Msg: `which is not a step`}},
		{"after itself", []Step{{ID: "a", After: []string{"a"}}}, Options{},
			Error{Fault: Cycle, Step: "a", Field: "after", Value: "a", Cycle: []string{"a"},
				Msg: `"a", then "a" again`}},
		{"cycle", []Step{
			{ID: "x", After: []string{"c"}}, {ID: "c", After: []string{"b", "e"}}, {ID: "b", After: []string{"a"}},
			{ID: "a", After: []string{"c"}}, {ID: "e"}}, Options{},
			Error{Fault: Cycle, Step: "a", Field: "after", Value: "c", Cycle: []string{"a", "b", "c"},
				Msg: `"a" before "b" before "c", then "a" again`}},
		{"unknown attribute", []Step{{ID: "a", Needs: Setting{"sid": "above"}}}, Options{Changes: side},
			Error{Fault: UnknownAttribute, Step: "a", Field: "needs", Value: "sid", Nearest: "side",
				Msg: `did you mean "side"?`}},
		{"unknown value", []Step{{ID: "a", Needs: Setting{"side": "abov"}}}, Options{Changes: side},
			Error{Fault: UnknownValue, Step: "a", Field: "needs", Value: "abov", Nearest: "above",
				Msg: `step "a" needs: side cannot be "abov": the changes know "above" and "below"; ` +
					`did you mean "above"?`}},
		{"unknown start", nil, Options{Changes: side, Start: Setting{"side": "left"}},
			Error{Fault: UnknownValue, Field: "start", Value: "left", Msg: "start: side cannot be"}},
		{"unknown end", nil, Options{Changes: side, End: Setting{"hight": "ground"}},
			Error{Fault: UnknownAttribute, Field: "end", Value: "hight",
				Msg: `end: no change names the attribute "hight"`}},
		{"no attribute", nil, Options{Changes: []Change{{"", "a", "b", 1}}},
			Error{Fault: BadChange, Field: "changes", Msg: "change 1"}},
		{"no value", nil, Options{Changes: []Change{{"side", "a", "", 1}}},
			Error{Fault: BadChange, Field: "changes", Value: "side", Msg: "lacks a value"}},
		{"no change", nil, Options{Changes: []Change{{"side", "a", "a", 1}}},
			Error{Fault: BadChange, Field: "changes", Value: "side", Msg: "must differ"}},
		{"negative cost", nil, Options{Changes: []Change{{"side", "a", "b", -1}}},
			Error{Fault: BadChange, Field: "changes", Value: "side", Msg: "costs -1: give 0 to 1000000000"}},
		{"cost too high", nil, Options{Changes: []Change{{"side", "a", "b", MaxCost + 1}}},
			Error{Fault: BadChange, Field: "changes", Value: "side", Msg: "costs 1000000001"}},
		{"listed twice", nil, Options{Changes: append(slices.Clone(side), side[0])},
			Error{Fault: BadChange, Field: "changes", Value: "side",
				Msg: `change 3 (side: "above" to "below") is listed twice`}},
		{"no way back", nil, Options{Changes: side[:1]},
			Error{Fault: NoWay, Field: "changes", Value: "side", Msg: `no changes lead from "below" to "above"`}},
		{"too many values", nil, Options{Changes: many},
			Error{Fault: TooMany, Field: "changes", Value: "node", Msg: "256 values: at most 255"}},
		{"too many steps", make([]Step, MaxSteps+1), Options{},
			Error{Fault: TooMany, Field: "id", Msg: "1001 steps: at most 1000"}},
		{"negative limit", nil, Options{MaxStates: -1},
			Error{Fault: BadOption, Field: "max states", Msg: "max states is -1"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := Order(c.steps, c.opts)
			var got *Error
			if !errors.As(err, &got) {
				t.Fatalf("error %v, want an *Error", err)
			}
			if !strings.Contains(err.Error(), c.want.Msg) {
				t.Errorf("message %q lacks %q", err, c.want.Msg)
			}
			if got.Fault != c.want.Fault || got.Step != c.want.Step || got.Field != c.want.Field ||
				got.Value != c.want.Value || got.Nearest != c.want.Nearest || !slices.Equal(got.Cycle, c.want.Cycle) {
				t.Errorf("got %+v, want %+v", *got, c.want)
			}
		})
	}
}

func TestLongCycleIsShortened(t *testing.T) {
	steps := make([]Step, 30)
	for i := range steps {
		steps[i] = Step{ID: fmt.Sprintf("s%02d", i), After: []string{fmt.Sprintf("s%02d", (i+29)%30)}}
	}
	_, err := Order(steps, Options{})
	var got *Error
	if !errors.As(err, &got) || len(got.Cycle) != 30 ||
		!strings.Contains(got.Msg, `"s07" before 21 more before "s29", then "s00" again`) {
		t.Errorf("got %v", err)
	}
}

// All faults of one stage are reported at once.
func TestErrorsAreJoined(t *testing.T) {
	_, err := Order([]Step{
		{ID: "a", Needs: Setting{"side": "x", "colour": "red"}}, {ID: "a"}, {},
	}, Options{Changes: BothWays("side", "above", "below", 1), Start: Setting{"side": "y"}})
	if lines := strings.Split(err.Error(), "\n"); len(lines) != 5 {
		t.Errorf("%d messages, want 5:\n%v", len(lines), err)
	}
}

func TestEditDistance(t *testing.T) {
	// kitten to sitting is the textbook case: two replacements, one insertion.
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"", "abc", 3}, {"abc", "", 3}, {"grün", "grun", 1}, {"same", "same", 0}} {
		if got := editDistance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d edits, want %d", c.a, c.b, got, c.want)
		}
	}
}
