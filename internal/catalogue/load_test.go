package catalogue

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
)

// TestErrorTexts feeds broken files and compares the whole text of the errors
// with the golden file beside each.
func TestErrorTexts(t *testing.T) {
	paths, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatal("no broken files", err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			src, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			_, err = LoadWith(File{filepath.Base(path), src})
			if err == nil {
				t.Fatal("the broken file was accepted")
			}
			if fleet.KindOf(err) != fleet.Invalid {
				t.Errorf("error of kind %v", fleet.KindOf(err))
			}
			golden := strings.TrimSuffix(path, ".yaml") + ".txt"
			got := err.Error() + "\n"
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// TestLimitWithoutAuthorityOrSource: a limit or an interval that does not say
// who stands behind it, or on what, does not load; with both it does.
func TestLimitWithoutAuthorityOrSource(t *testing.T) {
	const limit = "kinds: [{kind: idler, checks: [{id: noise, limits: [{is: rumble, verdict: park, says: Stop., " +
		"AUTHORITY SOURCE}]}]}]"
	const interval = "kinds: [{kind: idler, intervals: [{do: replace, time: 4 years, AUTHORITY SOURCE}]}]"
	for _, text := range []string{limit, interval} {
		for _, tt := range []struct{ authority, source, want string }{
			{"authority: common practice,", "source: common-practice", ""},
			{"authority: owner,", "source: my own notebook", ""},
			{"", "source: common-practice", "has no authority"},
			{"authority: common practice,", "", "source is missing"},
			{"authority: my neighbour,", "source: common-practice", "is not an authority"},
			{"authority: common practice,", "source: comon-practice", `did you mean "common-practice"?`},
			{"authority: vehicle maker,", "source: my own notebook", "is not a known source"},
		} {
			src := strings.NewReplacer("AUTHORITY", tt.authority, "SOURCE", tt.source).Replace(text)
			_, err := LoadWith(File{"own.yaml", []byte(src)})
			switch {
			case tt.want == "" && err != nil:
				t.Errorf("%s\nis refused: %v", src, err)
			case tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)):
				t.Errorf("%s\ngives %v, want %q", src, err, tt.want)
			}
		}
	}
}

