package kills

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"undertray.example/undertray/bench/program"

	"github.com/chromedp/chromedp"
)

// What can happen to a round on its way.
const (
	nothing     = iota
	killed      // the server dies somewhere between request and reply
	replyLost   // the server answers, nobody hears it
	closedEarly // the page is closed, the request with it
	closedLate  // the page is closed, the request arrives
	faults
)

var faultNames = [faults]string{"nothing", "killed", "reply lost", "closed early", "closed late"}

// way leads from a phone to the server of a yard, under one address whichever server
// runs.
type way struct {
	t    *testing.T
	shed shed
	url  string

	mu     sync.Mutex
	server *program.Server
	fault  int           // of the next round that is sent
	after  time.Duration // from its arrival to the kill
	struck chan struct{} // closed once the fault is done
	alive  atomic.Bool
	kills  atomic.Int64 // of servers to which a round was on its way
}

func newWay(t *testing.T, s shed) *way {
	w := &way{t: t, shed: s}
	front := httptest.NewServer(http.HandlerFunc(w.pass))
	t.Cleanup(front.Close)
	w.url = front.URL
	return w
}

// up starts a server where none runs.
func (w *way) up() {
	w.t.Helper()
	if !w.alive.Load() {
		p := w.shed.serve(w.t)
		w.mu.Lock()
		w.server = p
		w.mu.Unlock()
		w.alive.Store(true)
	}
}

// next says what happens to the next round, and returns what is closed when it has.
func (w *way) next(fault int, after time.Duration) chan struct{} {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.fault, w.after, w.struck = fault, after, make(chan struct{})
	return w.struck
}

// pass hands a request on and its answer back, or does not.
func (w *way) pass(out http.ResponseWriter, r *http.Request) {
	if !w.alive.Load() {
		panic(http.ErrAbortHandler) // nobody answers
	}
	w.mu.Lock()
	p, fault, after, struck := w.server, nothing, w.after, w.struck
	if r.Method == http.MethodPost {
		fault, w.fault = w.fault, nothing
	}
	w.mu.Unlock()
	to, err := url.Parse(p.URL)
	if err != nil {
		w.t.Error(err)
		return
	}
	proxy := &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) { r.SetURL(to) },
		ErrorHandler: func(http.ResponseWriter, *http.Request, error) { panic(http.ErrAbortHandler) }}
	switch fault {
	case nothing:
		proxy.ServeHTTP(out, r)
		return
	case killed:
		defer close(struck)
		kill := time.AfterFunc(after, p.Kill)
		defer func() {
			kill.Stop() // a server that was quicker dies before the next round
			w.alive.Store(false)
			p.Kill()
			w.kills.Add(1)
		}()
		proxy.ServeHTTP(out, r)
	case closedEarly:
		defer close(struck)
		proxy.ServeHTTP(out, r)
	default:
		defer close(struck)
		proxy.ServeHTTP(httptest.NewRecorder(), r.WithContext(context.WithoutCancel(r.Context())))
		panic(http.ErrAbortHandler)
	}
}

// phone is a browser that a yard's rounds are filled in with.
type phone struct {
	t       *testing.T
	browser context.Context
	tab     context.Context
	shut    context.CancelFunc
}

// newPhone starts the machine's Chromium. Without one the test is skipped, and fails
// where UNDERTRAY_CHECK says that everything is there.
func newPhone(t *testing.T) *phone {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" || os.Getenv("CI") != "" {
			t.Fatal("chromium is not here: run scripts/setup")
		}
		t.Skip("chromium is not here")
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox,
		chromedp.DisableGPU,
		chromedp.NoFirstRun, chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true)}
	alloc, stop := chromedp.NewExecAllocator(t.Context(), options...)
	p := &phone{t: t}
	var shut context.CancelFunc
	p.browser, shut = chromedp.NewContext(alloc)
	t.Cleanup(func() { shut(); stop() })
	if _, err := chromedp.Run(p.browser, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	return p
}

// open opens a page, in a new tab where the one before was shut.
func (p *phone) open(url string) {
	p.t.Helper()
	if p.shut == nil {
		p.tab, p.shut = chromedp.NewContext(p.browser)
	}
	if _, err := chromedp.Run(p.tab, chromedp.Navigate(url)); err != nil {
		p.t.Fatal(err)
	}
}

// close shuts the tab, whatever its page is doing.
func (p *phone) close() {
	if p.shut != nil {
		p.shut()
		p.shut = nil
	}
}

// is evaluates an expression in the page; one that cannot be asked now is not so.
func (p *phone) is(expression string) bool {
	v, err := chromedp.Run(p.tab, chromedp.Evaluate[bool](expression))
	return err == nil && v
}

// until waits for one of the expressions to be true of the page, and returns which.
func (p *phone) until(expressions ...string) int {
	p.t.Helper()
	for end := time.Now().Add(60 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		for i, e := range expressions {
			if p.is(`document.readyState === "complete" && (` + e + `)`) {
				return i
			}
		}
	}
	p.t.Fatalf("never came true: %s", strings.Join(expressions, " or "))
	return 0
}

