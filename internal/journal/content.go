package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"mime"
	"path"
	"strings"
	"unicode/utf8"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// sameFact reports whether a stored entry and a new one of the same id, given
// as its encoding too, say the same. Batch, Recorded and Clock do not count: whoever
// receives an entry fills them in where they are missing.
func sameFact(stored []byte, e *fleet.Entry, encoded []byte) bool {
	if bytes.Equal(stored, encoded) {
		return true
	}
	old, err := fleet.DecodeEntry(stored)
	if err != nil {
		return false
	}
	old.Format, old.Batch, old.Recorded, old.Clock = e.Format, e.Batch, e.Recorded, e.Clock
	again, err := fleet.EncodeEntry(old)
	return err == nil && bytes.Equal(again, encoded)
}

// conflict is the error of an id that is taken.
func conflict(id string) error {
	return &fleet.Error{Kind: fleet.Conflict, Where: "id",
		Msg:  message.Of("entry %s is already in the journal and says something else", id),
		Hint: "an entry never changes: record a correction of it, or give the new fact a new id"}
}

// readContent reads an attachment of at most MaxAttachment bytes.
func readContent(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxAttachment+1))
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: "attachment",
			Msg: message.Of("the attachment cannot be read: %s", err), Hint: "try again", Err: err}
	}
	return data, nil
}

// sealed returns the attachment with its hash and size worked out, its name
// without a folder, or an Invalid error.
func sealed(a *Attachment) (*Attachment, error) {
	invalid := func(msg, hint message.Text) (*Attachment, error) {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "attachment", Msg: msg, Hint: hint}
	}
	if len(a.Data) == 0 {
		return invalid("the attachment is empty", "give a file that holds something")
	}
	if len(a.Data) > MaxAttachment {
		return invalid(message.Of("the attachment is larger than %d MB", MaxAttachment>>20),
			"give a smaller picture or a shorter recording")
	}
	media := a.Media
	if media == "" {
		media = "application/octet-stream"
	}
	if kind, _, err := mime.ParseMediaType(media); err != nil || !strings.Contains(kind, "/") {
		return invalid(message.Of("%q is not a media type", a.Media), "write it like image/jpeg")
	}
	hash := ContentHash(a.Data)
	if a.Hash != "" && a.Hash != hash {
		return invalid(message.Of("the content does not match the hash %s", a.Hash),
			"it was changed on the way: send the original again")
	}
	name := baseName(a.Name)
	if len(name) > 255 || !utf8.ValidString(name) {
		return invalid("the name of the attachment is not a file name", "give one of at most 255 bytes, in UTF-8")
	}
	return &Attachment{AttachmentInfo{Hash: hash, Name: name, Media: media, Size: int64(len(a.Data))}, a.Data}, nil
}

// baseName takes folders off a file name, those of other systems included.
func baseName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if name == "." || name == ".." || name == "/" {
		return ""
	}
	return name
}

// ContentHash names content as a journal does: SHA-256, in hexadecimal digits.
func ContentHash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// matchesHash returns an error if content read back is not what was stored.
func matchesHash(a *Attachment) error {
	if ContentHash(a.Data) == a.Hash {
		return nil
	}
	return &fleet.Error{Kind: fleet.Unavailable, Where: "attachment " + a.Hash,
		Msg: "the content of the attachment is damaged", Hint: "restore it from a backup or the original file"}
}

// noAttachment is the error of an unknown hash.
func noAttachment(hash string) error {
	return &fleet.Error{Kind: fleet.NotFound, Where: "attachment",
		Msg: message.Of("the journal holds no attachment %s", hash), Hint: "import it, or attach the file again"}
}

// unreadable is the error of a stored entry that cannot be decoded.
func unreadable(id string, err error) error {
	out := &fleet.Error{Kind: fleet.Unavailable, Where: "entry " + id,
		Msg:  message.Of("the stored entry cannot be read: %s", err),
		Hint: "verify the journal, and restore the latest backup if it is damaged", Err: err}
	if fleet.KindOf(err) == fleet.TooNew {
		out.Kind, out.Hint = fleet.TooNew, "" // nothing is damaged: err says what to do
	}
	return out
}

// CheckAttachment returns what is wrong with an attachment, as Landing.Attach
// does, and keeps nothing.
func CheckAttachment(a *Attachment) error {
	_, err := sealed(a)
	return err
}
