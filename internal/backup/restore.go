package backup

import (
	"archive/tar"
	"bufio"
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

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
)

// Restored says what Restore did.
type Restored struct {
	About
	Kept string // folder with what was replaced, "" where nothing was
}

// Restore puts a backup back into a yard's folder and its journal to an
// address. All of it is checked first; what is replaced is kept in the folder
// aside, which must not be there yet; and what then stands is compared with the
// backup.
func Restore(ctx context.Context, name, dir, address, aside string) (Restored, error) {
	o := journal.Options{Mark: filepath.Join(dir, journal.MarkFile)}
	files := map[string][]byte{}
	about, err := check(ctx, name, files)
	if err != nil {
		return Restored{}, err
	}
	out := Restored{About: about}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return out, cannotWrite(dir, err)
	}
	err = journal.Replace(ctx, address, o, aside, about.Head, func(s journal.Store) error {
		return read(name, func(file string, r io.Reader) error {
			if file != journalName {
				return nil
			}
			_, err := journal.Import(ctx, s, filepath.Base(name)+":"+journalName, r, journal.ImportOptions{})
			return err
		})
	})
	if err == nil {
		err = replaceFiles(dir, aside, files)
	}
	if _, statErr := os.Stat(aside); statErr == nil {
		out.Kept = aside
	}
	if err == nil {
		err = note(dir, about)
	}
	return out, err
}

// replaceFiles puts the settings, sheets and catalogue files of a backup in the
// place of those that are there, which go into the folder aside.
func replaceFiles(dir, aside string, files map[string][]byte) error {
	for _, name := range []string{"yard.yaml", "vehicles", "catalogue"} {
		from := filepath.Join(dir, name)
		if _, err := os.Lstat(from); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		err := os.MkdirAll(aside, 0o700)
		if err == nil {
			err = os.Rename(from, filepath.Join(aside, name))
		}
		if err != nil {
			return cannotWrite(from, err)
		}
	}
	for name, src := range files {
		to := filepath.Join(dir, filepath.FromSlash(name))
		err := os.MkdirAll(filepath.Dir(to), 0o755)
		if err == nil {
			err = os.WriteFile(to, src, 0o644)
		}
		if err != nil {
			return cannotWrite(to, err)
		}
	}
	return nil
}

func damaged(name, why string) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: message.Of("this is not a whole backup: %s", why),
		Hint: "take another backup, or copy this one again"}
}

// maxFile is the greatest settings, sheet or catalogue file that is taken, in
// bytes.
const maxFile = 4 << 20

// check reads a backup from end to end: every file against its checksum, every
// entry, and all entries together against the digest. The small files go into
// files where that is not nil.
func check(ctx context.Context, name string, files map[string][]byte) (About, error) {
	var about About
	var sums, want []byte
	err := readable(name, func(file string, r io.Reader) error {
		sum := sha256.New()
		r = io.TeeReader(r, sum)
		var err error
		switch {
		case file == sumsName:
			want, err = io.ReadAll(io.LimitReader(r, maxFile))
			return err
		case file == aboutName:
			err = readAbout(name, r, &about)
		case file == journalName:
			err = checkJournal(ctx, name, r, about)
		case wants(file):
			var src []byte
			if src, err = io.ReadAll(io.LimitReader(r, maxFile+1)); len(src) > maxFile {
				err = damaged(name, file+" is too large")
			}
			if files != nil {
				files[file] = src
			}
		default:
			err = damaged(name, fmt.Sprintf("it holds %.60q, which no backup does", file))
		}
		if err == nil {
			_, err = io.Copy(io.Discard, r)
		}
		sums = fmt.Appendf(sums, "%x  %s\n", sum.Sum(nil), file)
		return err
	})
	if err == nil && (len(want) == 0 || string(sums) != string(want)) {
		err = damaged(name, "a file in it does not match its checksum, or is missing")
	}
	return about, err
}

func readAbout(name string, r io.Reader, about *About) error {
	if err := json.NewDecoder(r).Decode(about); err != nil {
		return damaged(name, err.Error())
	}
	if about.Format > format {
		return &fleet.Error{Kind: fleet.TooNew, Where: name,
			Msg: message.Of("the backup is of format %d, and this program reads formats up to %d",
				about.Format, format),
			Hint: "use the newer version of the program that wrote it"}
	}
	if about.Format < 1 {
		return damaged(name, "it does not say of which format it is")
	}
	return nil
}

// checkJournal takes the journal in, as restoring does, and keeps nothing.
func checkJournal(ctx context.Context, name string, r io.Reader, about About) error {
	count := &counting{}
	res, err := journal.Import(ctx, count, filepath.Base(name)+":"+journalName, bufio.NewReader(r),
		journal.ImportOptions{})
	if err != nil {
		return err
	}
	if count.head != about.Head || res.Attachments != about.Attachments {
		return damaged(name, fmt.Sprintf("it holds %d entries with digest %s, and should hold %d with %s",
			count.head.Entries, count.head.Digest, about.Entries, about.Digest))
	}
	return nil
}

// readable is read for who keeps nothing: what cannot be read on is damage.
func readable(name string, each func(file string, r io.Reader) error) error {
	f, err := opened(name)
	if err != nil {
		return err
	}
	f.Close()
	err = read(name, each)
	if fleet.KindOf(err) == fleet.Unavailable {
		return damaged(name, err.Error())
	}
	return err
}

func opened(name string) (*os.File, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be read",
			Hint: "check its name and that you may read it", Err: err}
	}
	return f, nil
}

// read calls each for every file of a backup, in order.
func read(name string, each func(file string, r io.Reader) error) error {
	f, err := opened(name)
	if err != nil {
		return err
	}
	defer f.Close()
	z, err := gzip.NewReader(bufio.NewReader(f))
	if err != nil {
		return damaged(name, err.Error())
	}
	t := tar.NewReader(z)
	for {
		h, err := t.Next()
		if errors.Is(err, io.EOF) {
			if _, err := io.Copy(io.Discard, z); err != nil { // the checksum of gzip stands at the end
				return damaged(name, err.Error())
			}
			return nil
		}
		if err != nil {
			return damaged(name, err.Error())
		}
		err = each(h.Name, t)
		var known *fleet.Error
		if err != nil && !errors.As(err, &known) && !errors.Is(err, context.Canceled) {
			return damaged(name, err.Error())
		}
		if err != nil {
			return err
		}
	}
}
