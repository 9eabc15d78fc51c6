package civil_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/harm"
)

func TestParseSaysWhatIsWrong(t *testing.T) {
	tests := []struct{ text, want string }{
		{"", "no date given"},
		{"25 November 2026", "write year-month-day"},
		{"25/11/2026", "write year-month-day"},
		{"2026-1-5", "two digits for month and day"},
		{"20261125", "write year-month-day"},
		{"2026-11-25T10:00", "write year-month-day"},
		{" 2026-11-25", "write year-month-day"},
		{"2026-13-01", `has month 13: months run from 01 to 12`},
		{"2026-00-10", `has month 00`},
		{"2026-02-29", `has day 29: February 2026 runs from 01 to 28, for example 2026-02-28`},
		{"2026-11-00", `has day 00: November 2026 runs from 01 to 30`},
		{"0000-01-01", "has year 0000"},
		{"-026-01-01", "write year-month-day"},
	}
	for _, tt := range tests {
		got, err := civil.Parse(tt.text)
		if err == nil {
			t.Errorf("Parse(%q) = %s, want an error", tt.text, got)
			continue
		}
		if !strings.Contains(err.Error(), tt.want) {
			t.Errorf("Parse(%q): %v, want it to say %q", tt.text, err, tt.want)
		}
		if !got.IsZero() {
			t.Errorf("Parse(%q) gives %s beside its error", tt.text, got)
		}
	}
}

func TestTextForms(t *testing.T) {
	type record struct {
		Fitted civil.Date  `json:"fitted"`
		Due    civil.Date  `json:"due"`
		Seen   *civil.Date `json:"seen,omitempty"`
	}
	in := record{Fitted: civil.MustParse("2026-11-25")}
	data, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := string(data), `{"fitted":"2026-11-25","due":""}`; got != want {
		t.Errorf("JSON is %s, want %s", got, want)
	}
	var out record
	if err := json.Unmarshal(data, &out); err != nil || out != in {
		t.Errorf("read back %+v, %v", out, err)
	}
	if err := json.Unmarshal([]byte(`{"fitted":"soon"}`), &out); err == nil {
		t.Error("a word is taken for a date")
	}
}

func TestMustParsePanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("MustParse of a word does not panic")
		}
	}()
	civil.MustParse("soon")
}

func FuzzParse(f *testing.F) {
	harm.Add(f, "2026-11-25", "0001-01-01", "9999-12-31", "2026-02-29", "", "2026-1-1", "２０26-11-25", "2026-11-25\x00")
	f.Fuzz(func(t *testing.T, s string) {
		d, err := civil.Parse(s)
		std, stdErr := time.Parse(time.DateOnly, s)
		if err != nil {
			if stdErr == nil && std.Year() > 0 {
				t.Fatalf("%q is refused (%v), the standard library reads %s", s, err, std)
			}
			return
		}
		if stdErr != nil || d != civil.Of(std) && !std.IsZero() {
			t.Fatalf("%q is read as %s, the standard library says %s, %v", s, d, std, stdErr)
		}
		if d.String() != s || !d.IsValid() {
			t.Fatalf("%q is written back as %q", s, d)
		}
	})
}
