package web

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"slices"
	"sync"
	"time"

	"undertray.example/undertray/internal/fleet"
)

// mostWaiting is how many pass-phrases may wait to be tried; of more, the oldest
// are turned away.
const mostWaiting = 16

// Who is refused waits for the answer: at least for a pause and, where many are, until
// those before were told, some time apart, at least twice what a check takes. Who goes
// on trying comes no oftener than that, so that the owner, let in before those who
// wait, is passed over by one at the most: three checks, with the one under way. That
// holds for some sixty of them: no answer waits for longer than longestTo, and where more
// go on trying they come oftener, and may crowd the owner out for a while.
const (
	wrongPause = time.Second
	wrongApart = 800 * time.Millisecond
	longestTo  = 50 * time.Second // an answer is cut off a minute after its request
)

// gate lets one pass-phrase be tried at a time, as each costs 64 MiB. Who comes
// last is let in first: however many wrong ones wait, one more is tried next.
type gate struct {
	check func(hash, phrase string) (bool, error)

	mu      sync.Mutex
	busy    bool
	waiting []chan bool   // true: go on; false: too many came after
	told    time.Time     // when the last refusal so far is told
	takes   time.Duration // of the last check
}

// enter waits for its turn; false means that it was crowded out or given up.
func (g *gate) enter(ctx context.Context) bool {
	g.mu.Lock()
	if !g.busy {
		g.busy = true
		g.mu.Unlock()
		return true
	}
	turn := make(chan bool, 1)
	g.waiting = append(g.waiting, turn)
	if len(g.waiting) > mostWaiting {
		g.waiting[0] <- false
		g.waiting = g.waiting[1:]
	}
	g.mu.Unlock()
	select {
	case in := <-turn:
		return in
	case <-ctx.Done():
	}
	g.mu.Lock()
	g.waiting = slices.DeleteFunc(g.waiting, func(c chan bool) bool { return c == turn })
	g.mu.Unlock()
	select {
	case in := <-turn: // it came in the meantime
		if in {
			g.leave(0)
		}
	default:
	}
	return false
}

// leave lets the next one in, after a check that took so long.
func (g *gate) leave(took time.Duration) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.takes = cmp.Or(took, g.takes)
	last := len(g.waiting) - 1
	if g.busy = last >= 0; g.busy {
		g.waiting[last] <- true
		g.waiting = g.waiting[:last]
	}
}

// refuse waits for as long as a refusal takes to be told, whatever else a request may
// take, or until who asked has gone; crowded: no longer than that is waited for.
func (g *gate) refuse(ctx context.Context) (crowded bool) {
	now := time.Now()
	g.mu.Lock()
	wait := min(max(wrongPause, g.told.Sub(now)+max(wrongApart, 2*g.takes)), longestTo)
	g.told = now.Add(wait)
	g.mu.Unlock()
	told := time.NewTimer(wait)
	select {
	case <-told.C:
	case <-ctx.Done():
		if errors.Is(ctx.Err(), context.DeadlineExceeded) {
			<-told.C
		}
	}
	return wait == longestTo
}

// tryPassphrase checks one pass-phrase at a time. Wrong ones are logged with where they
// came from, never with what was typed.
func (s *Server) tryPassphrase(r *http.Request, phrase string) (bool, error) {
	ctx := r.Context()
	if !s.gate.enter(ctx) {
		s.opt.Log.Warn("log-in crowded out", "request", requestID(r), "from", r.RemoteAddr)
		s.gate.refuse(ctx)
		crowded := &fleet.Error{Kind: fleet.Unavailable, Msg: "too many pass-phrases are being tried",
			Hint: "try again in a moment"}
		return false, cmp.Or(ctx.Err(), error(crowded))
	}
	begun := time.Now()
	ok, err := s.gate.check(s.opt.Passphrase, phrase)
	s.gate.leave(time.Since(begun))
	if ok || err != nil {
		return ok, err
	}
	s.opt.Log.Warn("wrong pass-phrase", "request", requestID(r), "from", r.RemoteAddr)
	s.gate.refuse(ctx)
	return false, nil
}
