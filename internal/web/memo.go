package web

import (
	"sync"

	"golang.org/x/sync/singleflight"
)

// memo keeps the last answers to what takes long to work out and is asked for
// again and again between two entries. What it keeps is plain data.
type memo[T any] struct {
	running singleflight.Group // what is asked twice at once is worked out once
	mu      sync.Mutex
	made    map[string]T
}

// memoKept is how many answers are kept.
const memoKept = 8

// get returns the answer kept under a key, or works it out and keeps it.
// Answers to other questions do not wait for it.
func (c *memo[T]) get(key string, work func() (T, error)) (T, error) {
	if m, ok := c.kept(key); ok {
		return m, nil
	}
	made, err, _ := c.running.Do(key, func() (any, error) {
		m, err := work()
		if err == nil {
			c.keep(key, m)
		}
		return m, err
	})
	m, _ := made.(T)
	return m, err
}

func (c *memo[T]) kept(key string) (T, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	m, ok := c.made[key]
	return m, ok
}

func (c *memo[T]) keep(key string, m T) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.made == nil || len(c.made) >= memoKept {
		c.made = map[string]T{}
	}
	c.made[key] = m
}
