package backup

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// About is what backup.json says.
type About struct {
	Format      int       `json:"undertray_backup"` // 1
	Made        time.Time `json:"made"`
	Attachments int       `json:"attachments"`
	journal.Head
}

const (
	format      = 1
	aboutName   = "backup.json"
	journalName = "journal.jsonl"
	sumsName    = "SHA256SUMS"
)

// patterns name the files of a yard's folder that a backup holds beside its
// journal.
var patterns = []string{"yard.yaml", "vehicles/*.yaml", "catalogue/*.yaml"}

// Write backs a yard up into a new file, checks it, and notes in the yard when
// that was. A file of that name that is there is a Conflict and stays.
func Write(ctx context.Context, dir string, s journal.Store, name string, now time.Time) (About, error) {
	if alarm := s.Alarm(); alarm != nil {
		return About{}, alarm
	}
	if _, err := os.Lstat(name); err == nil {
		return About{}, taken(name)
	}
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*.new")
	if err != nil {
		return About{}, cannotWrite(name, err)
	}
	defer os.Remove(f.Name())
	defer f.Close()
	about, err := writeTo(ctx, f, dir, s, now)
	if err == nil {
		err = cannotWrite(name, errors.Join(f.Sync(), f.Close()))
	}
	if err != nil {
		return About{}, err
	}
	back, err := check(ctx, f.Name(), nil)
	if err != nil {
		return About{}, err
	}
	if back != about {
		return About{}, damaged(name, "it does not read back as it was written")
	}
	if err := os.Link(f.Name(), name); errors.Is(err, fs.ErrExist) {
		return About{}, taken(name)
	} else if err != nil {
		if err := os.Rename(f.Name(), name); err != nil {
			return About{}, cannotWrite(name, err)
		}
	}
	return about, note(dir, about)
}

func taken(name string) error {
	return &fleet.Error{Kind: fleet.Conflict, Where: name, Msg: "there is a file of that name already",
		Hint: "give the backup another name, such as one with the date"}
}

func cannotWrite(name string, err error) error {
	if err == nil {
		return nil
	}
	return &fleet.Error{Kind: fleet.Unavailable, Where: name,
		Msg:  message.Of("the file cannot be made: %s", fleet.Why(err)),
		Hint: "see whether the folder exists, may be written to and has room", Err: err}
}

// writeTo writes the archive.
func writeTo(ctx context.Context, f *os.File, dir string, s journal.Store, now time.Time) (About, error) {
	spool, about, err := spoolJournal(ctx, f.Name(), s)
	if err != nil {
		return about, err
	}
	defer os.Remove(spool.Name())
	defer spool.Close()
	about.Format, about.Made = format, now.UTC().Truncate(time.Second)
	z := gzip.NewWriter(f)
	a := &archive{w: tar.NewWriter(z), made: about.Made}
	head, err := json.MarshalIndent(about, "", "  ")
	if err != nil {
		return about, err
	}
	a.bytes(aboutName, append(head, '\n'))
	for _, pattern := range patterns {
		names, err := filepath.Glob(filepath.Join(dir, filepath.FromSlash(pattern)))
		if err != nil {
			return about, err
		}
		for _, name := range names {
			a.file(dir, name)
		}
	}
	a.stream(journalName, spool)
	a.bytes(sumsName, a.sums)
	return about, cannotWrite(f.Name(), errors.Join(a.err, a.w.Close(), z.Close()))
}

// spoolJournal writes the journal to a file of its own, as an archive wants to
// know the length of a file before it. What was written is held against what
// the journal says it holds.
func spoolJournal(ctx context.Context, beside string, s journal.Store) (*os.File, About, error) {
	var about About
	spool, err := os.CreateTemp(filepath.Dir(beside), ".journal.*.new")
	if err != nil {
		return nil, about, cannotWrite(beside, err)
	}
	done, err := journal.Export(ctx, s, spool, journal.ExportOptions{Attachments: true})
	about.Attachments, about.Head = done.Attachments, journal.Head{Entries: int64(done.Entries), Digest: done.Digest}
	if err == nil {
		err = holds(ctx, s, about.Head)
	}
	if err == nil {
		_, err = spool.Seek(0, io.SeekStart)
	}
	if err != nil {
		spool.Close()
		os.Remove(spool.Name())
	}
	return spool, about, err
}

