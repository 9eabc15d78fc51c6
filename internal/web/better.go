package web

import (
	"context"
	"errors"
	"net/http"
	"sync"
	"time"

	"undertray.example/undertray/internal/plan"
)

// betterWait is how long a page waits for a better plan before it asks again.
const betterWait = 30 * time.Second

// betterView says whether a better plan of all vehicles was found.
type betterView struct {
	Words string `json:"words,omitempty"` // "": none was found
	Again bool   `json:"again,omitempty"` // the search is not at its end
}

// planBetter searches on from the plan of all vehicles for as long as a page
// that shows it waits for the answer: nothing is searched for nobody. What is
// found is shown from then on.
func (s *Server) planBetter(w http.ResponseWriter, r *http.Request) error {
	y, reports, entries, err := s.everything(r)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(r.Context(), betterWait)
	defer cancel()
	now, err := s.planYard(ctx, r, reports, entries, plan.YardOptions{Rules: y.Settings.Visits})
	if err != nil {
		return err
	}
	key, err := s.stateKey(r, entries)
	if err != nil {
		return err
	}
	better, err := s.better.get(ctx, key, func(ctx context.Context) (*plan.Yard, error) {
		return now.GoOn(s.search.of(ctx, key))
	})
	switch {
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		return s.writeJSON(w, r, http.StatusOK, betterView{Again: s.search.key() == key})
	case err != nil:
		return err
	case better == nil:
		return s.writeJSON(w, r, http.StatusOK, betterView{})
	}
	s.show(key, better)
	return s.writeJSON(w, r, http.StatusOK, betterView{Words: better.BetterWords(now).In(s.inLanguage(r)), Again: true})
}

// show has pages show a better plan from now on.
func (s *Server) show(key string, better *plan.Yard) {
	s.kept.Store(better)
	s.plans.put(key, better)
	s.better.forget()
	s.yardPlans.forget()
	s.moved.forget()
	s.next.forget()
}

// search is the one search in the background: that for the plan of the yard's
// present state.
type search struct {
	mu   sync.Mutex
	now  string // key of the state
	stop context.CancelFunc
}

// of begins a search about a state, on behalf of whoever waits as ctx says.
func (b *search) of(ctx context.Context, key string) context.Context {
	b.is(key)
	ctx, stop := context.WithCancel(ctx)
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.now != key {
		stop()
	}
	b.stop = stop
	return ctx
}

// is stops the search about any other state.
func (b *search) is(key string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.now != key && b.stop != nil {
		b.stop()
	}
	b.now = key
}

func (b *search) key() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.now
}
