// Package program runs the program in processes of their own, out of the binary of
// the test that asks for it, to be measured and killed.
package program

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"undertray.example/undertray/internal/cli"
	"undertray.example/undertray/internal/journal/pgtest"
)

// asProgram names the environment variable that makes a test binary the program
// itself, with the arguments that stand in it, a line each.
const asProgram = "UNDERTRAY_AS_PROGRAM"

// TestMain is the program where the binary was started as one, else it runs the
// tests and ends the databases that they started. It does not return.
func TestMain(m *testing.M) {
	if args := os.Getenv(asProgram); args != "" {
		os.Exit(cli.Main(strings.Split(args, "\n"), os.Stdin, os.Stdout, os.Stderr))
	}
	code := m.Run()
	pgtest.Stop()
	if made {
		os.RemoveAll(Scratch())
	}
	os.Exit(code)
}

var made bool

// Scratch is a folder that lasts for all tests.
var Scratch = sync.OnceValue(func() string {
	dir, err := os.MkdirTemp("", "undertray-bench-")
	if err != nil {
		panic(err)
	}
	made = true
	return dir
})

// Command returns the program with some arguments, for which it is a day written as
// 2026-11-25; it is not started.
func Command(t testing.TB, today string, args ...string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), asProgram+"="+strings.Join(args, "\n"), "UNDERTRAY_TODAY="+today)
	return cmd
}

// Server is a server in a process of its own.
type Server struct {
	*exec.Cmd
	URL string // without a slash at its end
}

// Serve starts a command that serves, and returns once it listens. It is killed at
// the end of the test.
func Serve(t testing.TB, cmd *exec.Cmd) *Server {
	t.Helper()
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	s := &Server{Cmd: cmd}
	t.Cleanup(s.Kill)
	line, err := bufio.NewReader(out).ReadString('\n')
	if _, scanErr := fmt.Sscanf(line, "Open %s in", &s.URL); err != nil || scanErr != nil {
		t.Fatalf("the server says %q, %v", line, err)
	}
	s.URL = strings.TrimSuffix(s.URL, "/")
	go io.Copy(io.Discard, out)
	return s
}

// Kill ends a server without a word.
func (s *Server) Kill() {
	s.Process.Kill()
	s.Wait()
}
