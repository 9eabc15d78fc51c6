package picture

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/journal"
)

// Store is the part of a journal that keeps pictures.
type Store interface {
	PutAttachment(ctx context.Context, r io.Reader, name, mediaType string) (hash string, err error)
	Attachments(ctx context.Context) ([]journal.AttachmentInfo, error)
}

// Keep puts the picture in a file into the journal, in which the pictures together
// may take so many bytes, and returns its content hash. Nothing refers to it yet.
// Errors are those of Read, Conflict where it finds no room, and the journal's.
func Keep(ctx context.Context, s Store, src []byte, most int64) (hash string, err error) {
	plain, err := Read(src)
	if err != nil {
		return "", err
	}
	used, err := Used(ctx, s)
	if err != nil {
		return "", err
	}
	if used+int64(len(plain)) > most {
		return "", &fleet.Error{Kind: fleet.Conflict, Where: "picture",
			Msg: fmt.Sprintf("the pictures take %s, and with this one more than the %s set for them",
				megabytes(used), megabytes(most)),
			Hint: "raise pictures.megabytes in yard.yaml"}
	}
	return s.PutAttachment(ctx, bytes.NewReader(plain), "", Media)
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
func UsedWords(used, most int64) string {
	if used < most/5*4 {
		return ""
	}
	return fmt.Sprintf("Pictures take %s of %s. Raise pictures.megabytes in yard.yaml before they are full.",
		megabytes(used), megabytes(most))
}

func megabytes(n int64) string { return fmt.Sprintf("%d MB", n/1e6) }
