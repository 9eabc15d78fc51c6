package web

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
)

// What is asked for twice at once is worked out once; another question does
// not wait for it; what went wrong is asked again.
func TestAMemoWorksOutOnce(t *testing.T) {
	var m memo[string]
	var worked atomic.Int32
	begun, release := make(chan bool), make(chan bool)
	get := func(key string, work func() (string, error)) (string, error) {
		return m.get(t.Context(), key, func(context.Context) (string, error) { return work() })
	}
	var all sync.WaitGroup
	all.Go(func() {
		get("slow", func() (string, error) {
			worked.Add(1)
			close(begun)
			<-release
			return "done", nil
		})
	})
	<-begun
	all.Go(func() {
		if got, err := get("slow", func() (string, error) {
			worked.Add(1)
			return "done", nil
		}); got != "done" || err != nil {
			t.Errorf("the second to ask gets %q, %v", got, err)
		}
	})
	if got, err := get("quick", func() (string, error) { return "at once", nil }); got != "at once" || err != nil {
		t.Errorf("another question gets %q, %v", got, err)
	}
	close(release)
	all.Wait()
	if n := worked.Load(); n != 1 {
		t.Errorf("worked out %d times", n)
	}
	fault := errors.New("no")
	for _, want := range []error{fault, nil} {
		if got, err := get("fails", func() (string, error) {
			return "x", want
		}); err != want || (err == nil && got != "x") {
			t.Errorf("%q, %v", got, err)
		}
	}
}

// Work goes on while one of several waits for it, and stops with the last.
func TestAMemoStopsWithTheLastToWait(t *testing.T) {
	var m memo[string]
	begun, stopped := make(chan bool), make(chan bool)
	work := func(ctx context.Context) (string, error) {
		close(begun)
		<-ctx.Done()
		close(stopped)
		return "", ctx.Err()
	}
	var leave [2]context.CancelFunc
	var all sync.WaitGroup
	for i := range leave {
		ctx, cancel := context.WithCancel(t.Context())
		leave[i] = cancel
		all.Go(func() {
			if _, err := m.get(ctx, "slow", work); !errors.Is(err, context.Canceled) {
				t.Errorf("%d gets %v", i, err)
			}
		})
	}
	<-begun
	for { // until both wait
		m.mu.Lock()
		n := m.running["slow"].waiting
		m.mu.Unlock()
		if n == 2 {
			break
		}
	}
	leave[0]()
	select {
	case <-stopped:
		t.Error("one who waits still is left without an answer")
	default:
	}
	leave[1]()
	<-stopped
	all.Wait()
	if got, err := m.get(t.Context(), "slow", func(context.Context) (string, error) {
		return "anew", nil
	}); got != "anew" || err != nil {
		t.Errorf("asked again: %q, %v", got, err)
	}
	defer func() {
		if recover() != "fault" {
			t.Error("a fault of the work does not reach who asked")
		}
	}()
	m.get(t.Context(), "faulty", func(context.Context) (string, error) { panic("fault") })
}
