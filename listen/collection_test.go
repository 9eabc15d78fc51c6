package listen

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/internal/given"
)

// The records are from the Case Western Reserve University Bearing Data Center: contact sensors on an electric
// motor with seeded flaws. index.csv beside them names file, bearing, fault and speed.
type record struct {
	name, file, bearing, fault string
	rpm                        float64
}

// Geometry of the two bearings [inch]: the data centre's dimensions, from memory; the rates they give are
// checked against the published multiples in TestRates.
var shelf = map[string]Bearing{
	"6203": {Name: "6203", Balls: 8, Ball: 0.2656, Pitch: 1.122},
	"6205": {Name: "6205", Balls: 9, Ball: 0.3126, Pitch: 1.537},
}

// meterTolerance is how far the speed written beside a record is trusted.
const meterTolerance = 0.025

// mains of the laboratory.
var laboratory = Options{Notch: []float64{60}}

func collection(t testing.TB) (string, []record) {
	t.Helper()
	dir := os.Getenv("UNDERTRAY_LISTENING")
	if dir == "" {
		dir = given.Data(t, "data", "listening")
	}
	f, err := os.Open(filepath.Join(dir, "index.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	var out []record
	for _, r := range rows[1:] {
		rpm, _ := strconv.ParseFloat(r[col["rpm"]], 64)
		out = append(out, record{r[col["record"]], filepath.Join(dir, r[col["file"]]), r[col["bearing"]],
			r[col["fault"]], rpm})
	}
	return dir, out
}

func readFile(t testing.TB, path string) Recording {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r, err := ReadWAV(f)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return r
}

func (r record) want() Element {
	switch {
	case strings.HasPrefix(r.fault, "outer"):
		return OuterRing
	case r.fault == "inner":
		return InnerRing
	case r.fault == "ball":
		return RollingOrCage
	}
	return NoElement
}

// TestCollection prints the answer for every record of a collection and counts. On the development collection every
// flaw must be named rightly and firmly and nothing else; another one is for reading: UNDERTRAY_LISTENING=dir go
// test ./listen -run Collection -v
func TestCollection(t *testing.T) {
	_, recs := collection(t)
	type tally struct{ right, wrong, none, unclear int }
	sum := map[string]*tally{}
	for _, r := range recs {
		d, err := DiagnoseWith(readFile(t, r.file), RPM(r.rpm, meterTolerance), []Bearing{shelf[r.bearing]}, laboratory)
		if err != nil {
			t.Errorf("%s: %v", r.name, err)
			continue
		}
		c := sum[r.bearing]
		if c == nil {
			c = &tally{}
			sum[r.bearing] = c
		}
		if os.Getenv("UNDERTRAY_LISTENING") == "" {
			if healthy := r.want() == NoElement; healthy && d.Outcome != Quiet || !healthy &&
				!(d.Outcome == Named && d.Firm && d.Element == r.want() && d.Margin > 1.3) {
				t.Errorf("%s: %s %s, firm %v, margin %.2f; want %s", r.name, d.Outcome, d.Element, d.Firm,
					d.Margin, r.want())
			}
		}
		mark := d.Outcome.String()
		switch {
		case d.Outcome == Named && d.Element == r.want():
			c.right++
			mark = "right"
		case d.Outcome == Named:
			c.wrong++
			mark = "WRONG"
		case d.Outcome == Quiet:
			c.none++
		default:
			c.unclear++
		}
		t.Logf("%-5s %s %-9s %-7s %-24s firm %-5v score %.2f margin %.2f false %.2f rival %.2f offset %+.2f %% "+
			"speed %.1f support %.1f/%.1f at %.2f | %s", r.name, r.bearing, r.fault, mark,
			d.Element, d.Firm, d.Score, d.Margin, d.False, d.Rival, 100*d.Offset, d.Speed.Hz*60, d.Speed.Support,
			d.Speed.Rival, d.Speed.RivalHz/d.Speed.Hz, d.Why)
	}
	for b, c := range sum {
		t.Logf("%s: %d right, %d wrong, %d none, %d unclear", b, c.right, c.wrong, c.none, c.unclear)
	}
}
