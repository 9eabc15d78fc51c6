//go:build unix

package cli

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"

	"undertray.example/undertray/internal/journal"
)

// atTerminal runs the program at a terminal of so many columns and hands what it writes on until it ends.
type atTerminal struct {
	t    *testing.T
	cmd  *exec.Cmd
	keys *os.File
	mu   sync.Mutex
	said bytes.Buffer
	done chan struct{}
}

func startAtTerminal(t *testing.T, columns int, env []string, args ...string) *atTerminal {
	t.Helper()
	a := &atTerminal{t: t, cmd: exec.Command("undertray", args...), done: make(chan struct{})}
	a.cmd.Env = append(append(os.Environ(), "TERM=xterm-256color", "COLUMNS="), env...)
	var err error
	if a.keys, err = pty.StartWithSize(a.cmd, &pty.Winsize{Rows: 40, Cols: uint16(columns)}); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(a.done)
		b := make([]byte, 4096)
		for {
			n, err := a.keys.Read(b)
			a.mu.Lock()
			a.said.Write(b[:n])
			a.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	t.Cleanup(func() { a.keys.Close() })
	return a
}

func (a *atTerminal) text() string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return onScreen.ReplaceAllString(strings.ReplaceAll(a.said.String(), "\r\n", "\n"), "")
}

// onScreen is what is written over, and how that is done.
var onScreen = regexp.MustCompile("[^\n]*\r|\x1b\\[[0-9]*[KJA]")

