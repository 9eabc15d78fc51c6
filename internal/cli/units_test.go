package cli

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// A metric figure, and one in US units with what stands beside it; shared with nothing in
// the program.
var (
	besideUS = regexp.MustCompile(`(?:\b(?:in|mi|miles|ft|lb|lbf|psi|mph|qt|gal|per foot|per in)|°F|lbf·ft|lbf·in)` +
		`(?: \([^()]*\)|, [-−\d.,]+(?:(?: to | and |-)[-−\d.,]+)? (?:mm|km|N·m|kPa|N|°C|l)\b)`)
	metricFirst = regexp.MustCompile(`(?:^|[^\w.,/])\d[\d.,\x{202f}]*[ \x{a0}\x{202f}]` +
		`(?:mm|cm|km|km/h|m/s|kPa|bar|N·m|Nm|N|°C|l|ml|litres|kg|g|m|metres|per 75 mm)(?:$|[^\w²³/·°])[^.]{0,20}`)
	toolSize = regexp.MustCompile(`^\D?\d+ mm (?:open |ring |hex )?(?:spanner|socket|key|bit|drill|pin)`)
)

// Every answer in a yard whose owner chose US units names no metric figure but behind one
// of theirs. Tables break quantities over lines of a column, so answers that stand in
// paragraphs are read, and of tables their single lines.
func TestAnswersNameTheReadersUnitsFirst(t *testing.T) {
	dir := demoFolder(t)
	if err := yard.KeepUnits(dir, units.Preferences{System: units.USCustomary}, "USD"); err != nil {
		t.Fatal(err)
	}
	t.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	t.Setenv("UNDERTRAY_YARD", dir)
	lines := []string{"run heron", `trip heron "1500 mi"`, "plan heron", "calendar", "round bittern", "forecast heron",
		"job bittern", "reckoning"}
	for _, g := range goldens {
		lines = append(lines, g.line)
	}
	for _, line := range lines {
		var out, complaints bytes.Buffer
		if code := Main(fields(line), strings.NewReader(""), &out, &complaints); code != exitOK {
			t.Fatalf("%s: exit code %d: %s", line, code, complaints.String())
		}
		text := besideUS.ReplaceAllString(strings.Join(strings.Fields(out.String()), " "), " US ")
		for _, at := range metricFirst.FindAllStringIndex(text, -1) {
			if m := text[at[0]:at[1]]; !toolSize.MatchString(m) {
				t.Errorf("%s: %q", line, text[max(0, at[0]-60):at[1]])
			}
		}
	}
}
