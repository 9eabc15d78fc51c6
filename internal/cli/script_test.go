package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"undertray.example/undertray/surface/drawn"
)

// The scripts run the program as a person at a terminal does, one script for
// each command, and double as examples. Each starts in an empty folder with a
// yard of one vehicle beside it, on 25 November 2026.

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"undertray": func() { os.Exit(Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		Setup:               smallYard,
		RequireExplicitExec: true,
		UpdateScripts:       os.Getenv("UNDERTRAY_UPDATE") != "",
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"code": wantCode, "jsonhas": jsonHas, "lastentry": lastEntry, "paint": paint,
			"drawbelt": drawBelt,
		},
	})
}

// smallYard is Wren: a sheet of an earlier program, with torques, two readings, a neoprene belt
// with cracks.
func smallYard(env *testscript.Env) error {
	dir := filepath.Join(env.WorkDir, "yard")
	env.Setenv("UNDERTRAY_YARD", dir)
	env.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	earlier, err := os.ReadFile(filepath.Join("..", "sheet", "testdata", "before", "four-transverse-petrol.yaml"))
	if err != nil {
		return err
	}
	for _, line := range []string{
		`sheet new wren --like four-transverse-petrol --name Wren --built 2014-05-01 --yearly "14000 km"`,
		"",
		`odometer wren "152300 km" --date 2026-03-02`,
		`fitted wren main-belt --told-date 2019-06-01 --material neoprene --date 2026-03-02`,
		`found wren main-belt cracks "5 per 75 mm" --date 2026-09-12 --odometer "160150 km"`,
	} {
		if line == "" {
			own := strings.NewReplacer("vehicle: four-transverse-petrol", "vehicle: wren",
				"name: Transverse petrol four",
				"name: Wren", "built: 2008-03-01", "built: 2014-05-01", "yearly: 12000", "yearly: 14000")
			if err := os.WriteFile(filepath.Join(dir, "vehicles", "wren.yaml"),
				[]byte(own.Replace(string(earlier))), 0o644); err != nil {
				return err
			}
			continue
		}
		var complaints strings.Builder
		if Main(append([]string{"--yard", dir}, fields(line)...), strings.NewReader(""), io.Discard,
			&complaints) != exitOK {
			return errors.New(line + ": " + complaints.String())
		}
	}
	return nil
}

// drawBelt draws a photograph of the sample of a belt: drawbelt belt.png.
func drawBelt(ts *testscript.TestScript, _ bool, args []string) {
	var b bytes.Buffer
	ts.Check(jpeg.Encode(&b, drawn.Sample().Render().Gray, &jpeg.Options{Quality: 92}))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b.Bytes(), 0o644))
}

// paint makes a picture of so many pixels across, grey and of one line: paint belt.png 300.
func paint(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("called as: paint FILE PIXELS")
	}
	wide, err := strconv.Atoi(args[1])
	ts.Check(err)
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(png.Encode(f, image.NewGray(image.Rect(0, 0, wide, 1))))
	ts.Check(f.Close())
}

// wantCode runs a command that must end with this exit code: code 3 undertray
// state heron. What it wrote can be asked about with stdout and stderr.
func wantCode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("called as: code NUMBER COMMAND ARGUMENT...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
	if complaint := ts.ReadFile("stderr"); got != exitOK && !strings.HasPrefix(complaint, "undertray: ") {
		ts.Fatalf("ended with %d but said only %q", got, complaint)
	}
}

// jsonHas checks that the last output is one JSON value and holds what the
// path says: jsonhas positions.0.verdict replace; without a value, that it is
// there at all.
func jsonHas(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 1 || len(args) > 2 {
		ts.Fatalf("called as: jsonhas PATH [VALUE]")
	}
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile("stdout")), &v); err != nil {
		ts.Fatalf("the output is not JSON: %v", err)
	}
	got, ok := at(v, strings.Split(args[0], "."))
	if len(args) == 2 {
		s, isText := got.(string)
		if !isText {
			b, err := json.Marshal(got)
			ts.Check(err)
			s = string(b)
		}
		ok = ok && s == args[1]
	}
	if ok == neg {
		ts.Fatalf("%s is %v", args[0], got)
	}
}

// at follows a path of keys and indexes into decoded JSON.
func at(v any, path []string) (any, bool) {
	if len(path) == 0 || path[0] == "" {
		return v, true
	}
	switch x := v.(type) {
	case map[string]any:
		next, ok := x[path[0]]
		if !ok {
			return nil, false
		}
		return at(next, path[1:])
	case []any:
		i, err := strconv.Atoi(path[0])
		if err != nil || i < 0 || i >= len(x) {
			return nil, false
		}
		return at(x[i], path[1:])
	}
	return nil, false
}

// lastEntry keeps the id of the first entry in the last output in a variable.
func lastEntry(ts *testscript.TestScript, neg bool, args []string) {
	var stored []struct {
		ID string `json:"id"`
	}
	if err := json.Unmarshal([]byte(ts.ReadFile("stdout")), &stored); err != nil || len(stored) == 0 ||
		stored[0].ID == "" {
		ts.Fatalf("the output lists no entry: %v", err)
	}
	ts.Setenv(args[0], stored[0].ID)
}
