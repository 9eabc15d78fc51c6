package sheet

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"undertray/civil"
	"undertray/internal/fleet"
	"undertray/units"
)

// Every archetype is read against the catalogue without errors and without
// warnings, and is as full as a careful person would make it.
func TestArchetypes(t *testing.T) {
	all := Archetypes()
	if len(all) != 5 {
		t.Fatalf("%d archetypes, want 5", len(all))
	}
	known := knowledge(t)
	for _, a := range all {
		s, err := Read(a.ID+".yaml", a.Source, known)
		if err != nil {
			t.Errorf("%s:\n%v", a.ID, err)
			continue
		}
		for _, w := range s.Warnings {
			t.Errorf("%s: warning: %v", a.ID, w)
		}
		v := s.Vehicle
		t.Logf("%s: %d positions, %d openings, %d runs", a.ID, len(v.Positions), len(v.Openings), len(v.Runs))
		if n := len(v.Positions); n < 35 || n > 65 {
			t.Errorf("%s has %d positions, want 35 to 65", a.ID, n)
		}
		if n := len(v.Openings); n < 12 || n > 25 {
			t.Errorf("%s has %d openings, want 12 to 25", a.ID, n)
		}
		if a.ID != v.ID || a.Title != v.Name || a.About != v.About || a.About == "" {
			t.Errorf("%s is listed as %q, %q", a.ID, a.Title, a.About)
		}
		if v.Make != "" || v.Model != "" {
			t.Errorf("%s names a make or model", a.ID)
		}
	}
}

// What a vehicle of each sort must have a place for.
func TestArchetypeCoverage(t *testing.T) {
	always := []string{"top-hose", "bottom-hose", "heater-hose", "bypass-hose", "overflow-hose",
		"pressure-cap", "thermostat",
		"radiator", "coolant", "water-pump", "engine-oil", "oil-filter", "fuel-hose", "air-filter", "vacuum-hose",
		"breather-hose", "brake-hose", "brake-pipe", "brake-fluid", "harness", "earth-strap", "battery", "spark-plugs",
		"engine-mount", "pipe-clip", "tyres", "wipers", "crank-pulley"}
	also := map[string][]string{
		"v6-long-petrol": {"ribbed-belt", "auto-tensioner", "idler", "manual-adjuster", "servo-hose", "air-con-line",
			"steering-pressure-hose", "steering-return-hose", "oil-cooler-line", "gearbox-cooler-line", "hose-clip",
			"quick-connector", "fuel-pipe"},
		"four-transverse-petrol": {"ribbed-belt", "timing-belt", "overrun-pulley", "servo-hose", "air-con-line",
			"fuel-pipe-plastic", "gearbox-oil"},
		"four-long-diesel": {"ribbed-belt", "stretch-belt", "overrun-pulley", "servo-hose",
			"air-con-line", "fuel-filter"},
		"four-carburettor": {"v-belt", "manual-adjuster", "servo-hose", "fuel-pipe"},
		"small-hybrid":     {"electric-coolant-pump", "air-con-line", "cabin-filter"},
	}
	for _, a := range Archetypes() {
		v, err := Parse(a.ID, a.Source, nil)
		if err != nil {
			t.Fatal(err)
		}
		has := map[string]bool{}
		for _, p := range v.Positions {
			has[p.Kind] = true
		}
		for _, kind := range append(always, also[a.ID]...) {
			diesel := kind == "spark-plugs" && strings.Contains(a.ID, "diesel")
			if !has[kind] && !diesel {
				t.Errorf("%s has no %s", a.ID, kind)
			}
		}
	}
}