func load(t *testing.T, texts ...string) *Catalogue {
	t.Helper()
	var files []File
	for _, text := range texts {
		files = append(files, File{"own.yaml", []byte(text)})
	}
	c, err := LoadWith(files...)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestOverlayAddsAndReplaces(t *testing.T) {
	base, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	c := load(t, `
sources:
- {id: my-handbook, what: The handbook of my van, seen: seen}
kinds:
- kind: ribbed-belt
  name: Main belt
  remove: [marking]
  checks:
  - id: noise
    answers:
    - {id: howl, say: It howls, symptom: noise}
    limits:
    - {is: howl, verdict: put right, authority: vehicle maker, source: my-handbook, says: A howling belt is changed.}
    - {is: chirp, verdict: put right, authority: common practice, source: [belt-makers, sae-1999-01-1709], says: I cannot bear it.}
  intervals:
  - {do: replace, distance: 90000 km, authority: vehicle maker, source: my-handbook}
  - {do: replace, time: 4 years, authority: part maker, source: belt-makers}
  tips: [Mine has the bolt on the left.]
`)
	old, k := base.Kind("ribbed-belt"), c.Kind("ribbed-belt")
	if k.Name != "Main belt" || k.System != old.System || k.Check("marking") != nil {
		t.Errorf("name %q, system %q, marking %v", k.Name, k.System, k.Check("marking"))
	}
	noise, before := k.Check("noise"), old.Check("noise")
	if len(noise.Answers) != len(before.Answers)+1 || len(noise.Limits) != len(before.Limits)+1 {
		t.Errorf("%d answers and %d limits: the answer and the limit are to be added, the other limit replaced",
			len(noise.Answers), len(noise.Limits))
	}
	if noise.Limits[0].Verdict != fleet.PutRight || before.Limits[0].Verdict != fleet.Watch {
		t.Error("the limit on chirps was not replaced, or the built-in one changed")
	}
	if noise.Limits[0].Check != "noise" {
		t.Errorf("the limit belongs to %q", noise.Limits[0].Check)
	}
	if len(k.Intervals) != len(old.Intervals)+1 {
		t.Errorf("%d intervals, built-in %d: one is to be added, one replaced", len(k.Intervals), len(old.Intervals))
	}
	if len(k.Tips) != len(old.Tips)+1 || len(old.Tips) != len(base.Kind("ribbed-belt").Tips) {
		t.Error("the tip was not added")
	}
	if c.Source("my-handbook") == nil || base.Source("my-handbook") != nil {
		t.Error("the source is missing, or reached the built-in catalogue")
	}
	heir := c.Kind("stretch-belt")
	if heir.Check("noise").Answer("howl") == nil {
		t.Error("what is added to a kind does not reach its heirs")
	}
	if heir.Name != "Stretch belt" {
		t.Errorf("the heir is called %q", heir.Name)
	}
}

func TestOverlayAddsAKind(t *testing.T) {
	c := load(t, `
kinds:
- kind: winch-rope
  name: Winch rope
  system: service
  checks:
  - id: strands
    sense: look
    question: Are strands broken?
    how: Pull it through a gloved hand.
    answer: choice
    answers: [{id: none, say: None}, {id: some, say: Some, symptom: fray}]
    limits: [{is: some, verdict: park, authority: owner, source: what the rope's maker wrote, says: Broken strands end a rope.}]
  intervals:
  - {do: inspect, time: 6 months, authority: owner, source: habit}
  - {do: replace, on_condition: true, authority: owner, source: habit}
`, `
kinds:
- kind: winch-rope
  tips: [Keep it dry.]
`)
	k := c.Kind("winch-rope")
	if k == nil || len(k.Checks) != 1 || len(k.Tips) != 1 {
		t.Fatalf("got %+v", k)
	}
	if kinds := c.Kinds(); kinds[len(kinds)-1].ID != "winch-rope" {
		t.Error("a new kind comes last in its system")
	}
}

func TestOverlayOfNothing(t *testing.T) {
	for _, text := range []string{"", "# only a remark\n", "kinds:\n", "---\n", "kinds: []"} {
		if _, err := LoadWith(File{"own.yaml", []byte(text)}); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestHugeFileIsRefused(t *testing.T) {
	_, err := LoadWith(File{"own.yaml", make([]byte, maxFile+1)})
	if err == nil || !strings.Contains(err.Error(), "split it") {
		t.Errorf("got %v", err)
	}
}

// FuzzLoadWith: whatever an owner's file holds, it is either merged into a
// catalogue that can be used or refused with an error that names its place.
func FuzzLoadWith(f *testing.F) {
	paths, _ := filepath.Glob("testdata/broken/*.yaml")
	seeds := []string{"kinds: [{kind: idler, inherits: idler}]", "? [a]\n: b", "kinds: &a [*a]",
		"kinds: [{kind: a, inherits: b}, {kind: b, inherits: a}]"}
	for _, path := range paths {
		src, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		seeds = append(seeds, string(src))
	}
	harm.Add(f, seeds...)
	f.Fuzz(func(t *testing.T, src string) {
		c, err := LoadWith(File{"own.yaml", []byte(src)})
		if err == nil {
			for _, k := range c.Kinds() {
				k.Limits("")
			}
			return
		}
		var first *fleet.Error
		if !errors.As(err, &first) || !strings.HasPrefix(first.Where, "own.yaml") || first.Kind != fleet.Invalid {
			t.Errorf("error without a place: %v", err)
		}
	})
}

// TestConcurrentUse: kinds are decoded when first asked for, by whoever asks.
func TestConcurrentUse(t *testing.T) {
	c, err := loadBuiltIn()
	if err != nil {
		t.Fatal(err)
	}
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			for _, k := range c.Kinds() {
				if c.Kind(k.ID) != k {
					t.Errorf("%s is not the same each time", k.ID)
				}
			}
		})
	}
	group.Wait()
}
