package kills

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"undertray.example/undertray/internal/journal"
)

// share is how many kills of a sort are made, and how long they may take.
type share struct {
	kills int
	most  time.Duration
}

// shareOf returns the share of a run: so many kills under UNDERTRAY_SOAK, else as
// many as fit in a time.
func shareOf(kills int, most time.Duration) share {
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		return share{kills, 2 * time.Hour}
	}
	return share{1 << 30, most}
}

// randomOf returns what a worker draws from: the same in every check, another one in
// every soak. When a kill strikes depends on the machine all the same.
func randomOf(t *testing.T, worker uint64) *rand.Rand {
	seed := uint64(85110100)
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		seed = rand.Uint64()
	}
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, worker))
}

// workers is how many programs write into one journal at once.
const workers = 2

// worker sends until what it sends to is killed, notes what it sent and what was
// acknowledged, and returns how many were killed.
type worker func(random *rand.Rand, w int, sent func(mark string, acknowledged bool)) (kills int)

// campaign has workers send and be killed until their share is done, and wants what
// they sent to be kept.
func campaign(t *testing.T, s shed, todo share, work worker) {
	var mu sync.Mutex
	all := tally{}
	sent := func(mark string, acknowledged bool) {
		mu.Lock()
		defer mu.Unlock()
		all[mark] = all[mark] || acknowledged
	}
	kills := 0
	var group sync.WaitGroup
	for w := range workers {
		random := randomOf(t, uint64(w))
		group.Go(func() {
			until(todo.most, func() bool {
				n := work(random, w, sent)
				mu.Lock()
				defer mu.Unlock()
				kills += n
				return kills < todo.kills && !t.Failed()
			})
		})
	}
	group.Wait()
	s.wantKept(t, all)
	acknowledged := 0
	for _, yes := range all {
		if yes {
			acknowledged++
		}
	}
	t.Logf("%d kills, %d batches sent, %d acknowledged", kills, len(all), acknowledged)
	if kills == 0 || acknowledged == 0 || acknowledged == len(all) && todo.kills < 1<<30 {
		t.Error("the kills do not strike where something is kept")
	}
}

// TestKilledCommands: a command that records a filled-in round is killed somewhere
// between its start and its end, or just after. What it said it recorded is there.
func TestKilledCommands(t *testing.T) {
	for name, s := range sheds(t) {
		t.Run(name, func(t *testing.T) {
			var n atomic.Int64
			most, near := [workers]time.Duration{}, [workers]bool{}
			campaign(t, s, shareOf(800, 4*time.Second), func(random *rand.Rand, w int, sent func(string, bool)) int {
				mark := fmt.Sprintf("command %d", n.Add(1))
				// The latest moment is soon where a command ends on this machine. It then
				// comes nearer where the command was quicker, and goes where it was not:
				// most kills strike about where it writes.
				most[w] = max(most[w], 50*time.Millisecond)
				after := time.Duration((0.5 + 0.5*random.Float64()) * float64(most[w]))
				said, dead := s.killedCommand(t, fmt.Sprintf("round-%d.yaml", w), mark, after)
				switch sent(mark, said); {
				case said:
					most[w], near[w] = most[w]*9/10, true
				case near[w]:
					most[w] = most[w] * 21 / 20
				default:
					most[w] *= 2
				}
				return dead
			})
		})
	}
}

// killedCommand records a round by command, kills it after a while, and returns
// whether it said that it was recorded, and 1 if it was killed.
func (s shed) killedCommand(t *testing.T, file, mark string, after time.Duration) (said bool, dead int) {
	file = filepath.Join(s.dir, file)
	text := fmt.Sprintf("vehicle: wren\ndate: %s\nfound:\n  main-belt: {cracks: 2 per 75 mm, note: %s}\n"+
		"  battery: {rest-voltage: 12.4 V, note: %[2]s}\n  top-hose: {leak: none, note: %[2]s}\n", today, mark)
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Error(err)
		return false, 0
	}
	var out bytes.Buffer
	cmd := s.command(t, "findings", file)
	cmd.Stdout, cmd.Stderr = &out, os.Stderr
	if err := cmd.Start(); err != nil {
		t.Error(err)
		return false, 0
	}
	kill := time.AfterFunc(after, func() { cmd.Process.Kill() })
	err := cmd.Wait()
	kill.Stop()
	if err == nil {
		return true, 0
	}
	if cmd.ProcessState.ExitCode() >= 0 {
		t.Errorf("%s ends with %v", mark, err)
	}
	return out.Len() > 0, 1
}

// TestKilledServers: rounds are posted to servers that are killed in the middle, two
// on one journal, again and again, and sent again as a phone does until they are
// acknowledged.
func TestKilledServers(t *testing.T) {
	for name, s := range sheds(t) {
		t.Run(name, func(t *testing.T) {
			var batches, marks [workers]string // of the round that is not acknowledged yet
			var n atomic.Int64
			campaign(t, s, shareOf(1150, 6*time.Second), func(random *rand.Rand, w int, sent func(string, bool)) int {
				p := s.serve(t)
				defer p.Kill()
				took := 20 * time.Millisecond
				for {
					if batches[w] == "" {
						batches[w], marks[w] = journal.NewID(), fmt.Sprintf("round %d", n.Add(1))
					}
					sent(marks[w], false)
					if random.IntN(3) == 0 {
						after := time.Duration(1.2 * random.Float64() * float64(took))
						time.AfterFunc(after, func() { p.Process.Kill() })
					}
					form := url.Values{"date": {today}, "batch": {batches[w]},
						"a.tyres.tread": {"6 mm"}, "a.wipers.wiping": {"clean"}, "n.tyres": {marks[w]}}
					begun := time.Now()
					res, err := http.PostForm(p.URL+"/v/wren/round", form)
					if err != nil {
						return 1 // not acknowledged: the next server gets it again
					}
					if res.Body.Close(); res.StatusCode != http.StatusOK {
						t.Errorf("%s: %s", marks[w], res.Status)
						return 1
					}
					sent(marks[w], true)
					batches[w], took = "", time.Since(begun)
				}
			})
		})
	}
}
