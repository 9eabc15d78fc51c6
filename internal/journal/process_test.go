//go:build unix

package journal_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
	"undertray.example/undertray/internal/journal/pgtest"
)

// other names the environment variable that makes the test binary behave as
// another program that uses the journal at the path given as its argument.
const other = "UNDERTRAY_TEST_OTHER_PROGRAM"

func TestMain(m *testing.M) {
	switch os.Getenv(other) {
	case "":
		code := m.Run()
		pgtest.Stop()
		os.Exit(code)
	case "read":
		readAsOther(os.Args[1])
	case "append":
		appendAsOther(os.Args[1], 1<<30)
	case "keep":
		keepAsOther(os.Args[1])
	case "append little":
		signal.Ignore(syscall.SIGXFSZ)
		limit := syscall.Rlimit{Cur: 160 << 10, Max: 160 << 10}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		appendAsOther(os.Args[1], 1<<30)
	}
}

// readAsOther says what it could do with a journal.
func readAsOther(path string) {
	ctx := context.Background()
	s, err := journal.OpenSQLite(ctx, path, journal.Options{})
	if err != nil {
		fmt.Printf("open: kind %d: %v\n", fleet.KindOf(err), err)
		return
	}
	defer s.Close()
	n, err := s.Count(ctx)
	fmt.Printf("read only %v, %d entries, error %v\n", s.ReadOnly(), n, err)
	_, err = s.Append(ctx, []*fleet.Entry{journaltest.Note(5000, "heron")})
	fmt.Printf("append: kind %d: %v\n", fleet.KindOf(err), err)
	problems, err := journal.Verify(ctx, s, nil)
	fmt.Printf("verify: %v, %v\n", problems, err)
}

// appendAsOther appends note after note and says which have landed.
func appendAsOther(path string, most int) {
	ctx := context.Background()
	s, err := journal.OpenSQLite(ctx, path, journal.Options{})
	for i := 0; err == nil && i < most; i++ {
		if _, err = s.Append(ctx, []*fleet.Entry{journaltest.Note(i, "heron")}); err == nil {
			fmt.Println(i + 1)
		}
	}
	fmt.Printf("kind %d: %v\n", fleet.KindOf(err), err)
}

// command runs the test binary as another program, without the rights of the
// superuser if the tests have them: nothing is read-only to the superuser.
func command(t *testing.T, what, path string, unprivileged bool) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, path)
	if unprivileged && os.Geteuid() == 0 {
		cmd.Path = executableForAll(t, self)
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		cmd.Dir = "/"
	}
	cmd.Env = []string{other + "=" + what, "PATH=" + os.Getenv("PATH")}
	return cmd
}

// executableForAll copies the test binary to where everybody may run it.
func executableForAll(t *testing.T, self string) string {
	t.Helper()
	path := filepath.Join(folderForAll(t), "other")
	in, err := os.Open(self)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	out, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o755)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(out, in); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// folderForAll returns a folder that everybody may enter, as t.TempDir is not.
func folderForAll(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "journal")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = os.Chmod(folder, 0o755)
		if err := os.RemoveAll(folder); err != nil {
			t.Error(err)
		}
	})
	chmod(t, folder, 0o755)
	return folder
}

func chmod(t *testing.T, path string, mode os.FileMode) {
	t.Helper()
	if err := os.Chmod(path, mode); err != nil {
		t.Fatal(err)
	}
}

func output(t *testing.T, cmd *exec.Cmd) string {
	t.Helper()
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return string(out)
}

func TestReadsWhatCannotBeWritten(t *testing.T) {
	tests := []struct {
		name         string
		file, folder os.FileMode
		inUse        bool // by a program that may write, with entries in its log
	}{
		{"file", 0o444, 0o755, false},
		{"file in a folder for all", 0o444, 0o777, false},
		{"folder", 0o644, 0o555, false},
		{"file and folder", 0o444, 0o555, false},
		{"file and folder in use", 0o444, 0o555, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			folder := folderForAll(t)
			path := filepath.Join(folder, "yard.journal")
			s := mustOpen(t, path, journal.Options{Create: true})
			s.Close()
			chmod(t, path, 0o644) // what it is when its log is made, the log is too
			s = mustOpen(t, path, journal.Options{})
			mustAppend(t, s, journaltest.Notes(7, "heron")...)
			if !tt.inUse {
				s.Close()
			}
			chmod(t, path, tt.file)
			chmod(t, folder, tt.folder)

			got := output(t, command(t, "read", path, true))
			for _, want := range []string{
				"read only true, 7 entries, error <nil>\n",
				"append: kind 4: " + path + ": the journal cannot be written, only read\n",
				"verify: [], <nil>\n",
			} {
				if !strings.Contains(got, want) {
					t.Errorf("got\n%swant %s", got, want)
				}
			}
		})
	}
}

func TestReadOnlyOption(t *testing.T) {
	s, path := newFile(t)
	mustAppend(t, s, journaltest.Notes(3, "heron")...)
	reader := mustOpen(t, path, journal.Options{ReadOnly: true})
	wantCount(t, reader, 3)
	mustAppend(t, s, journaltest.Note(3, "heron"))
	wantCount(t, reader, 4)
	_, err := reader.Append(t.Context(), journaltest.Notes(9, "heron"))
	wantKind(t, err, fleet.Unavailable, "only read")
	wantSound(t, reader)
}

// appendUntil runs another program that appends, kills it when it has landed
// enough, and returns how many it said had landed.
func appendUntilKilled(t *testing.T, path string, enough int) int {
	t.Helper()
	cmd := command(t, "append", path, false)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	landed := 0
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if _, err := fmt.Sscan(lines.Text(), &landed); err != nil {
			t.Errorf("the other program says %q", lines.Text())
		}
		if landed == enough {
			_ = cmd.Process.Kill()
		}
	}
	_ = cmd.Wait()
	return landed
}

func TestKilledProgramLosesNothing(t *testing.T) {
	for _, enough := range []int{1, 40, 333} {
		s, path := newFile(t)
		s.Close()
		landed := appendUntilKilled(t, path, enough)
		s = mustOpen(t, path, journal.Options{})
		got, err := s.Count(t.Context())
		if err != nil || landed < enough || got < landed || got > landed+1 {
			t.Errorf("%d entries, %v, after %d had landed", got, err, landed)
		}
		wantSound(t, s)
	}
}

func TestLogThatCannotBeRead(t *testing.T) {
	folder := folderForAll(t)
	path := filepath.Join(folder, "yard.journal")
	mustOpen(t, path, journal.Options{Create: true}).Close()
	chmod(t, path, 0o644)
	appendUntilKilled(t, path, 5)
	if err := os.Remove(path + "-shm"); err != nil {
		t.Fatal(err)
	}
	chmod(t, folder, 0o555)
	got := output(t, command(t, "read", path, true))
	if want := "open: kind 4: " + path + ": the latest entries lie in " + path + "-wal"; !strings.HasPrefix(got, want) {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestFileSizeLimit(t *testing.T) {
	s, path := newFile(t)
	s.Close()
	lines := strings.Split(strings.TrimSpace(output(t, command(t, "append little", path, false))), "\n")
	landed := len(lines) - 1
	if want := "kind 4: " + path + ": the dis"; !strings.HasPrefix(lines[landed], want) {
		t.Errorf("the other program says %q, want %q", lines[landed], want)
	}
	s = mustOpen(t, path, journal.Options{})
	wantCount(t, s, landed)
	mustAppend(t, s, journaltest.Note(landed, "heron"))
	wantSound(t, s)
}
