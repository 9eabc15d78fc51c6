package sheet

import (
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
)

const fullRun = `
  - id: main
    name: Main run
    belt: main-belt
    turns: clockwise
    mass: 8 oz
    idle: 700 rpm
    tensioner:
      kind: spring arm
      pulley: Idler
      pivot_x: 2 in
      pivot_y: 100 mm
      low: -10°
      high: 8°
      spring: 200 lbf·in
      rise: 0.2 N·m
      marks: [{name: new belt, at: 2°}]
    pulleys:
      - {name: Crank, position: crank, x: 0 mm, y: 0 mm, diameter: 160 mm, side: ribs, driver: true}
      - {name: Idler, x: 4 in, y: 150 mm, diameter: 80 mm, side: back}
      - {name: Pump, x: 150 mm, y: 290 mm, diameter: 120 mm, measured: outside, side: ribs, power: 2 hp}
`

// withRun is the small sheet with another run.
func withRun(run string) string {
	head, _, _ := strings.Cut(small, "runs:\n")
	return head + "runs:" + run
}

// Whatever units a run is written in, it reaches the engine in mm, degrees, N·m
// and W. Factors: NIST SP 811, B.8.
func TestDriveRunUnits(t *testing.T) {
	s, err := Read("s.yaml", []byte(withRun(fullRun)), knowledge(t))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Warnings) > 0 {
		t.Fatalf("warnings %v", s.Warnings)
	}
	r := &s.Vehicle.Runs[0]
	belt := BeltOf(r, knowledge(t).Kind("ribbed-belt"), fleet.PartSpec{Number: "maker's 6PK1003"})
	if belt.Printed != "6PK1003" || belt.Belt.Section.Name != "PK" || belt.Section != "" || belt.Ribs != 0 {
		t.Errorf("belt %+v", belt)
	}
	got, unmeasured := DriveRun(r, belt.Belt)
	if unmeasured != "" || got.DriverTurns != drive.Clockwise {
		t.Errorf("unmeasured %q, turns %d", unmeasured, got.DriverTurns)
	}
	for what, pair := range map[string][2]float64{
		"idler x":     {got.Pulleys[1].Centre.X, 101.6},
		"pivot x":     {got.Tensioner.Pivot.X, 50.8},
		"low":         {got.Tensioner.Low, -10},
		"spring":      {got.Tensioner.Spring, 200 * 0.1129848290276167},
		"power":       {got.Pulleys[2].Load.Value, 2 * 745.69987158227022},
		"mass":        {got.Belt.KgPerM, 8 * 0.028349523125 / 1.003},
		"mark":        {got.Tensioner.Marks[0].At, 2},
		"outside":     {float64(got.Pulleys[2].Measured), float64(drive.Outside)},
		"back, plain": {float64(got.Pulleys[1].Measured), float64(drive.Plain)},
	} {
		if d := pair[0] - pair[1]; d > 1e-9 || d < -1e-9 {
			t.Errorf("%s: %v, want %v", what, pair[0], pair[1])
		}
	}
}

// A run that is half measured or cannot be is a warning at its line; the sheet
// is read.
func TestRunWarnings(t *testing.T) {
	for _, c := range []struct{ old, new, where, want string }{
		{"      pivot_x: 2 in\n", "", "kind: spring arm", "the pivot of the tensioner is not measured"},
		{"      low: -10°\n      high: 8°\n", "", "kind: spring arm", "the stops of the tensioner are not measured"},
		{"side: back", "side: ribs", "name: Idler", "does not touch the idler"},
		{"x: 4 in, y: 150 mm", "x: 4 mm, y: 10 mm", "name: Idler", "lies wholly inside the crank"},
		{"name: Pump", "name: Idler", "name: Crank", "two pulleys are called"},
	} {
		src := strings.Replace(withRun(fullRun), c.old, c.new, 1)
		s, err := Read("s.yaml", []byte(src), knowledge(t))
		if err != nil {
			t.Errorf("%q stops the sheet: %v", c.new, err)
			continue
		}
		found := false
		for _, w := range s.Warnings {
			if strings.Contains(w.Msg.String(), c.want) {
				found = true
				if line := lineOf(t, src, w.Where); !strings.Contains(line, c.where) {
					t.Errorf("%s is said at %s, %q, want the line of %s", c.want, w.Where, line, c.where)
				}
			}
		}
		if !found {
			t.Errorf("%q instead of %q: %v, want %s", c.new, c.old, s.Warnings, c.want)
		}
	}
}

