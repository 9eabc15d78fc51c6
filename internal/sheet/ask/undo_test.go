package ask

import (
	"bufio"
	"bytes"
	"io/fs"
	"regexp"
	"testing"

	"undertray.example/undertray/internal/yamltree"
)

// ordersTo is what wants an engine that runs, or a vehicle that moves.
var ordersTo = regexp.MustCompile(`(?i)\b(try|test|idle|(run|drive|start) (it|the|them))\b|\b(pump|engine) running\b`)

// What was opened is closed while other things may still be open, the battery off and the oil out: closing
// it orders nobody to run, start, drive or try it, which the steps after the work do (common practice).
func TestNothingIsRunWhileItIsClosed(t *testing.T) {
	files, err := fs.Glob(data, "data/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	undo := regexp.MustCompile(`\bundo: ("[^"]*"|[^,}]*)`)
	seen := 0
	for _, name := range files {
		text, err := data.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := yamltree.Document(text); err != nil {
			t.Fatal(err)
		}
		for lines := bufio.NewScanner(bytes.NewReader(text)); lines.Scan(); {
			for _, m := range undo.FindAllStringSubmatch(lines.Text(), -1) {
				if seen++; ordersTo.MatchString(m[1]) {
					t.Errorf("%s: closed by %s", name, m[1])
				}
			}
		}
	}
	if seen < 60 {
		t.Errorf("only %d openings are closed", seen)
	}
}
