package condition_test

import (
	"flag"
	"math"
	"os"
	"strings"
	"testing"
)

var rewrite = flag.Bool("update", false, "rewrite the condition parts of docs/calibration.md")

// golden compares a section of docs/calibration.md, or rewrites it with -update.
func golden(t *testing.T, section, text string) {
	t.Helper()
	const file = "../docs/calibration.md"
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	begin, end := "<!-- "+section+" -->\n", "<!-- end of "+section+" -->"
	before, rest, found := strings.Cut(string(page), begin)
	old, after, closed := strings.Cut(rest, end)
	if !found || !closed {
		t.Fatalf("%s has no section %s", file, section)
	}
	if *rewrite {
		if err := os.WriteFile(file, []byte(before+begin+text+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if old != text {
		t.Errorf("%s is out of date: run go test ./condition -update and look at the difference\n%s", file, text)
	}
}

// tally gathers forecasts of about one chance.
type tally struct{ n, said, failed, variance float64 }

func (b *tally) add(p float64, failed bool) {
	b.n++
	b.said += p
	b.variance += p * (1 - p)
	if failed {
		b.failed++
	}
}

// off is how many standard errors the share that failed lies from the chance forecast.
func (b *tally) off() float64 { return (b.failed - b.said) / math.Sqrt(b.variance) }
