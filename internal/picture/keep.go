package picture

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strings"
	"sync"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
)

// Store is the part of a journal that keeps pictures.
type Store interface {
	PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (hash string, err error)
	Attachments(ctx context.Context) ([]journal.AttachmentInfo, error)
}

// counting lets one picture at a time be held against the room there is.
var counting sync.Mutex

// Keep puts the pictures in some files into the journal, all or none, in which pictures
// together may take so many bytes, and returns their content hashes. Nothing refers to
// them yet. Errors are those of Read, Conflict where there is no room, and the journal's.
func Keep(ctx context.Context, s Store, most int64, files ...[]byte) (hashes []string, err error) {
	more := int64(0)
	plain := make([][]byte, len(files))
	for i, src := range files {
		if plain[i], err = Read(src); err != nil {
			return nil, err
		}
		more += int64(len(plain[i]))
	}
	counting.Lock()
	defer counting.Unlock()
	used, err := Used(ctx, s)
	if err != nil {
		return nil, err
	}
	if used+more > most {
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "picture",
			Msg: message.Of("the pictures take %s, and with this one more than the %s set for them",
				megabytes(used), megabytes(most)),
			Hint: "raise pictures.megabytes in yard.yaml"}
	}
	for _, p := range plain {
		hash, err := s.PutAttachment(ctx, bytes.NewReader(p), "", Media)
		if err != nil {
			return nil, err
		}
		hashes = append(hashes, hash)
	}
	return hashes, nil
}

// Used is how many bytes the pictures in a journal take.
func Used(ctx context.Context, s Store) (bytes int64, err error) {
	all, err := s.Attachments(ctx)
	for _, a := range all {
		if strings.HasPrefix(a.Media, "image/") {
			bytes += a.Size
		}
	}
	return bytes, err
}

// UsedWords says how much of the room for pictures is taken, where it is more than
// four fifths; else "".
func UsedWords(used, most int64) message.Text {
	if used < most/5*4 {
		return ""
	}
	return message.Of("Pictures take %s of %s. Raise pictures.megabytes in yard.yaml before they are full.",
		megabytes(used), megabytes(most))
}

func megabytes(n int64) string { return fmt.Sprintf("%d MB", n/1e6) }
