package kills

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"sync"
	"testing"
	"time"

	"undertray.example/undertray/bench/program"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// TestKilledWhileFinishing: the page that finishes a job is sent to a server that is
// killed in the middle, again and again, and by a double tap; sent until it is
// acknowledged each sheet ends once, with its part, in one batch.
func TestKilledWhileFinishing(t *testing.T) {
	for name, s := range sheds(t) {
		t.Run(name, func(t *testing.T) {
			random, todo := randomOf(t, 7), shareOf(200, 6*time.Second)
			p, kills, sheets := s.serve(t), 0, map[string]string{} // the batch of each part's number
			took := 50 * time.Millisecond
			until(todo.most, func() bool {
				number := fmt.Sprintf("B-%d", len(sheets))
				form := url.Values{"date": {today}, "batch": {journal.NewID()}, "changed": {"battery"},
					"p.battery.name": {"battery"}, "p.battery.number": {number}, "h.battery.load-test": {"bad"}}
				begin(t, p.URL)
				sheets[number] = form.Get("batch")
				for again := true; again; {
					dead, server := random.IntN(2) == 0, p
					if dead {
						after := time.Duration(1.2 * random.Float64() * float64(took))
						defer time.AfterFunc(after, func() { server.Process.Kill() }).Stop()
					}
					begun := time.Now()
					said := sendTwice(p.URL+"/v/wren/job/done", form, random.IntN(2) == 0)
					if again = said != http.StatusOK; again && said != 0 {
						t.Errorf("%s: %d", number, said)
						return false
					}
					if !again && !dead {
						took = time.Since(begun)
					}
					if dead {
						p.Kill()
						p, kills = s.serve(t), kills+1
					}
				}
				return kills < todo.kills
			})
			p.Kill()
			s.wantFinished(t, sheets)
			if t.Logf("%d kills, %d sheets", kills, len(sheets)); kills == 0 {
				t.Error("nothing was killed")
			}
		})
	}
}

// begin begins a sheet for a battery and ticks its change.
func begin(t *testing.T, server string) {
	t.Helper()
	form := url.Values{"batch": {journal.NewID()}, "task": {"battery|" + fleet.DoReplace + "|"},
		"step":   {"change:battery"},
		"before": {"alone"}}
	res, err := http.PostForm(server+"/v/wren/job/tick", form)
	if err != nil {
		t.Fatal(err)
	}
	if res.Body.Close(); res.StatusCode != http.StatusOK {
		t.Fatalf("a tick: %s", res.Status)
	}
}

// sendTwice posts a form, twice at once for a double tap, and returns the status of
// an answer, 0 where none came.
func sendTwice(to string, form url.Values, twice bool) (status int) {
	var mu sync.Mutex
	var group sync.WaitGroup
	post := func() {
		res, err := http.PostForm(to, form)
		if err != nil {
			return
		}
		res.Body.Close()
		mu.Lock()
		defer mu.Unlock()
		if status == 0 || res.StatusCode != http.StatusOK {
			status = res.StatusCode
		}
	}
	group.Go(post)
	if twice {
		group.Go(post)
	}
	group.Wait()
	return status
}

