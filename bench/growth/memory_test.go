package growth

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/bench/program"
	"undertray.example/undertray/internal/journal"
)

func TestMain(m *testing.M) { program.TestMain(m) }

// started starts a server on a yard and returns once it listens.
func started(t *testing.T, dir string) *program.Server {
	t.Helper()
	return program.Serve(t, program.Command(t, today.String(), "--yard", dir, "serve", "--listen", "localhost:0"))
}

// get gets a page of a server, read to its end.
func get(p *program.Server, path string) error {
	res, err := http.Get(p.URL + path)
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
		// The first look at a million entries may take longer than a request.
		for _, path := range []string{"/", "/v/wren"} {
			for again := 0; again < 10 && get(p, path) != nil; again++ {
			}
		}
		for i := range 3 {
			for _, path := range []string{"/", "/v/wren", "/v/wren/p/battery", "/v/wren/round", "/v/wren/job"} {
				if err := get(p, path); err != nil {
					t.Fatal(err)
				}
			}
			for n := 1; n < 200 && n < vehicles; n++ {
				if err := get(p, fmt.Sprintf("/v/other-%d", n)); err != nil {
					t.Fatal(err)
				}
			}
			form := url.Values{"date": {today.String()}, "batch": {journal.NewID()},
				"a.battery.rest-voltage": {fmt.Sprintf("12.%d", i)}}
			res, err := http.PostForm(p.URL+"/v/wren/round", form)
			if err != nil || res.StatusCode != http.StatusOK {
				t.Fatal(res.Status, err)
			}
			res.Body.Close()
		}
		kB := peak(t, p.Process.Pid)
		t.Logf("%d entries about %d vehicles, each with a sheet: %.0f MB at the most", many(), vehicles,
			float64(kB)/1024)
		if kB > most {
			t.Errorf("the server takes %d kB with %d entries about %d vehicles, want at most %d", kB,
				many(), vehicles, most)
		}
		p.Kill()
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