// Expressions about the page.
const (
	onRound = `location.pathname.endsWith("/round") &&
		document.querySelector("#round [data-screen][hidden]") !== null`
	isKept  = `location.pathname.includes("/batch/")`
	waits   = `document.querySelector(".walk .fate")?.textContent.includes("Waits on this device since") === true`
	drafted = `document.getElementById("draft")?.hidden === false`
	none    = `Object.keys(localStorage).every(key => !key.startsWith("waiting "))`
	press   = `(document.querySelector("#round").requestSubmit(), true)`
	online  = `dispatchEvent(new Event("online")), true`
)

// fill answers the round and keeps it.
func (p *phone) fill(mark string) {
	p.t.Helper()
	filled, err := chromedp.Run(p.tab, chromedp.Evaluate[bool](fmt.Sprintf(`(() => { const form = document.querySelector("#round");
		dispatchEvent(new Event("beforeprint")); // lays the questions out, as a touch does
		for (const [name, value] of Object.entries({"a.tyres.tread": "6 mm", "a.wipers.wiping": "clean", "n.tyres": %q}))
			form.elements.namedItem(name).value = value;
		form.dispatchEvent(new Event("change", {bubbles: true}));
		return %s })()`, mark, press)))
	if err != nil || !filled {
		p.t.Fatalf("%s cannot be filled in: %v, %v", mark, filled, err)
	}
}

// leastKills is how many servers of each store are killed in every run.
const leastKills = 3

// TestKilledUnderAPhone: rounds are filled in and kept on a phone while servers are
// killed between request and reply, replies get lost and pages are closed. The phone
// does what it does by itself, its owner opens the page again: each round is there
// once, as soon as the phone says so.
func TestKilledUnderAPhone(t *testing.T) {
	p := newPhone(t)
	for name, s := range sheds(t) {
		t.Run(name, func(t *testing.T) {
			p.t = t
			defer p.close()
			w, random, sent := newWay(t, s), randomOf(t, 0), tally{}
			todo := shareOf(50, 8*time.Second)
			var of [faults]int
			n, begun := 0, time.Now()
			until(2*time.Hour, func() bool {
				n++
				fault := random.IntN(faults)
				// On a machine so busy that a round takes seconds, servers are killed all the same.
				if random.IntN(2) == 0 || time.Since(begun) > todo.most {
					fault = killed
				}
				of[fault]++
				mark := fmt.Sprintf("phone %d, %s", n, faultNames[fault])
				sent[mark] = false
				p.round(w, random, mark, fault)
				sent[mark] = true
				return of[killed] < todo.kills && (of[killed] < leastKills || time.Since(begun) < todo.most)
			})
			p.close()
			if w.alive.Load() {
				w.server.Kill()
			}
			s.wantKept(t, sent)
			for i, n := range of {
				t.Logf("%s: %d", faultNames[i], n)
			}
			if of[killed] < leastKills || w.kills.Load() < leastKills {
				t.Errorf("%d servers were to be killed, %d were", of[killed], w.kills.Load())
			}
		})
	}
}

// round fills in one round, lets a fault strike and goes on until it is kept.
func (p *phone) round(w *way, random *rand.Rand, mark string, fault int) {
	p.t.Helper()
	w.up()
	p.open(w.url + "/v/wren/round")
	p.until(onRound)
	struck := w.next(fault, time.Duration(random.IntN(25_000))*time.Microsecond)
	p.fill(mark)
	switch fault {
	case nothing:
		p.until(isKept)
		return
	case closedEarly, closedLate:
		time.Sleep(time.Duration(random.IntN(20)) * time.Millisecond)
		p.close()
		p.again(w, struck)
		return
	}
	<-struck
	if p.until(waits, isKept) == 1 {
		return // the reply was quicker than the kill
	}
	w.up()
	if random.IntN(2) == 0 { // killed once more while what waits is sent
		struck = w.next(killed, time.Duration(random.IntN(25_000))*time.Microsecond)
		p.is(online)
		<-struck
		w.up()
	}
	if random.IntN(2) == 0 {
		p.open(w.url + "/v/wren")
	} else {
		p.is(online)
	}
	p.until(none)
}

// again opens the round once more after its page was closed: what was typed is there
// and is kept, unless it was kept already.
func (p *phone) again(w *way, struck chan struct{}) {
	p.t.Helper()
	select {
	case <-struck:
	case <-time.After(2 * time.Second): // it was closed before anything was sent
		w.next(nothing, 0)
	}
	p.open(w.url + "/v/wren/round")
	p.until(onRound)
	if !p.is(drafted) {
		return // the answer was quicker than the hand that closed the page: it must be there
	}
	p.is(press)
	p.until(isKept)
}
