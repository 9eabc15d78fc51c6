package web

import (
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
	var all sync.WaitGroup
	all.Go(func() {
		m.get("slow", func() (string, error) {
			worked.Add(1)
			close(begun)
			<-release
			return "done", nil
		})
	})
	<-begun
	all.Go(func() {
		if got, err := m.get("slow", func() (string, error) { worked.Add(1); return "done", nil }); got != "done" || err != nil {
			t.Errorf("the second to ask gets %q, %v", got, err)
		}
	})
	if got, err := m.get("quick", func() (string, error) { return "at once", nil }); got != "at once" || err != nil {
		t.Errorf("another question gets %q, %v", got, err)
	}
	close(release)
	all.Wait()
	if n := worked.Load(); n != 1 {
		t.Errorf("worked out %d times", n)
	}
	fault := errors.New("no")
	for _, want := range []error{fault, nil} {
		if got, err := m.get("fails", func() (string, error) { return "x", want }); err != want || (err == nil && got != "x") {
			t.Errorf("%q, %v", got, err)
		}
	}
}
