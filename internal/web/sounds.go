package web

import (
	"context"
	"slices"
	"sync"

	"undertray.example/undertray/internal/fleet"
)

// Bounds of what is held in memory before it is kept.
const (
	mostSounds  = 8
	soundsBytes = 4 * maxSound
)

// shelf holds the latest of what may be asked for again by content hash, the oldest
// giving way: so many at most, which take so many bytes at most.
type shelf struct {
	most, bytes int

	mu   sync.Mutex
	held []onShelf
}

type onShelf struct {
	hash string
	src  []byte
}

// put takes something in under a hash.
func (s *shelf) put(hash string, src []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.held = slices.DeleteFunc(s.held, func(h onShelf) bool { return h.hash == hash })
	s.held = append(s.held, onShelf{hash, src})
	total := 0
	for _, h := range s.held {
		total += len(h.src)
	}
	for len(s.held) > s.most || total > s.bytes && len(s.held) > 1 {
		total -= len(s.held[0].src)
		s.held = slices.Delete(s.held, 0, 1)
	}
}

func (s *shelf) get(hash string) []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, h := range s.held {
		if h.hash == hash {
			return h.src
		}
	}
	return nil
}

func noSound() error {
	return &fleet.Error{Kind: fleet.NotFound, Msg: "the recording is no longer held",
		Hint: "it was not kept: record or send it again"}
}

// sound finds a recording among those just sent, then in the journal.
func (s *Server) sound(ctx context.Context, hash string) ([]byte, error) {
	if src := s.sounds.get(hash); src != nil {
		return src, nil
	}
	a, err := s.opt.Journal.Attachment(ctx, hash)
	if fleet.KindOf(err) == fleet.NotFound {
		return nil, noSound()
	}
	if err != nil {
		return nil, err
	}
	return a.Data, nil
}
