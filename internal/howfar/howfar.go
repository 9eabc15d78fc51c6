// Package howfar counts how much of work is done whose parts can be counted, for who shows it. It knows no clock, and
// work that nobody asks about counts nothing.
package howfar

import (
	"context"
	"sync"

	"undertray.example/undertray/internal/message"
)

// Count is how far work has come. It may be used by several goroutines at once.
type Count struct {
	mu   sync.Mutex
	what message.Text
	done int
	of   int
}

// At is what is counted, such as "vehicles planned", and how many of how many are done; "" before anything is.
func (c *Count) At() (what message.Text, done, of int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.what, c.done, c.of
}

type key struct{}

// With has the work of a context counted.
func With(ctx context.Context, c *Count) context.Context { return context.WithValue(ctx, key{}, c) }

// Begin begins to count a stretch of work of so many parts, in place of the one before, and returns what says that
// one more is done; a stretch that has begun since is not touched by it.
func Begin(ctx context.Context, what message.Text, of int) (done func()) {
	c, ok := ctx.Value(key{}).(*Count)
	if !ok || of < 2 {
		return func() {}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.what, c.done, c.of = what, 0, of
	return func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		if c.what == what && c.done < c.of {
			c.done++
		}
	}
}
