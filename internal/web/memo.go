package web

import (
	"context"
	"sync"
)

// memo keeps the last answers to what takes long to work out and is asked for
// again and again between two entries. What it keeps is plain data.
type memo[T any] struct {
	mu      sync.Mutex
	made    map[string]T
	running map[string]*working[T]
}

// working is an answer that is being worked out, for as long as somebody waits
// for it.
type working[T any] struct {
	waiting  int
	stop     context.CancelFunc
	done     chan struct{} // closed once the rest is set
	made     T
	err      error
	panicked any
}

// memoKept is how many answers are kept.
const memoKept = 8

// get returns the answer kept under a key, or works it out and keeps it. What
// is asked twice at once is worked out once, and given up when nobody waits for
// it any more. Answers to other questions do not wait for it.
func (c *memo[T]) get(ctx context.Context, key string, work func(context.Context) (T, error)) (T, error) {
	c.mu.Lock()
	if m, ok := c.made[key]; ok {
		c.mu.Unlock()
		return m, nil
	}
	w := c.running[key]
	if w == nil {
		w = c.begin(ctx, key, work)
	}
	w.waiting++
	c.mu.Unlock()
	select {
	case <-w.done:
	case <-ctx.Done():
		c.leave(key, w)
		var none T
		return none, ctx.Err()
	}
	if w.panicked != nil {
		panic(w.panicked)
	}
	return w.made, w.err
}

// kept returns the answer kept under a key, and false where there is none.
func (c *memo[T]) kept(key string) (T, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	m, ok := c.made[key]
	return m, ok
}

// put keeps an answer that was worked out along with another, or in its place.
func (c *memo[T]) put(key string, m T) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.keep(key, m)
}

// begin works an answer out beside whoever asked for it first; c is locked.
func (c *memo[T]) begin(ctx context.Context, key string, work func(context.Context) (T, error)) *working[T] {
	ctx, stop := context.WithCancel(context.WithoutCancel(ctx))
	w := &working[T]{stop: stop, done: make(chan struct{})}
	if c.running == nil {
		c.running = map[string]*working[T]{}
	}
	c.running[key] = w
	go func() {
		defer c.end(key, w)
		defer func() { w.panicked = recover() }()
		w.made, w.err = work(ctx)
	}()
	return w
}

// end keeps what has been worked out.
func (c *memo[T]) end(key string, w *working[T]) {
	w.stop()
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.running[key] == w {
		delete(c.running, key)
	}
	if w.err == nil && w.panicked == nil {
		c.keep(key, w.made)
	}
	close(w.done)
}

// leave is for those who wait no longer; the last of them stops the work.
func (c *memo[T]) leave(key string, w *working[T]) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if w.waiting--; w.waiting > 0 {
		return
	}
	w.stop()
	if c.running[key] == w {
		delete(c.running, key) // who asks now begins anew
	}
}

// forget drops all answers.
func (c *memo[T]) forget() {
	c.mu.Lock()
	defer c.mu.Unlock()
	clear(c.made)
}

// keep keeps an answer; c is locked.
func (c *memo[T]) keep(key string, m T) {
	if c.made == nil || len(c.made) >= memoKept {
		c.made = map[string]T{}
	}
	c.made[key] = m
}
