package growth

import (
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"undertray.example/undertray/bench/program"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/pgtest"
	"undertray.example/undertray/internal/yard"
)

// large is the size of the yard that many people use: vehicles, and entries about
// each.
func large() (vehicles, each int) {
	if soak() {
		return 10000, 1000
	}
	return 100, 1000
}

// TestManyPeople: fifty readers and five writers on two servers on one database get
// no error, every round that was acknowledged is there, and the slowest hundredth of
// the pages takes at most twice as long in a large yard as in a yard of three
// vehicles under the same load. The check compares the processor time of a page in
// place of the slowest, which depends on what else the machine does.
//
// The large yard is made once for a run; UNDERTRAY_GROWTH, an address and a folder,
// names one to use again, or to make.
func TestManyPeople(t *testing.T) {
	vehicles, each := large()
	few, many := newCrowd(t, t.TempDir(), pgtest.Address(t), 3, each), newLarge(t, vehicles, each)
	turns, long := 1, 12*time.Second
	if soak() {
		turns, long = 3, time.Minute
	}
	for range turns {
		few.use(t, long)
		many.use(t, long)
	}
	few.settled(t)
	many.settled(t)
	slowest, mean := many.slowest()/few.slowest(), many.cost()/few.cost()
	t.Logf("a page of %d vehicles beside three: the slowest hundredth %.2f times as slow, %.2f times the "+
		"processor time", vehicles, slowest, mean)
	if soak() && slowest > 2 {
		t.Errorf("the slowest hundredth is %.2f times as slow, want at most 2", slowest)
	}
	if mean > 2 {
		t.Errorf("a page takes %.2f times the processor time, want at most 2", mean)
	}
}

// crowd is a yard that many people use.
type crowd struct {
	dir, address string
	names        []string
	servers      []*program.Server
	before       int // entries when it was opened

	mu     sync.Mutex
	took   map[string][]float64 // of pages by sort, s
	spent  float64              // processor time of both servers, s
	rounds int
}

func newLarge(t *testing.T, vehicles, each int) *crowd {
	if at := strings.Fields(os.Getenv("UNDERTRAY_GROWTH")); len(at) == 2 {
		return newCrowd(t, at[1], at[0], vehicles, each)
	}
	return newCrowd(t, t.TempDir(), pgtest.Address(t), vehicles, each)
}