// until waits for so many of a text.
func (a *atTerminal) until(text string, times int) {
	a.t.Helper()
	for range 3000 {
		if strings.Count(a.text(), text) >= times {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	a.t.Fatalf("%q was not said %d times:\n%s", text, times, a.text())
}

// ends waits for the end and returns all that was said and the exit code.
func (a *atTerminal) ends() (string, int) {
	a.t.Helper()
	err := a.cmd.Wait()
	if _, exited := err.(*exec.ExitError); err != nil && !exited {
		a.t.Fatal(err)
	}
	select {
	case <-a.done:
	case <-time.After(10 * time.Second): // some systems tell the end to nobody
	}
	return a.text(), a.cmd.ProcessState.ExitCode()
}

// At a terminal the width is the terminal's and verdicts have a tone beside their word; with
// NO_COLOR, at a dumb terminal, or in a file there is none.
func TestColourIsForTerminals(t *testing.T) {
	demoYard(t)
	plain := regexp.MustCompile("\x1b\\[[0-9;]*m")
	whole, code := startAtTerminal(t, 100, nil, "position", "heron", "main-belt").ends()
	if code != exitOK || !strings.Contains(whole, "\x1b[1;38;5;166mput right\x1b[0m") {
		t.Errorf("exit code %d, no tone beside the word:\n%s", code, whole)
	}
	wide := 0
	for line := range strings.Lines(plain.ReplaceAllString(whole, "")) {
		wide = max(wide, len([]rune(strings.TrimRight(line, "\n"))))
	}
	if wide > 100 || wide < 90 {
		t.Errorf("%d columns of 100 are used", wide)
	}
	for _, env := range []string{"NO_COLOR=1", "TERM=dumb"} {
		said, _ := startAtTerminal(t, 100, []string{env}, "position", "heron", "main-belt").ends()
		if said != plain.ReplaceAllString(whole, "") {
			t.Errorf("%s: something else, or not the same in words:\n%s", env, said)
		}
	}
	if _, out, _ := typed("position heron main-belt", ""); strings.Contains(out, "\x1b") {
		t.Errorf("what is no terminal gets colours:\n%s", out)
	}
}

// Work that takes long is told on standard error at a terminal, with how far it is or how long it took
// the last time; nothing of it is left there, nor comes into the answer, and elsewhere nothing is said.
func TestLongWorkIsTold(t *testing.T) {
	if err := os.RemoveAll(filepath.Join(demoYard(t), ".kept")); err != nil {
		t.Fatal(err)
	}
	before := patience
	patience = 0
	t.Cleanup(func() { patience = before })
	ask := func(line string) (told, out string) {
		keys, screen, err := pty.Open()
		if err != nil {
			t.Fatal(err)
		}
		defer keys.Close()
		var o bytes.Buffer
		a := &app{in: strings.NewReader(""), out: &o, err: screen, now: clock, newID: journal.NewID}
		read := make(chan []byte)
		go func() {
			b, _ := io.ReadAll(keys) // ends in an error where the other side is closed
			read <- b
		}()
		if code := a.run(fields(line)); code != exitOK {
			t.Fatalf("%s ends with %d", line, code)
		}
		screen.Close()
		return string(<-read), o.String()
	}
	_, whole, complaint := typed("trip heron \"900 km\"", "")
	if strings.Contains(complaint, "working") {
		t.Errorf("in a file it says %q", complaint)
	}
	for _, want := range []string{"working it out|[0-9] of 3 vehicles",
		"about [0-9]+ s (as the last time|for the rest)"} {
		told, out := ask("trip heron \"900 km\"")
		if !regexp.MustCompile(want).MatchString(told) || out != whole {
			t.Errorf("it says %q and answers\n%s", told, out)
		}
		if rest := onScreen.ReplaceAllString(told, ""); strings.TrimSpace(rest) != "" {
			t.Errorf("%q stays on the screen", rest)
		}
	}
	if told, _ := ask("odometer heron \"217000 km\""); strings.Contains(told, "working") {
		t.Errorf("a fact is told to be worked out: %q", told)
	}
}

// A round that is broken off records nothing, keeps what was answered, and the command it tells
// records that.
func TestBrokenOffRoundKeepsAnswers(t *testing.T) {
	dir := demoYard(t)
	_, before, _ := typed("journal verify", "")
	a := startAtTerminal(t, 80, nil, "ask", "heron")
	for i, key := range []string{"1\n", "\n", "1\n", "\x03"} {
		a.until("> ", i+1)
		if _, err := a.keys.WriteString(key); err != nil {
			t.Fatal(err)
		}
	}
	said, code := a.ends()
	if code != exitBroken || !strings.Contains(said, "Broken off: nothing is recorded.") {
		t.Fatalf("exit code %d:\n%s", code, said)
	}
	if _, after, _ := typed("journal verify", ""); after != before {
		t.Errorf("the journal had %s and has %s", before, after)
	}
	kept, err := filepath.Glob(filepath.Join(dir, "round-heron-*.yaml"))
	if err != nil || len(kept) != 1 {
		t.Fatal(kept, err)
	}
	src, err := os.ReadFile(kept[0])
	line, _, _ := strings.Cut(string(src), "\n")
	schema, lacks := os.ReadFile(filepath.Join(dir, strings.TrimPrefix(line, "# yaml-language-server: $schema=")))
	if err := errors.Join(err, lacks); err != nil {
		t.Fatal(err)
	}
	if err := holds(t, compiled(t, schema), src); err != nil || strings.Count(string(src), "\n") < 6 {
		t.Fatalf("kept %s: %v", src, err)
	}
	command := regexp.MustCompile(`(?s)undertray findings .*?\.yaml`).FindString(said)
	command = strings.Join(strings.Fields(strings.ReplaceAll(command, "\\\n", " ")), " ")
	if code, out, complaint := typed(command, ""); code != exitOK || !strings.Contains(out, "2 entries") {
		t.Errorf("%s ends with %d and says %s%s", command, code, out, complaint)
	}
	// broken off before the first answer nothing is there to keep
	a = startAtTerminal(t, 80, nil, "ask", "heron")
	a.until("> ", 1)
	if _, err := a.keys.WriteString("\x03"); err != nil {
		t.Fatal(err)
	}
	if said, code := a.ends(); code != exitBroken || strings.Contains(said, "kept") {
		t.Errorf("exit code %d:\n%s", code, said)
	}
}
