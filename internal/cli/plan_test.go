package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"undertray.example/undertray/internal/demo"
)

// ran runs a command line on the demo yard and returns what it printed.
func ran(t *testing.T, dir string, args ...string) (string, string, int) {
	t.Helper()
	t.Setenv("UNDERTRAY_YARD", dir)
	t.Setenv("UNDERTRAY_TODAY", demo.Today.String())
	var out, errw bytes.Buffer
	code := Main(args, strings.NewReader(""), &out, &errw)
	return out.String(), errw.String(), code
}

// demoFolder is the demo yard in a folder of the test's own. What is worked out there is kept for the next test: it is
// only found where all that it was worked out from is the same.
func demoFolder(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "yard")
	if _, err := demo.Create(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	kept := filepath.Join(dir, ".kept", "learnt")
	if len(learnt) > 0 {
		if err := errors.Join(os.Mkdir(filepath.Dir(kept), 0o700), os.WriteFile(kept, learnt, 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() {
		if src, err := os.ReadFile(kept); err == nil && len(src) > len(learnt) {
			learnt = src
		}
	})
	return dir
}

var learnt []byte

// The page on plans is run as it stands, on the demo yard.
func TestPlanPage(t *testing.T) {
	dir := demoFolder(t)
	followPageIn(t, "plan.md", dir)
}

// No line is longer than a terminal is wide, and the answer comes first.
func TestPlanAndTripFitTheTerminal(t *testing.T) {
	dir := demoFolder(t)
	for _, args := range [][]string{
		{"plan", "dunnock"}, {"plan", "heron", "--also", "main-belt"}, {"trip", "heron", "2400 km"},
		{"trip", "dunnock", "1500 mi", "--load", "--under", "1in100"},
	} {
		out, errw, code := ran(t, dir, args...)
		if code != exitOK {
			t.Fatalf("%v: exit %d: %s", args, code, errw)
		}
		for _, line := range strings.Split(out, "\n") {
			if utf8.RuneCountInString(line) > 80 {
				t.Errorf("%v: %q is wider than 80 columns", args, line)
			}
		}
	}
}

func TestPlanAndTripInJSON(t *testing.T) {
	dir := demoFolder(t)
	for _, args := range [][]string{{"plan", "dunnock"}, {"trip", "heron", "800 km"}, {"calendar", "dunnock"},
		{"plan", "dunnock", "--since", "2026-06-01"}} {
		out, errw, code := ran(t, dir, append(args, "--json")...)
		if code != exitOK || !json.Valid([]byte(out)) {
			t.Errorf("%v: exit %d, %s%s", args, code, out, errw)
		}
	}
}

func TestPlanAndTripRefuse(t *testing.T) {
	dir := demoFolder(t)
	tests := []struct {
		args []string
		code int
		says string
	}{
		{[]string{"plan", "heron", "--hours", "0"}, exitInvalid, "--hours"},
		{[]string{"plan", "heron", "--money", "lots"}, exitInvalid, "--money"},
		{[]string{"plan", "heron", "--money", "200 GBP"}, exitInvalid, "EUR"},
		{[]string{"plan", "heron", "--skip", "Brumaire"}, exitInvalid, "not a month"},
		{[]string{"plan", "heron", "--stance", "none"}, exitInvalid, "--stance"},
		{[]string{"plan", "heron", "--on-visit", "2027-01-01"}, exitInvalid, "--also"},
		{[]string{"plan", "heron", "--also", "mainbelt"}, exitNotFound, "main-belt"},
		{[]string{"plan", "heron", "--since", "2030-01-01"}, exitInvalid, "not earlier"},
		{[]string{"trip", "heron", "far"}, exitInvalid, "distance: \"far\""},
		{[]string{"trip", "heron", "100 km", "--under", "never"}, exitInvalid, "1in50"},
		{[]string{"job", "heron", "--visit", "99"}, exitNotFound, "no visit 99"},
		{[]string{"job", "heron", "main-belt", "--visit", "1"}, exitInvalid, "--visit"},
	}
	for _, tt := range tests {
		_, errw, code := ran(t, dir, tt.args...)
		if code != tt.code || !strings.Contains(errw, tt.says) {
			t.Errorf("%v: exit %d, want %d saying %q: %s", tt.args, code, tt.code, tt.says, errw)
		}
	}
}