// newCrowd makes a yard, unless it is there, and starts two servers of it. Each
// vehicle was looked at once today.
func newCrowd(t *testing.T, dir, address string, vehicles, each int) *crowd {
	t.Helper()
	t.Setenv("UNDERTRAY_TODAY", today.String())
	c := &crowd{dir: dir, address: address, took: map[string][]float64{}}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(yard.SheetPath(dir, "wren")); err != nil {
		sheetsOf(t, dir, vehicles, vehicles)
	}
	if err := os.WriteFile(filepath.Join(dir, "yard.yaml"), []byte("journal: "+address+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	c.names = y.IDs()
	bulk(t, address, y, vehicles*each, c.names)
	c.before = c.entries(t)
	begun := time.Now()
	run(t, dir, "yard")
	t.Logf("%d vehicles, %d entries: every vehicle looked at in %.1f s", vehicles, c.before,
		time.Since(begun).Seconds())
	for range 2 {
		c.servers = append(c.servers, started(t, dir))
	}
	for _, s := range c.servers { // what is read at the start alone
		for _, path := range []string{"/", "/v/wren"} {
			if err := get(s, path); err != nil {
				t.Fatal(err)
			}
		}
	}
	return c
}

func (c *crowd) entries(t *testing.T) int {
	t.Helper()
	s, err := journal.Open(t.Context(), c.address, journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	head, err := s.Head(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return int(head.Entries)
}

// use lets fifty read and five write for so long.
func (c *crowd) use(t *testing.T, long time.Duration) {
	t.Helper()
	begun, before := time.Now(), c.processor(t)
	var people sync.WaitGroup
	for i := range 55 {
		people.Go(func() {
			random := rand.New(rand.NewPCG(uint64(i), uint64(len(c.names))))
			for time.Since(begun) < long {
				time.Sleep(time.Duration(500+random.IntN(3000)) * time.Millisecond)
				server, vehicle := c.servers[random.IntN(2)], c.names[random.IntN(len(c.names))]
				var err error
				if i < 50 {
					err = c.read(server, vehicle, random.IntN(10))
				} else {
					err = c.write(server, vehicle, random)
				}
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	people.Wait()
	c.spent += c.processor(t) - before
}

// read gets a page: of ten, two are the yard's, five a vehicle's, and the others a
// round to do, a position and what is to be written down.
func (c *crowd) read(s *program.Server, vehicle string, sort int) error {
	sorts := []string{"/", "/", "/v/", "/v/", "/v/", "/v/", "/v/", "/round", "/p/battery", "/add"}
	path := sorts[sort]
	switch {
	case path == "/v/":
		path += vehicle
	case path != "/":
		path = "/v/" + vehicle + path
	}
	begun := time.Now()
	err := get(s, path)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.took[sorts[sort]] = append(c.took[sorts[sort]], time.Since(begun).Seconds())
	return err
}

// write keeps a round of two answers.
func (c *crowd) write(s *program.Server, vehicle string, random *rand.Rand) error {
	form := url.Values{"date": {today.String()}, "batch": {journal.NewID()}, "n.battery": {"terminals warm"},
		"a.battery.rest-voltage": {fmt.Sprintf("12.%d", random.IntN(10))}}
	res, err := http.PostForm(s.URL+"/v/"+vehicle+"/round", form)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if text, err := io.ReadAll(res.Body); err != nil || res.StatusCode != http.StatusOK {
		return fmt.Errorf("a round of %s: %s, %v %.300s", vehicle, res.Status, err, text)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.rounds++
	return nil
}

// processor is what both servers have spent, s.
func (c *crowd) processor(t *testing.T) float64 {
	t.Helper()
	ticks := 0
	for _, s := range c.servers {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.Process.Pid))
		if err != nil {
			t.Skip("the system does not say what time a process takes")
		}
		var utime, stime int
		fields := strings.Fields(string(text[strings.LastIndex(string(text), ")")+1:]))
		fmt.Sscan(fields[11], &utime)
		fmt.Sscan(fields[12], &stime)
		ticks += utime + stime
	}
	return float64(ticks) / 100 // USER_HZ
}

// settled wants every round there, in words of two entries each, and says what
// the pages took.
func (c *crowd) settled(t *testing.T) {
	t.Helper()
	if got := c.entries(t) - c.before; got != 2*c.rounds || c.rounds == 0 {
		t.Errorf("%d rounds were acknowledged, and %d entries have arrived", c.rounds, got)
	}
	for _, sort := range slices.Sorted(maps.Keys(c.took)) {
		t.Logf("%5d vehicles, %-10s %4d pages, middle %.0f ms, slowest hundredth %.0f ms", len(c.names), sort,
			len(c.took[sort]),
			1000*share(c.took[sort], 0.5), 1000*share(c.took[sort], 0.99))
	}
	for _, s := range c.servers {
		t.Logf("%5d vehicles: %.0f MB at the most", len(c.names), float64(peak(t, s.Process.Pid))/1024)
	}
}

func (c *crowd) all() (out []float64) {
	for _, took := range c.took {
		out = append(out, took...)
	}
	return out
}

// slowest is what the slowest hundredth of all pages takes at least, s.
func (c *crowd) slowest() float64 { return share(c.all(), 0.99) }

// cost is the processor time of a page and its share of the rounds, s.
func (c *crowd) cost() float64 { return c.spent / float64(len(c.all())) }

// share is the value below which so many lie.
func share(of []float64, part float64) float64 {
	sorted := slices.Sorted(slices.Values(of))
	return sorted[int(part*float64(len(sorted)-1))]
}
