package cli

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"undertray/internal/demo"
	"undertray/internal/print"
)

var update = flag.Bool("update", false, "write the golden files anew")

// What the demo yard's questions are answered with, word for word. A change
// here is a change in what an owner reads: look at it, then -update.
var goldens = []struct{ name, line string }{
	{"yard", "yard"},
	{"state", "state heron"},
	{"state-all", "state dunnock --all"},
	{"position", "position heron main-belt"},
	{"round", "round heron --open engine-cover"},
	{"round-system", "round dunnock --by system"},
	{"job", "job heron"},
	{"job-one", "job dunnock main-belt --alone"},
	{"parts", "job heron --parts"},
	{"history", "history bittern"},
	{"handover", "handover bittern --for mechanic"},
	{"handover-driver", "handover dunnock --for driver --with prices,names"},
	{"history-one", "history heron main-belt"},
	{"forecast", "forecast heron --on 2027-06-01"},
	{"kind", "kind ribbed-belt"},
	{"kinds", "kind"},
	{"meaning", `meaning ribbed-belt cracks "4 per 75 mm" --material neoprene`},
}

// maxGolden is how many lines of an answer are compared: enough to show its
// form, without a whole journal of years in each.
const maxGolden = 150

func TestDemoAnswers(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "yard")
	if _, err := demo.Create(context.Background(), dir); err != nil {
		t.Fatal(err)
	}
	t.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	t.Setenv("UNDERTRAY_YARD", dir)
	for _, g := range goldens {
		t.Run(g.name, func(t *testing.T) {
			var out, complaints bytes.Buffer
			if code := Main(fields(g.line), strings.NewReader(""), &out, &complaints); code != exitOK {
				t.Fatalf("exit code %d: %s", code, complaints.String())
			}
			lines := strings.SplitAfter(out.String(), "\n")
			for i, l := range lines {
				l = strings.TrimSuffix(l, "\n")
				if n := utf8.RuneCountInString(l); n > print.Width {
					t.Errorf("line %d has %d columns: %s", i+1, n, l)
				}
				if strings.TrimRight(l, " ") != l {
					t.Errorf("line %d ends in white: %q", i+1, l)
				}
			}
			compare(t, filepath.Join("testdata", "golden", g.name+".txt"),
				strings.Join(lines[:min(maxGolden, len(lines))], ""))
		})
	}
}

func compare(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got); -update writes it anew:\n%s", name, diff)
	}
}
