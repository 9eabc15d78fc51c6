package growth

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"undertray/internal/cli"
	"undertray/internal/journal"
	"undertray/internal/journal/journaltest"
)

// TestMain is the program itself where a test starts it as one.
func TestMain(m *testing.M) {
	if args := os.Getenv("UNDERTRAY_AS_PROGRAM"); args != "" {
		os.Exit(cli.Main(strings.Split(args, "\n"), os.Stdin, os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
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
// its pages are asked for and rounds are kept. The peak counts, as the system
// keeps it.
func TestServerMemory(t *testing.T) {
	const most = 150 << 10 // kB
	for _, vehicles := range []int{500, 1} {
		dir := yardWith(t, many(), vehicles, 30)
		p := started(t, dir)
		for i := range 3 {
			for _, path := range []string{"/", "/v/wren", "/v/wren/p/battery", "/v/wren/round", "/v/wren/job"} {
				if err := p.get(path); err != nil {
					t.Fatal(err)
				}
			}
			for n := 1; n < 30; n++ {
				if err := p.get(fmt.Sprintf("/v/other-%d", n)); err != nil && vehicles > 1 {
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
		t.Logf("%d entries about %d vehicles: %.0f MB at the most", many(), vehicles, float64(kB)/1024)
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

// TestKilledServers: rounds are posted to a server that is killed in the middle,
// again and again, and sent again as a phone does until they are acknowledged.
// Every round that was acknowledged is there once and whole, and none twice.
func TestKilledServers(t *testing.T) {
	kills, most := 1<<30, 12*time.Second
	if soak() {
		kills, most = 2000, time.Hour
	}
	dir := t.TempDir()
	sheetsOf(t, dir, 1, 1)
	rounds, done := 0, 0
	for begun := time.Now(); done < kills && time.Since(begun) < most; done++ {
		p := started(t, dir)
		time.AfterFunc(time.Duration(30+rand.IntN(250))*time.Millisecond, func() { p.cmd.Process.Kill() })
		for {
			form := url.Values{"date": {today.String()}, "batch": {journaltest.ID(rounds)}, "a.battery.rest-voltage": {"12.4"}, "n.battery": {"terminals warm"},
				"a.main-belt.cracks": {fmt.Sprintf("%d per 75 mm", rounds%3)}}
			if res, err := http.PostForm(p.url+"/v/wren/round", form); err != nil {
				break // not acknowledged: the next server gets it again
			} else if res.Body.Close(); res.StatusCode != http.StatusOK {
				t.Fatalf("round %d: %s", rounds, res.Status)
			}
			rounds++
		}
		p.kill()
	}
	s := serve(t, dir).store
	entries, err := s.Entries(t.Context(), journal.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	of := map[string]int{}
	for _, e := range entries {
		of[e.Batch]++
	}
	for n := range rounds + 1 {
		if got := of[journaltest.ID(n)]; got != 3 && (n < rounds || got != 0) {
			t.Fatalf("round %d of %d acknowledged has %d entries of 3", n, rounds, got)
		}
	}
	if problems, err := journal.Verify(t.Context(), s, nil); err != nil || len(problems) > 0 || len(of) > rounds+1 || rounds == 0 {
		t.Errorf("%d kills, %d rounds, %d batches, problems %v, %v", done, rounds, len(of), problems, err)
	}
	t.Logf("%d kills, %d rounds", done, rounds)
}
