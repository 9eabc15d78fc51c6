package growth

import (
	"bufio"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"undertray/internal/cli"
	"undertray/internal/journal"
	"undertray/internal/journal/pgtest"
)

// TestMain is the program itself where a test starts it as one.
func TestMain(m *testing.M) {
	if args := os.Getenv("UNDERTRAY_AS_PROGRAM"); args != "" {
		os.Exit(cli.Main(strings.Split(args, "\n"), os.Stdin, os.Stdout, os.Stderr))
	}
	code := m.Run()
	pgtest.Stop()
	os.Exit(code)
}

// program is a server in a process of its own.
type program struct {
	cmd *exec.Cmd
	url string
}

// started starts a server on a yard and returns once it listens.
func started(t *testing.T, dir string, more ...string) *program {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	args := append([]string{"--yard", dir, "serve", "--listen", "localhost:0"}, more...)
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), "UNDERTRAY_AS_PROGRAM="+strings.Join(args, "\n"), "UNDERTRAY_TODAY="+today.String())
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	p := &program{cmd: cmd}
	t.Cleanup(p.kill)
	line, err := bufio.NewReader(out).ReadString('\n')
	if _, err := fmt.Sscanf(line, "Open %s in", &p.url); err != nil {
		t.Fatalf("the server says %q, %v", line, err)
	}
	p.url = strings.TrimSuffix(p.url, "/")
	if err != nil {
		t.Fatal(err)
	}
	go io.Copy(io.Discard, out)
	return p
}

// kill ends a server without a word.
func (p *program) kill() {
	p.cmd.Process.Kill()
	p.cmd.Wait()
}

// get gets a page, read to its end.
func (p *program) get(path string) error {
	res, err := http.Get(p.url + path)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if _, err := io.Copy(io.Discard, res.Body); err != nil || res.StatusCode != http.StatusOK {
		return fmt.Errorf("%s: %s, %v", path, res.Status, err)
	}
	return nil
}

// TestServerMemory: a server of a yard with many entries stays below 150 MB while
// its pages are asked for and rounds are kept, with as many sheets and with one.
// The peak counts, as the system keeps it.
func TestServerMemory(t *testing.T) {
	const most = 150 << 10 // kB
	sheets := 500
	if soak() {
		sheets = 10000
	}
	for _, vehicles := range []int{sheets, 1} {
		dir := yardWith(t, many(), vehicles, vehicles)
		p := started(t, dir)
		for i := range 3 {
			for _, path := range []string{"/", "/v/wren", "/v/wren/p/battery", "/v/wren/round", "/v/wren/job"} {
				if err := p.get(path); err != nil {
					t.Fatal(err)
				}
			}
			for n := 1; n < 200 && n < vehicles; n++ {
				if err := p.get(fmt.Sprintf("/v/other-%d", n)); err != nil {
					t.Fatal(err)
				}
			}
			form := url.Values{"date": {today.String()}, "batch": {journal.NewID()}, "a.battery.rest-voltage": {fmt.Sprintf("12.%d", i)}}
			res, err := http.PostForm(p.url+"/v/wren/round", form)
			if err != nil || res.StatusCode != http.StatusOK {
				t.Fatal(res.Status, err)
			}
			res.Body.Close()
		}
		kB := peak(t, p.cmd.Process.Pid)
		t.Logf("%d entries about %d vehicles, each with a sheet: %.0f MB at the most", many(), vehicles, float64(kB)/1024)
		if kB > most {
			t.Errorf("the server takes %d kB with %d entries about %d vehicles, want at most %d", kB, many(), vehicles, most)
		}
		p.kill()
	}
}

// peak is the greatest memory that a process has held, in kB.
func peak(t *testing.T, pid int) int {
	t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Skip("the system does not say what memory a process takes")
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kB, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(rest), "kB")))
			if err != nil {
				t.Fatal(err)
			}
			return kB
		}
	}
	t.Fatal("no peak is told")
	return 0
}
