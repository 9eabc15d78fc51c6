// Package pgtest starts a PostgreSQL server of its own for tests, on a socket in
// a folder that goes with it.
package pgtest

import (
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
)

// Server is a running server.
type Server struct {
	dir     string
	bin     string
	as      *syscall.Credential // nil: as who runs the tests
	process *exec.Cmd
	schemas atomic.Int64
}

// shared is the server of a test binary; Stop ends it.
var shared struct {
	once   sync.Once
	server *Server
	err    error
}

// Address returns the address of an empty schema of its own on a server that
// the tests of a binary share. Without a PostgreSQL on the machine the test is
// skipped, unless UNDERTRAY_CHECK says that everything is there.
func Address(t testing.TB) string {
	t.Helper()
	bin := binaries()
	if bin == "" {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal("no PostgreSQL is installed: run scripts/setup")
		}
		t.Skip("no PostgreSQL is installed")
	}
	shared.once.Do(func() { shared.server, shared.err = start(bin) })
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return shared.server.Schema()
}

// Small returns the address of an empty schema whose tables lie on a disk of so many
// bytes, in memory. Where the tests may not mount one the test is skipped.
func Small(t testing.TB, bytes int) string {
	t.Helper()
	address := Address(t)
	s, dir := shared.server, t.TempDir()
	if err := syscall.Mount("none", dir, "tmpfs", 0, fmt.Sprintf("size=%d,mode=0777", bytes)); err != nil {
		t.Skipf("no small disk can be mounted: %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(dir, syscall.MNT_DETACH) })
	for d := dir; d != os.TempDir() && d != "/"; d = filepath.Dir(d) {
		os.Chmod(d, 0o777) // the server runs as another user
	}
	place := filepath.Join(dir, "tables")
	make := exec.Command("mkdir", place)
	make.SysProcAttr = &syscall.SysProcAttr{Credential: s.as}
	if out, err := make.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	number := s.schemas.Load()
	name := fmt.Sprintf("small_%d", number)
	ask := func(query string) {
		out, err := s.command("psql", "-h", s.dir, "-U", "undertray", "-d", "postgres", "-c", query).CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	ask(fmt.Sprintf("CREATE TABLESPACE %s LOCATION '%s'", name, place))
	t.Cleanup(func() { // before the disk goes: without it the server would not start again
		ask(fmt.Sprintf("DROP SCHEMA yard_%d CASCADE", number))
		ask("DROP TABLESPACE " + name)
	})
	return address + "&default_tablespace=" + name
}

// Restart kills the shared server as a power cut would and starts it again.
func Restart(t testing.TB) {
	t.Helper()
	s := shared.server
	s.process.Process.Signal(syscall.SIGQUIT) // no checkpoint
	s.process.Wait()
	if err := s.run(); err != nil {
		t.Fatal(err)
	}
}

// Stop ends the server of the binary, if there is one: call it from TestMain.
func Stop() {
	if s := shared.server; s != nil {
		s.process.Process.Signal(syscall.SIGINT)
		s.process.Wait()
		os.RemoveAll(s.dir)
	}
}

// binaries returns the folder of the newest server installed, "" for none.
func binaries() string {
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	if len(found) == 0 {
		if path, err := exec.LookPath("initdb"); err == nil {
			return filepath.Dir(path)
		}
		return ""
	}
	return filepath.Dir(slices.MaxFunc(found, func(a, b string) int { return version(a) - version(b) }))
}

func version(path string) int {
	n, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(path))))
	return n
}

func start(bin string) (*Server, error) {
	dir, err := os.MkdirTemp("", "undertray-pg-")
	if err != nil {
		return nil, err
	}
	s := &Server{dir: dir, bin: bin}
	if os.Geteuid() == 0 { // the server refuses to run as root
		if s.as, err = other(); err != nil {
			return nil, err
		}
		if err := os.Chown(dir, int(s.as.Uid), int(s.as.Gid)); err != nil {
			return nil, err
		}
	}
	out, err := s.command("initdb", "--pgdata="+s.data(), "--username=undertray", "--auth=trust", "--encoding=UTF8",
		"--no-locale").CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("initdb: %w: %s", err, out)
	}
	return s, s.run()
}

// other returns a user that owns nothing else.
func other() (*syscall.Credential, error) {
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.Atoi(u.Uid)
		gid, err2 := strconv.Atoi(u.Gid)
		if err1 == nil && err2 == nil {
			return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, nil
		}
	}
	return nil, fmt.Errorf("there is no other user to run a database server as")
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

func (s *Server) command(name string, args ...string) *exec.Cmd {
	c := exec.Command(filepath.Join(s.bin, name), args...)
	c.Dir = s.dir
	c.Env = append(os.Environ(), "LC_ALL=C", "TZ=UTC")
	c.SysProcAttr = &syscall.SysProcAttr{Credential: s.as, Pdeathsig: syscall.SIGINT}
	return c
}

func (s *Server) run() error {
	s.process = s.command("postgres", "-D", s.data(), "-k", s.dir, "-c", "listen_addresses=", "-c",
		"max_connections=100", "-c", "shared_buffers=32MB",
		"-c", "logging_collector=off", "-c", "log_min_messages=fatal")
	if err := s.process.Start(); err != nil {
		return err
	}
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if s.command("pg_isready", "-q", "-h", s.dir).Run() == nil {
			return nil
		}
	}
	return fmt.Errorf("the database server in %s does not answer", s.dir)
}

// Schema returns the address of a schema that is not there yet.
func (s *Server) Schema() string {
	q := url.Values{"host": {s.dir}, "search_path": {fmt.Sprintf("yard_%d", s.schemas.Add(1))}}
	return "postgres://undertray@/postgres?" + q.Encode()
}