// wantFinished wants each part fitted once, in the batch that it was sent in, with
// the answer in the hand and the end of its sheet, and nothing more.
func (s shed) wantFinished(t *testing.T, sheets map[string]string) {
	t.Helper()
	store, entries := s.read(t)
	sizes, fitted, begun, ended := map[string]int{}, map[string]int{}, 0, map[string]int{}
	for _, e := range entries {
		sizes[e.Batch]++
		switch {
		case e.Fitted != nil:
			fitted[e.Fitted.Part.Number]++
			if sheets[e.Fitted.Part.Number] != e.Batch {
				t.Errorf("%s is in batch %s", e.Fitted.Part.Number, e.Batch)
			}
		case e.Work != nil && e.Work.Ended:
			ended[e.Work.Of]++
		case e.Work != nil && len(e.Work.Begins) > 0:
			begun++
		}
	}
	for number, batch := range sheets {
		if fitted[number] != 1 || sizes[batch] != 3 {
			t.Errorf("%s is fitted %d times, in a batch of %d", number, fitted[number], sizes[batch])
		}
	}
	for of, n := range ended {
		if n != 1 {
			t.Errorf("sheet %s ends %d times", of, n)
		}
	}
	if len(ended) != begun || begun != len(sheets) || len(fitted) != len(sheets) {
		t.Errorf("%d sheets, %d begun, %d ended, %d parts", len(sheets), begun, len(ended), len(fitted))
	}
	if problems, err := journal.Verify(t.Context(), store, nil); err != nil || len(problems) > 0 {
		t.Errorf("verify: %v, %v", problems, err)
	}
}

// TestTwoServersFinishOneSheet: two different forms for one sheet reach two servers of one
// journal at one instant. Where they contradict each other one is kept and the other is
// refused; else exactly their union lands.
func TestTwoServersFinishOneSheet(t *testing.T) {
	for name, s := range sheds(t) {
		t.Run(name, func(t *testing.T) {
			servers := []*program.Server{s.serve(t), s.serve(t)}
			sheets := map[string]string{}
			for n := range 12 {
				begin(t, servers[n%2].URL)
				number := fmt.Sprintf("B-%d", n)
				batch := batchOf(t, page(t, servers[0], "/v/wren/job/done"))
				forms := make([]url.Values, 2)
				for i := range forms {
					forms[i] = url.Values{"date": {today}, "batch": {batch}, "changed": {"battery"},
						"p.battery.name": {"battery"}, "p.battery.number": {number}}
				}
				contradict := n%3 > 0
				if contradict {
					forms[0].Set("h.battery.load-test", "bad")
					forms[1].Set("h.battery.load-test", "good")
				} else {
					forms[n%2].Set("h.battery.load-test", "bad")
				}
				said := make([]int, 2)
				var group sync.WaitGroup
				for i, server := range servers {
					group.Go(func() { said[i] = sendTwice(server.URL+"/v/wren/job/done", forms[i], false) })
				}
				group.Wait()
				slices.Sort(said)
				want := []int{http.StatusOK, http.StatusOK}
				if contradict {
					want[1] = http.StatusConflict
				}
				if !slices.Equal(said, want) {
					t.Errorf("%s: %v, want %v", number, said, want)
				}
				sheets[number] = batch
			}
			s.wantUnited(t, sheets)
		})
	}
}

var batchField = regexp.MustCompile(`name="batch" value="([0-9a-f-]{36})"`)

// batchOf is the batch of the form that finishes a job, on its page.
func batchOf(t *testing.T, page string) string {
	t.Helper()
	m := batchField.FindStringSubmatch(page)
	if m == nil {
		t.Fatal("the page has no form")
	}
	return m[1]
}

// wantUnited wants of each sheet the part, one answer in the hand and one end.
func (s shed) wantUnited(t *testing.T, sheets map[string]string) {
	t.Helper()
	store, err := journal.Open(t.Context(), s.journal, journal.Options{Mark: s.mark()})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	for number, batch := range sheets {
		kept, err := store.OfForm(t.Context(), batch)
		counts := map[fleet.EntryType]int{}
		for _, e := range kept {
			counts[e.Type]++
		}
		if err != nil || len(kept) != 3 || counts[fleet.TypeFitted] != 1 || counts[fleet.TypeFound] != 1 ||
			counts[fleet.TypeWork] != 1 {
			t.Errorf("%s: %v, %v", number, counts, err)
		}
	}
	all, err := store.Entries(t.Context(), journal.Filter{Type: fleet.TypeFitted})
	if err != nil || len(all) != len(sheets) {
		t.Errorf("%d parts of %d sheets, %v", len(all), len(sheets), err)
	}
}
