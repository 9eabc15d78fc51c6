package howfar

import (
	"fmt"
	"sync"
	"testing"
)

// Every part of a stretch counts once, whoever does it; a stretch begun later is not touched by one before; a single
// part is not counted; and nobody needs to ask.
func TestCount(t *testing.T) {
	c := new(Count)
	ctx := With(t.Context(), c)
	at := func(want string) {
		t.Helper()
		what, done, of := c.At()
		if got := fmt.Sprint(done, " of ", of, " ", what); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	at("0 of 0 ")
	first := Begin(ctx, "vehicles", 50)
	at("0 of 50 vehicles")
	var group sync.WaitGroup
	for range 49 {
		group.Go(first)
	}
	group.Wait()
	at("49 of 50 vehicles")
	Begin(ctx, "one", 1)()
	at("49 of 50 vehicles")
	second := Begin(ctx, "months", 2)
	first()
	at("0 of 2 months")
	for range 3 {
		second()
	}
	at("2 of 2 months")
	Begin(t.Context(), "vehicles", 9)()
	at("2 of 2 months")
}