// Where the work can hurt, the caution stands with the step.
func TestArchetypeCautions(t *testing.T) {
	for _, a := range Archetypes() {
		v, err := Parse(a.ID, a.Source, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range v.Openings {
			id := o.ID
			risky := o.Raises || strings.Contains(id, "drained") || strings.Contains(id, "belt") ||
				strings.HasPrefix(id, "fuel") ||
				strings.Contains(id, "battery") || strings.Contains(id, "brakes") || strings.Contains(id, "supported")
			if risky && len(o.Cautions) == 0 && !strings.HasSuffix(id, "main-belt-off") {
				t.Errorf("%s: opening %s has no caution", a.ID, id)
			}
		}
		for _, p := range v.Positions {
			risky := strings.HasPrefix(p.Kind, "fuel-") || p.Kind == "brake-hose" || p.Kind == "brake-pipe" ||
				p.Kind == "air-con-line" || p.Kind == "pressure-cap" || p.Kind == "battery"
			if risky && len(p.Cautions) == 0 {
				t.Errorf("%s: position %s has no caution", a.ID, p.ID)
			}
			if p.Kind == "air-con-line" && !p.LookOnly {
				t.Errorf("%s: position %s is not look_only", a.ID, p.ID)
			}
		}
		if a.ID == "small-hybrid" && !strings.Contains(string(a.Source), "Orange cables carry high voltage and kill") {
			t.Error("the hybrid sheet does not open with the caution about orange cables")
		}
	}
}

// Lines between belt and pulley are taken from the flat diameters with a belt
// 3.2 mm thick behind its effective line.
const backLine = 3.2

// The geometry of a belt over pulleys: standard tangent lines (any textbook of
// machine elements). With s = +1 for a pulley turned counter-clockwise and -1
// for one turned clockwise, the wraps of a simple loop add up to one turn.
func TestArchetypeRuns(t *testing.T) {
	for _, a := range Archetypes() {
		v, err := Parse(a.ID, a.Source, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range v.Runs {
			checkRun(t, a.ID+" "+r.ID, &r)
		}
	}
}

func checkRun(t *testing.T, name string, r *fleet.Run) {
	t.Helper()
	n := len(r.Pulleys)
	x, y, radius, sense := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range r.Pulleys {
		x[i], y[i], radius[i], sense[i] = p.X.In("mm"), p.Y.In("mm"), p.Diameter.In("mm")/2, -1
		if p.Side == "back" {
			radius[i], sense[i] = radius[i]+backLine, 1
		}
	}
	psi, length := make([]float64, n), 0.0
	for i := range n {
		j := (i + 1) % n
		dx, dy := x[j]-x[i], y[j]-y[i]
		d, k := math.Hypot(dx, dy), sense[i]*radius[i]-sense[j]*radius[j]
		if d <= math.Abs(k) {
			t.Errorf("%s: no tangent from %s to %s", name, r.Pulleys[i].Name, r.Pulleys[j].Name)
			return
		}
		psi[i] = math.Atan2(dy, dx) + math.Asin(k/d)
		span := math.Sqrt(d*d - k*k)
		length += span
		ax, ay := x[i]+sense[i]*radius[i]*math.Sin(psi[i]), y[i]-sense[i]*radius[i]*math.Cos(psi[i])
		for m := range n {
			if m == i || m == j {
				continue
			}
			along := (x[m]-ax)*math.Cos(psi[i]) + (y[m]-ay)*math.Sin(psi[i])
			along = min(max(along, 0), span)
			gap := math.Hypot(x[m]-ax-along*math.Cos(psi[i]), y[m]-ay-along*math.Sin(psi[i])) - radius[m]
			if gap < 2 {
				t.Errorf("%s: the span after %s comes within %.1f mm of %s", name, r.Pulleys[i].Name, gap,
					r.Pulleys[m].Name)
			}
		}
	}
	turn := 0.0
	for i := range n {
		wrap := math.Mod(sense[i]*(psi[i]-psi[(i+n-1)%n])+4*math.Pi, 2*math.Pi)
		turn += sense[i] * wrap
		length += radius[i] * wrap
		if wrap < 0.4 || wrap > 4.2 {
			t.Errorf("%s: %s has a wrap of %.0f degrees", name, r.Pulleys[i].Name, wrap*180/math.Pi)
		}
		for m := range i {
			if gap := math.Hypot(x[i]-x[m], y[i]-y[m]) - radius[i] - radius[m]; gap < 2 {
				t.Errorf("%s: %s and %s are %.1f mm apart", name, r.Pulleys[i].Name, r.Pulleys[m].Name, gap)
			}
		}
	}
	if math.Abs(math.Abs(turn)-2*math.Pi) > 1e-9 {
		t.Errorf("%s: the wraps add up to %.6f turns, want one", name, turn/(2*math.Pi))
	}
	if length < 700 || length > 2500 {
		t.Errorf("%s: the belt would be %.0f mm long", name, length)
	}
}

func TestFromArchetype(t *testing.T) {
	yearly := units.MustParse("9000 mi")
	f := Filling{Vehicle: "grey-estate", Name: `The "grey" estate: no. 2 # spare`, Built: civil.MustParse("2009-02-28"),
		VIN: "ZZ9TE5T19BX900001", Yearly: &yearly}
	for _, a := range Archetypes() {
		src, err := FromArchetype(a.ID, f)
		if err != nil {
			t.Errorf("%s: %v", a.ID, err)
			continue
		}
		v, err := Parse("new.yaml", src, knowledge(t))
		if err != nil {
			t.Fatal(err)
		}
		if v.ID != f.Vehicle || v.Name != f.Name || v.Built != f.Built || v.VIN != f.VIN || *v.Yearly != yearly {
			t.Errorf("%s: filled in as %q %q %v %q %v", a.ID, v.ID, v.Name, v.Built, v.VIN, v.Yearly)
		}
		// Every comment survives, and nothing but the five lines differs.
		before, after := strings.Split(string(a.Source), "\n"), strings.Split(string(src), "\n")
		if len(before) != len(after) || strings.Count(string(src), "#") < strings.Count(string(a.Source), "#") {
			t.Errorf("%s: %d lines became %d", a.ID, len(before), len(after))
		}
		var changed []string
		for i := range min(len(before), len(after)) {
			if before[i] != after[i] {
				key, _, _ := strings.Cut(after[i], ":")
				changed = append(changed, key)
			}
		}
		if diff := cmp.Diff([]string{"vehicle", "name", "vin", "built", "yearly"}, changed); diff != "" {
			t.Errorf("%s: changed lines (-want +got):\n%s", a.ID, diff)
		}
	}
}

func TestFromArchetypeKeepsWhatIsNotGiven(t *testing.T) {
	src, err := FromArchetype("small-hybrid", Filling{Vehicle: "hen", Name: "Hen"})
	if err != nil {
		t.Fatal(err)
	}
	v, err := Parse("hen.yaml", src, nil)
	if err != nil {
		t.Fatal(err)
	}
	if v.Built.IsZero() || v.Yearly == nil || v.VIN != "" {
		t.Errorf("left as %v, %v, %q", v.Built, v.Yearly, v.VIN)
	}
}

func TestFromArchetypeRefuses(t *testing.T) {
	if _, err := FromArchetype("small-hybird", Filling{Vehicle: "a", Name: "A"}); fleet.KindOf(err) != fleet.NotFound ||
		!strings.Contains(err.Error(), `did you mean "small-hybrid"?`) {
		t.Errorf("unknown archetype: %v", err)
	}
	for _, f := range []Filling{{Name: "A"}, {Vehicle: "a"}, {Vehicle: "A b", Name: "A"}, {Vehicle: "a", Name: "A\nB"},
		{Vehicle: "a", Name: "  "}} {
		if _, err := FromArchetype("small-hybrid", f); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%+v: %v", f, err)
		}
	}
}

// Whatever a person types as a name comes back from the written sheet.
func TestFromArchetypeNames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[ -~äéß€·]{1,40}`).Draw(t, "name")
		if strings.TrimSpace(name) == "" {
			return
		}
		src, err := FromArchetype("four-carburettor", Filling{Vehicle: "a", Name: name})
		if err != nil {
			t.Fatalf("%q: %v", name, err)
		}
		v, err := Parse("a.yaml", src, nil)
		if err != nil || v.Name != name {
			t.Fatalf("%q came back as %q, %v", name, v.Name, err)
		}
	})
}

func TestIDs(t *testing.T) {
	good := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	rapid.Check(t, func(t *rapid.T) {
		id := goodID(rapid.String().Draw(t, "text"))
		if id != "" && (!good.MatchString(id) || goodID(id) != id) {
			t.Fatalf("%q is no good id", id)
		}
	})
}
