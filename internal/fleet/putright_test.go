package fleet

import (
	"encoding/json"
	"strings"
	"testing"

	"undertray.example/undertray/units"
)

func TestDeadlineText(t *testing.T) {
	for text, want := range map[string]string{
		"before-next-drive": "before-next-drive",
		"next-oil-change":   "next-oil-change",
		"500 km":            "500 km",
		"2 weeks":           "2 weeks",
		"2 weeks or 500 mi": "500 mi or 2 weeks",
	} {
		var d Deadline
		if err := d.UnmarshalText([]byte(text)); err != nil || d.String() != want {
			t.Errorf("%q is read as %q, %v", text, d, err)
		}
		out, err := json.Marshal(Limit{Verdict: PutRight, Authority: CommonPractice, By: &d, Do: TopUp})
		var back Limit
		if err != nil || json.Unmarshal(out, &back) != nil || back.By.String() != want || back.Do != TopUp {
			t.Errorf("%q comes back from JSON as %+v, %v", text, back, err)
		}
	}
	for _, text := range []string{"", "soon", "500", "0 km", "-3 days", "4 N·m", "500 km or 600 km",
		"500 km or next-visit", "next-visit or"} {
		var d Deadline
		if err := d.UnmarshalText([]byte(text)); err == nil ||
			!strings.Contains(err.Error(), "such as 500 km or 2 weeks") {
			t.Errorf("%q is read as %q, %v", text, d, err)
		}
	}
	var a Action
	if err := a.UnmarshalText([]byte("topup")); err == nil || !strings.Contains(err.Error(), `did you mean "top-up"?`) {
		t.Errorf("%v", err)
	}
}

func TestUndue(t *testing.T) {
	km := units.MustParse("500 km")
	by := &Deadline{Distance: &km}
	for _, c := range []struct {
		l   Limit
		key string
	}{
		{Limit{Verdict: PutRight, Do: Tighten, By: by}, ""},
		{Limit{Verdict: Park, Do: Change}, ""},
		{Limit{Verdict: Watch, Do: Clean}, ""},
		{Limit{Verdict: Keep, Do: Clean}, "do"},
		{Limit{Verdict: Watch, By: by}, "by"},
		{Limit{Verdict: Park, By: by}, "by"},
	} {
		if key, wrong := c.l.Undue(); key != c.key || (wrong == "") != (key == "") {
			t.Errorf("%+v: %q, %q", c.l, key, wrong)
		}
	}
}

// What a limit does not say is what most ask for: a change at the next visit.
func TestUnsaidActionAndDeadline(t *testing.T) {
	km := units.MustParse("500 km")
	by := &Deadline{Distance: &km}
	for _, c := range []struct {
		l      Limit
		do, by string
	}{
		{Limit{Verdict: Keep}, "", ""},
		{Limit{Verdict: Watch}, "", ""},
		{Limit{Verdict: Watch, Do: TopUp}, "top-up", ""},
		{Limit{Verdict: PutRight}, "change", "next-visit"},
		{Limit{Verdict: PutRight, Do: Refit, By: by}, "refit", "500 km"},
		{Limit{Verdict: Park}, "", ""},
		{Limit{Verdict: Park, Do: FindOut}, "find-out", ""},
	} {
		when := ""
		if d := c.l.Deadline(); d != nil {
			when = d.String()
		}
		if string(c.l.Action()) != c.do || when != c.by {
			t.Errorf("%+v: %q by %q, want %q by %q", c.l, c.l.Action(), when, c.do, c.by)
		}
	}
}

// One source is a text, several are a list; a comma inside a text parts
// nothing.
func TestSources(t *testing.T) {
	for _, s := range []Sources{nil, {"handbook, page 7"}, {"sae-j20", "hose-makers"}} {
		out, err := json.Marshal(s)
		var back Sources
		if err != nil || json.Unmarshal(out, &back) != nil || !back.Equal(s) {
			t.Errorf("%q goes through JSON as %s and comes back as %q, %v", s, out, back, err)
		}
	}
	if json.Unmarshal([]byte("7"), new(Sources)) == nil {
		t.Error("a number is taken for a source")
	}
}
