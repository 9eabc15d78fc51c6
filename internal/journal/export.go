package journal

import (
	"bufio"
	"context"
	"encoding/json"
	"io"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// ExportOptions says what Export writes beside the entries.
type ExportOptions struct {
	Attachments bool // attachments too, in base64
}

// Exported counts what Export wrote.
type Exported struct {
	Entries, Attachments int
	// Digest is that of the entries, as in Head.
	Digest Sum
}

// attachmentLine is an attachment in JSON Lines.
type attachmentLine struct {
	Attachment string `json:"attachment"` // content hash
	Name       string `json:"name,omitempty"`
	Media      string `json:"media"`
	Data       []byte `json:"data"` // base64
}

// Export writes the journal as JSON Lines: every entry in its canonical JSON,
// by id, one per line; then, if asked for, one line per attachment:
// {"attachment":"<hash>","name":"belt.jpg","media":"image/jpeg","data":"<base64>"}.
// Import reads it back. Two journals with the same content export the same
// bytes.
func Export(ctx context.Context, s Store, w io.Writer, o ExportOptions) (Exported, error) {
	var done Exported
	head, err := s.Head(ctx)
	if err != nil {
		return done, err
	}
	out := bufio.NewWriter(w)
	if err := exportEntries(ctx, s, out, head, &done); err != nil {
		return done, err
	}
	if o.Attachments {
		if done.Attachments, err = exportAttachments(ctx, s, out); err != nil {
			return done, err
		}
	}
	return done, cannotExport(out.Flush())
}

// exportPage is how many entries are read at a time.
const exportPage = 2000

// exportEntries writes the entries that had arrived when the journal had this
// head; what arrives meanwhile is left out.
func exportEntries(ctx context.Context, s Store, out *bufio.Writer, head Head, done *Exported) error {
	f := Filter{UpTo: head.Entries, Limit: exportPage}
	for head.Entries > 0 {
		entries, err := s.Entries(ctx, f)
		if err != nil {
			return err
		}
		for _, e := range entries {
			line, err := fleet.EncodeEntry(e)
			if err != nil {
				return unreadable(e.ID, err)
			}
			if err := writeLine(out, line); err != nil {
				return err
			}
			done.Entries++
			done.Digest = done.Digest.with(sumOf(line))
			f.After = e.ID
		}
		if len(entries) < exportPage {
			break
		}
	}
	return nil
}

func exportAttachments(ctx context.Context, s Store, out *bufio.Writer) (n int, err error) {
	infos, err := s.Attachments(ctx)
	if err != nil {
		return 0, err
	}
	for _, info := range infos {
		a, err := s.Attachment(ctx, info.Hash)
		if err != nil {
			return n, err
		}
		line, err := json.Marshal(attachmentLine{a.Hash, a.Name, a.Media, a.Data})
		if err != nil {
			return n, err
		}
		if err := writeLine(out, line); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

func writeLine(out *bufio.Writer, line []byte) error {
	_, err := out.Write(append(line, '\n'))
	return cannotExport(err)
}

func cannotExport(err error) error {
	if err == nil {
		return nil
	}
	return &fleet.Error{Kind: fleet.Unavailable, Msg: message.Of("the export cannot be written: %s", err),
		Hint: "what was written is not the whole journal: make room and export again", Err: err}
}