// lineOf returns the line that a place "file:line:column" means.
func lineOf(t *testing.T, src, where string) string {
	t.Helper()
	parts := strings.Split(where, ":")
	n, err := strconv.Atoi(parts[1])
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(src, "\n")[n-1]
}

func TestRunMistakes(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"kind: spring arm", "kind: springarm", `kind is "springarm": did you mean "spring arm"?`},
		{"low: -10°", "low: 10°", "it is 0 or less"},
		{"high: 8°", "high: 8 mm", "is measured by angle"},
		{"rise: 0.2 N·m", "rise: 0.2 N", "is measured by torque"},
		{"power: 2 hp", "power: 2 hp, torque: 4 N·m", "has a power and a torque"},
		{"power: 2 hp", "power: 2 N·m", "is a torque, not a power"},
		{"measured: outside", "measured: outer", "outside"},
		{"turns: clockwise", "turns: clockwize", `did you mean "clockwise"?`},
		{"pulley: Idler", "pulley: Idle", `did you mean "Idler"?`},
		{"mass: 8 oz", "mass: 0 oz", "must be more than 0"},
	} {
		src := strings.Replace(withRun(fullRun), c.old, c.new, 1)
		if _, err := Read("s.yaml", []byte(src), knowledge(t)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.new, err, c.want)
		}
	}
}

func TestBeltOf(t *testing.T) {
	known := knowledge(t)
	for _, c := range []struct {
		kind    string
		part    fleet.PartSpec
		run     fleet.Run
		printed string
		section string
		assumed string // section
		ribs    int
	}{
		{"ribbed-belt", fleet.PartSpec{Number: "6PK1874"}, fleet.Run{}, "6PK1874", "PK", "", 0},
		{"ribbed-belt", fleet.PartSpec{Number: "A 000 993", Name: "Ribbed belt (5 PK, 6pk1883)"}, fleet.Run{},
			"6PK1883", "PK", "", 0},
		{"ribbed-belt", fleet.PartSpec{Number: "A 000 993"}, fleet.Run{}, "", "PK", "PK", 6},
		{"ribbed-belt", fleet.PartSpec{}, fleet.Run{Section: "PK", Ribs: 5}, "", "PK", "", 0},
		{"v-belt", fleet.PartSpec{Number: "AVX13X850"}, fleet.Run{}, "AVX13X850", "AV13", "", 0},
		{"v-belt", fleet.PartSpec{}, fleet.Run{}, "", "AV10", "AV10", 0},
		{"timing-belt", fleet.PartSpec{Number: "104 teeth"}, fleet.Run{}, "", Toothed, "", 0},
	} {
		got := BeltOf(&c.run, known.Kind(c.kind), c.part)
		if got.Printed != c.printed || got.Belt.Section.Name != c.section || got.Section != c.assumed ||
			got.Ribs != c.ribs {
			t.Errorf("%s %+v: printed %q, section %s, assumed %q, %d ribs", c.kind, c.part, got.Printed,
				got.Belt.Section.Name, got.Section, got.Ribs)
		}
	}
	if b := BeltOf(&fleet.Run{}, known.Kind("stretch-belt"), fleet.PartSpec{Number: "5PK897"}); !b.Belt.Stretch {
		t.Error("a stretch-fit belt is not taken for one")
	}
}
