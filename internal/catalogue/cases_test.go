package catalogue_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/goccy/go-yaml"

	"undertray/internal/fleet"
	"undertray/units"
)

// seen is one observation of a trade case expressed through a check.
type seen struct{ check, answer, figure string }

// expressed says how the observations of the trade cases on belts, pulleys and
// wiring are answered. The judgement each should lead to is not here: it is
// read from the reference file.
var expressed = map[int]struct {
	kind, material, distance, age string
	seen                          []seen
}{
	1:  {"ribbed-belt", "neoprene", "110000 km", "8 years", []seen{{"cracks", "", "4 per 75 mm"}}},
	2:  {"ribbed-belt", "epdm", "150000 km", "6 years", []seen{{"cracks", "", "0 per 75 mm"}, {"rib-wear", "below", ""}}},
	3:  {"ribbed-belt", "", "", "", []seen{{"rib-damage", "chunk-missing", ""}}},
	5:  {"ribbed-belt", "", "", "", []seen{{"surface", "oil-wet", ""}, {"touch", "sticky", ""}}},
	6:  {"ribbed-belt", "", "", "", []seen{{"edge", "frayed-cord", ""}}},
	7:  {"v-belt", "", "", "", []seen{{"cracks", "shallow", ""}, {"fray", "", "0 mm"}}},
	8:  {"v-belt", "", "", "", []seen{{"cracks", "several-deep", ""}}},
	10: {"timing-belt", "", "70000 km", "9 years", []seen{{"wetness", "dry", ""}}},
	11: {"stretch-belt", "", "", "", []seen{{"taken-off", "yes", ""}}},
	12: {"auto-tensioner", "", "", "", []seen{{"swing", "large", ""}}},
	13: {"overrun-pulley", "", "", "", []seen{{"turn", "free-both", ""}}},
	14: {"water-pump", "", "120000 km", "", []seen{{"weep-hole", "dry-stain", ""}, {"play", "none", ""}}},
	15: {"water-pump", "", "", "", []seen{{"weep-hole", "drip", ""}, {"play", "play", ""}}},
	25: {"harness", "", "", "", []seen{{"covering", "chafed", ""}}},
	26: {"ribbed-belt", "epdm", "40000 km", "3 years", []seen{{"cracks", "", "0 per 75 mm"}, {"rib-wear", "above", ""},
		{"tracking", "central", ""}, {"noise", "quiet", ""}, {"surface", "clean", ""}}},
	28: {"ribbed-belt", "neoprene", "", "", []seen{{"cracks", "", "12 per 25 mm"}}},
	29: {"ribbed-belt", "", "90000 km", "", []seen{{"rib-damage", "none", ""}}},
	31: {"idler", "", "", "", []seen{{"noise", "whine", ""}}},
}

// verdictOf maps the reference's words to verdicts.
var verdictOf = map[string]fleet.Verdict{"serviceable": fleet.Keep, "recheck_sooner": fleet.Watch,
	"plan_replacement": fleet.Replace, "replace_before_use": fleet.Park}

// TestTradeCases takes the strictest authority on each case. Source of the
// expected judgements: the trade's reference cases, which name their own
// sources case by case.
func TestTradeCases(t *testing.T) {
	src, err := os.ReadFile(filepath.Join(shared(t), "reference", "trade-cases.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			N      int    `yaml:"n"`
			Expect string `yaml:"expect"`
		} `yaml:"cases"`
	}
	if err := yaml.Unmarshal(src, &file); err != nil {
		t.Fatal(err)
	}
	c, done := builtIn(t), 0
	for _, want := range file.Cases {
		in, ok := expressed[want.N]
		if !ok {
			continue
		}
		done++
		k := c.Kind(in.kind)
		got, why := fleet.Keep, "nothing against it"
		for _, s := range in.seen {
			check := k.Check(s.check)
			if check == nil || s.answer != "" && check.Answer(s.answer) == nil {
				t.Fatalf("case %d: %s has no %s %s", want.N, in.kind, s.check, s.answer)
			}
			for i := range check.Limits {
				l := &check.Limits[i]
				if of(l.Materials, in.material) && meets(l, s.answer, s.figure) && l.Verdict > got {
					got, why = l.Verdict, l.Says
				}
			}
		}
		for _, iv := range k.Intervals {
			if iv.Do == fleet.DoReplace && of(iv.Materials, in.material) && got < fleet.Replace &&
				(passed(in.distance, iv.Distance) || passed(in.age, iv.Time)) {
				got, why = fleet.Replace, iv.Says
			}
		}
		if got != verdictOf[want.Expect] {
			t.Errorf("case %d: %v (%s), want %s", want.N, got, why, want.Expect)
		}
	}
	if done != len(expressed) {
		t.Errorf("%d of %d cases stand in the reference", done, len(expressed))
	}
}

func passed(run string, limit *units.Quantity) bool {
	if run == "" || limit == nil {
		return false
	}
	c, err := units.MustParse(run).Compare(*limit)
	return err == nil && c >= 0
}

// shared returns the folder of reference data: where UNDERTRAY_SHARED says, or
// a folder named shared beside the module. Without it the test is skipped,
// except in CI.
func shared(t testing.TB) string {
	t.Helper()
	if dir := os.Getenv("UNDERTRAY_SHARED"); dir != "" {
		return dir
	}
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for dir != filepath.Dir(dir) {
		dir = filepath.Dir(dir)
		if at := filepath.Join(dir, "shared"); exists(filepath.Join(at, "reference")) {
			return at
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatal("the reference data are not there: set UNDERTRAY_SHARED")
	}
	t.Skip("the reference data are not there: set UNDERTRAY_SHARED")
	return ""
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
