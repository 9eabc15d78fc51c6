package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A page of documentation that a newcomer follows is run as it stands: every
// indented line that begins with "undertray" is a command, the fenced block
// after it lists what its output must contain, and a block with "file=NAME"
// is written to that file.
func TestFirstHour(t *testing.T) { followPage(t, "first-hour.md") }

func followPage(t *testing.T, name string) {
	followPageIn(t, name, filepath.Join(t.TempDir(), "yard"))
}

// followPageIn follows a page in a yard that may be there already.
func followPageIn(t *testing.T, name, yard string) {
	src, err := os.ReadFile(filepath.Join("..", "..", "docs", name))
	if err != nil {
		t.Fatal(err)
	}
	followText(t, string(src), yard)
}

// followText follows what a page says.
func followText(t *testing.T, text, yard string) {
	t.Helper()
	t.Chdir(t.TempDir())
	t.Setenv("UNDERTRAY_YARD", yard)
	t.Setenv("UNDERTRAY_TODAY", "2026-11-25")
	out := ""
	commands := 0
	lines := strings.Split(text, "\n")
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		switch {
		case strings.HasPrefix(line, "    undertray "):
			out = runLine(t, strings.TrimSpace(line))
			commands++
		case strings.HasPrefix(line, "```"):
			var block []string
			for i++; lines[i] != "```"; i++ {
				block = append(block, lines[i])
			}
			if _, file, ok := strings.Cut(line, "file="); ok {
				if err := os.WriteFile(file, []byte(strings.Join(block, "\n")+"\n"), 0o644); err != nil {
					t.Fatal(err)
				}
				continue
			}
			for _, want := range block {
				if !strings.Contains(flat(out), flat(want)) {
					t.Errorf("line %d: the output lacks %q:\n%s", i, want, out)
				}
			}
		}
	}
	if commands < 5 {
		t.Errorf("only %d commands found on the page", commands)
	}
}

// runLine runs a command line as a shell would, with quotes and "> FILE".
func runLine(t *testing.T, line string) string {
	t.Helper()
	line, file, _ := strings.Cut(line, " > ")
	var out, errw bytes.Buffer
	if code := Main(fields(line)[1:], strings.NewReader(""), &out, &errw); code != 0 {
		t.Fatalf("%s\nexit code %d: %s", line, code, errw.String())
	}
	if file != "" {
		if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return out.String()
}

// fields splits a line at spaces outside double quotes.
func fields(line string) []string {
	var out []string
	var word strings.Builder
	quoted, has := false, false
	for _, r := range line {
		switch {
		case r == '"':
			quoted, has = !quoted, true
		case r == ' ' && !quoted:
			if has {
				out = append(out, word.String())
			}
			word.Reset()
			has = false
		default:
			word.WriteRune(r)
			has = true
		}
	}
	if has {
		out = append(out, word.String())
	}
	return out
}

func flat(s string) string { return strings.Join(strings.Fields(s), " ") }