// holds checks that the journal was what was written of it.
func holds(ctx context.Context, s journal.Store, written journal.Head) error {
	head, there, err := s.HeadAt(ctx, written.Entries)
	if err == nil && (!there || head != written) {
		err = &fleet.Error{Kind: fleet.Unavailable,
			Msg:  "the journal does not hold what it should: entries were changed or are missing",
			Hint: "see what is wrong with: undertray journal verify"}
	}
	return err
}

// archive writes files and their checksums. The first error stays.
type archive struct {
	w    *tar.Writer
	made time.Time
	sums []byte
	err  error
}

func (a *archive) bytes(name string, src []byte) {
	if a.err != nil {
		return
	}
	a.err = a.w.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: int64(len(src)), ModTime: a.made,
		Format: tar.FormatPAX})
	if a.err == nil {
		_, a.err = a.w.Write(src)
	}
	a.sums = fmt.Appendf(a.sums, "%x  %s\n", sha256.Sum256(src), name)
}

func (a *archive) file(dir, name string) {
	src, err := os.ReadFile(name)
	if err != nil {
		a.err = errors.Join(a.err, err)
		return
	}
	short, err := filepath.Rel(dir, name)
	if err != nil {
		a.err = errors.Join(a.err, err)
		return
	}
	a.bytes(filepath.ToSlash(short), src)
}

func (a *archive) stream(name string, f *os.File) {
	info, err := f.Stat()
	if a.err = errors.Join(a.err, err); a.err != nil {
		return
	}
	a.err = a.w.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: info.Size(), ModTime: a.made,
		Format: tar.FormatPAX})
	sum := sha256.New()
	if a.err == nil {
		_, a.err = io.Copy(io.MultiWriter(a.w, sum), f)
	}
	a.sums = fmt.Appendf(a.sums, "%x  %s\n", sum.Sum(nil), name)
}

// NoteFile is the file in a yard's folder that says when it was last backed up.
const NoteFile = "backed-up.json"

func note(dir string, about About) error {
	src, err := json.Marshal(about)
	if err != nil {
		return err
	}
	return cannotWrite(NoteFile, os.WriteFile(filepath.Join(dir, NoteFile), append(src, '\n'), 0o600))
}

// remindAfter is how old the last backup may be while entries come in.
const remindAfter = 30 * 24 * time.Hour

// Reminder says that the yard should be backed up, or "": where entries came
// in since the last backup and that is more than thirty days ago, or there was
// none and the first entry is older.
func Reminder(ctx context.Context, dir string, s journal.Store, now time.Time) message.Text {
	head, err := s.Head(ctx)
	if err != nil || head.Entries == 0 {
		return ""
	}
	var last About
	src, err := os.ReadFile(filepath.Join(dir, NoteFile))
	if err == nil && json.Unmarshal(src, &last) == nil {
		if last.Entries >= head.Entries || now.Sub(last.Made) < remindAfter {
			return ""
		}
		return message.Of("The yard was last backed up on %s; %d entries are newer. Back it up with: undertray "+
			"backup %s", told.Long(civil.Of(last.Made)), head.Entries-last.Entries, fileOf(now))
	}
	first, err := s.Entries(ctx, journal.Filter{Limit: 1})
	if err != nil || len(first) == 0 || now.Sub(first[0].Recorded) < remindAfter {
		return ""
	}
	return message.Of("The yard was never backed up. Back it up with: undertray backup %s", fileOf(now))
}

// fileOf is a name for the backup of a day.
func fileOf(now time.Time) string { return now.Format("yard-2006-01-02.tar.gz") }

// wants reports whether a name in an archive is one that a backup holds.
func wants(name string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool {
		ok, err := filepath.Match(filepath.FromSlash(p), filepath.FromSlash(name))
		return ok && err == nil
	})
}
