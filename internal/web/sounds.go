package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"slices"
	"sync"

	"undertray/internal/fleet"
	"undertray/internal/journal"
)

// Bounds of what is held in memory before it is kept.
const (
	mostSounds  = 8
	soundsBytes = 4 * maxSound
)

// soundShelf holds the latest recordings by content hash, the oldest giving
// way. The zero value is empty and ready.
type soundShelf struct {
	mu   sync.Mutex
	held []heldSound
}

type heldSound struct {
	hash string
	src  []byte
}

// put takes a recording in and returns its hash, that of an attachment.
func (s *soundShelf) put(src []byte) string {
	sum := sha256.Sum256(src)
	hash := hex.EncodeToString(sum[:])
	s.mu.Lock()
	defer s.mu.Unlock()
	s.held = slices.DeleteFunc(s.held, func(h heldSound) bool { return h.hash == hash })
	s.held = append(s.held, heldSound{hash, src})
	total := 0
	for _, h := range s.held {
		total += len(h.src)
	}
	for len(s.held) > mostSounds || total > soundsBytes && len(s.held) > 1 {
		total -= len(s.held[0].src)
		s.held = slices.Delete(s.held, 0, 1)
	}
	return hash
}

func (s *soundShelf) get(hash string) []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, h := range s.held {
		if h.hash == hash {
			return h.src
		}
	}
	return nil
}

// soundStore is the part of a journal that keeps recordings.
type soundStore interface {
	PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (hash string, err error)
	Attachment(ctx context.Context, hash string) (*journal.Attachment, error)
	Attachments(ctx context.Context) ([]journal.AttachmentInfo, error)
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
	store, ok := s.opt.Journal.(soundStore)
	if !ok {
		return nil, noSound()
	}
	a, err := store.Attachment(ctx, hash)
	if fleet.KindOf(err) == fleet.NotFound {
		return nil, noSound()
	}
	if err != nil {
		return nil, err
	}
	return a.Data, nil
}
