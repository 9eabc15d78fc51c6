package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
)

// roundTwin is what a round says of its stops in JSON.
type roundTwin struct {
	Stages []struct {
		Title string
		Stops []struct {
			N              int
			Position, Name string
			Checks         []struct {
				ID      string
				Unit    string
				Answers []struct{ ID string }
			}
		}
	}
}

// A round on paper is typed back by what is printed on it: the code of the sheet, the
// numbers of its stops and the codes of its checks. The journal holds that, and no more.
func TestARoundOnPaperIsTypedBack(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext (poppler-utils) is not here")
	}
	dir := t.TempDir()
	yard, pdf, file := filepath.Join(dir, "yard"), filepath.Join(dir, "round.pdf"), filepath.Join(dir, "round.yaml")
	run := func(args ...string) []byte {
		t.Helper()
		var out, errs bytes.Buffer
		if code := Main(append([]string{"--yard", yard}, args...), strings.NewReader(""), &out, &errs); code != 0 {
			t.Fatalf("%v: %d %s", args, code, errs.String())
		}
		return out.Bytes()
	}
	run("demo", "--into", yard)
	run("round", "heron", "--open", "all", "--pdf", pdf)
	var twin roundTwin
	if err := json.Unmarshal(run("round", "heron", "--open", "all", "--json"), &twin); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-raw", pdf, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	printed := string(text)
	var sound, found []string
	want := map[string]int{}
	stops := 0
	for _, st := range twin.Stages {
		glance := "at-a-glance"
		if strings.Contains(st.Title, "engine running") {
			glance += "-running"
		}
		for _, stop := range st.Stops {
			stops++
			name := string([]rune(stop.Name)[:min(12, len([]rune(stop.Name)))])
			if !strings.Contains(printed, fmt.Sprintf("%d %s", stop.N, name)) {
				t.Errorf("stop %d, %s, is not on the sheet", stop.N, stop.Name)
			}
			code := regexp.MustCompile(fmt.Sprintf(`(?m)(?:^|\s)%d([a-z])(?:\s|$)`, stop.N))
			codes := code.FindAllStringSubmatch(printed, -1)
			for _, m := range codes {
				c := stop.Checks[m[1][0]-'a']
				typed, is := "1", ""
				if len(c.Answers) > 0 {
					is = c.Answers[0].ID
				} else {
					typed, is = "3", "3 "+c.Unit
				}
				found = append(found, fmt.Sprintf("  %d%s: %s", stop.N, m[1], typed))
				want[stop.Position+" "+c.ID+" "+is]++
			}
			switch {
			case stop.N == 40:
				found = append(found, "  40: damp at the lower end")
				want[stop.Position+" note damp at the lower end"]++
			case strings.Contains(st.Title, "second person"): // a glance is taken alone
			case len(codes) == 0:
				sound = append(sound, strconv.Itoa(stop.N))
				want[stop.Position+" "+glance+" sound"]++
			}
		}
	}
	if stops < 60 || len(found) < 3 || len(sound) < 50 {
		t.Fatalf("%d stops, %d asked at length, %d sound: too few", stops, len(found), len(sound))
	}
	code := regexp.MustCompile(`sheet: (\S+)`).FindStringSubmatch(printed)
	if code == nil {
		t.Fatal("no code of the sheet is printed")
	}
	write := func(code string) {
		src := fmt.Sprintf("vehicle: heron\nsheet: %s\nsound: %s\nfound:\n%s\n", code, ranges(sound),
			strings.Join(found, "\n"))
		if err := os.WriteFile(file, []byte(src), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(strings.Replace(code[1], "all/", "undertray/", 1)) // another sheet than the one printed
	var out, errs bytes.Buffer
	if got := Main([]string{"--yard", yard, "findings", file}, strings.NewReader(""), &out, &errs); got == 0 ||
		!strings.Contains(errs.String(), "are not those of its sheet") {
		t.Errorf("the code of another sheet: %d %s", got, errs.String())
	}
	write(code[1])
	var kept []fleet.Entry
	if err := json.Unmarshal(run("findings", file, "--sure", "--json"), &kept); err != nil {
		t.Fatal(err)
	}
	got := map[string]int{}
	for _, e := range kept {
		switch {
		case e.Note != nil:
			got[e.Note.Position+" note "+e.Note.Text]++
		case e.Found.Value != nil:
			got[e.Found.Position+" "+e.Found.Check+" "+e.Found.Value.String()]++
		default:
			got[e.Found.Position+" "+e.Found.Check+" "+e.Found.Answer]++
		}
	}
	if !maps.Equal(got, want) {
		for _, k := range slices.Sorted(maps.Keys(want)) {
			if got[k] != want[k] {
				t.Errorf("%s: %d, typed were %d", k, got[k], want[k])
			}
		}
		for _, k := range slices.Sorted(maps.Keys(got)) {
			if want[k] == 0 {
				t.Errorf("%s was not typed", k)
			}
		}
	}
}

// ranges writes numbers as a person does: "1-20 22".
func ranges(numbers []string) string {
	var out []string
	for i := 0; i < len(numbers); {
		first, _ := strconv.Atoi(numbers[i])
		last := first
		for i++; i < len(numbers) && numbers[i] == strconv.Itoa(last+1); i++ {
			last++
		}
		if last > first {
			out = append(out, fmt.Sprintf("%d-%d", first, last))
		} else {
			out = append(out, strconv.Itoa(first))
		}
	}
	return strings.Join(out, " ")
}
