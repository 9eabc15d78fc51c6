package cli

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"undertray.example/undertray/internal/yard"
)

// TestALargeYard: beyond fifty vehicles the commands about all of them name the
// nearest deadlines, and ask which are planned together.
func TestALargeYard(t *testing.T) {
	t.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	dir := t.TempDir()
	if err := os.Mkdir(dir+"/vehicles", 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range 60 {
		text := fmt.Sprintf("undertray: 1\nvehicle: v-%d\nname: Van %[1]d\npositions:\n"+
			"  - {id: belt, name: Main belt, kind: ribbed-belt, from: below, x: 50, y: 20, part: {material: epdm}}\n",
			i)
		if err := os.WriteFile(yard.SheetPath(dir, fmt.Sprintf("v-%d", i)), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, ask := range []struct {
		args string
		code int
		says string
	}{
		{"found v-41 belt rib-damage chunk-missing", exitOK, ""},
		{"yard", exitOK, "Do not drive one vehicle"},
		{"yard", exitOK, "Vehicles 1 to 50 of 60"},
		{"yard --from 51", exitOK, "Vehicles 51 to 60 of 60"},
		{"yard --from 61", exitInvalid, "no place on the list"},
		{"yard --json", exitOK, `"of": 60`},
		{"yard --on 2026-01-01", exitInvalid, "for today only"},
		{"plan", exitInvalid, "60 vehicles are too many"},
		{"plan --vehicles v-41,v-2", exitOK, "Van 41"},
		{"plan --vehicles v-41,v-99", exitNotFound, "v-99"},
		{"calendar", exitInvalid, "60 vehicles are too many"},
		{"calendar --vehicles v-41", exitOK, "BEGIN:VCALENDAR"},
	} {
		var out bytes.Buffer
		code := Main(append([]string{"--yard", dir}, strings.Fields(ask.args)...), strings.NewReader(""), &out, &out)
		if code != ask.code || !strings.Contains(strings.Join(strings.Fields(out.String()), " "), ask.says) {
			t.Errorf("%s: code %d, want %d and %q:\n%.600s", ask.args, code, ask.code, ask.says, out.String())
		}
	}
}
