package journal

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Replace puts a new journal, which fill fills, in the place of the one at an
// address, and checks that it then holds what want says. The journal that was
// there is kept, with the files beside it, in the folder aside; it is left as
// it is where anything fails before. A schema of a database is kept under the
// name of that folder.
func Replace(ctx context.Context, address string, o Options, aside string, want Head, fill func(Store) error) error {
	var err error
	if isPostgres(address) {
		err = replacePostgres(ctx, address, o, aside, want, fill)
	} else {
		err = replaceFile(ctx, address, aside, want, fill)
	}
	if err != nil {
		return err
	}
	return proved(ctx, address, o, want)
}

// replaceFile is Replace for an SQLite journal.
func replaceFile(ctx context.Context, address, aside string, want Head, fill func(Store) error) error {
	fresh := address + ".restored"
	for _, name := range filesOf(fresh) {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return cannotReplace(name, err)
		}
	}
	if err := fillFresh(ctx, fresh, want, fill); err != nil {
		return err
	}
	if err := moveAside(filesOf(address), aside); err != nil {
		return err
	}
	for i, name := range filesOf(fresh) {
		err := os.Rename(name, filesOf(address)[i])
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return cannotReplace(name, err)
		}
	}
	_ = syncFile(filepath.Dir(address))
	return nil
}

// filesOf returns the files that a journal may consist of.
func filesOf(path string) []string {
	return []string{path, path + "-wal", path + "-shm", path + ".mark"}
}

func fillFresh(ctx context.Context, path string, want Head, fill func(Store) error) error {
	s, err := Open(ctx, path, Options{Create: true})
	if err != nil {
		return err
	}
	err = fill(s)
	head, headErr := s.Head(ctx)
	if err = errors.Join(err, headErr, s.Close()); err == nil {
		err = same(path, head, want)
	}
	return err
}

func same(path string, head, want Head) error {
	if head == want {
		return nil
	}
	return &fleet.Error{Kind: fleet.Unavailable, Where: path,
		Msg: message.Of("what was restored is not what was backed up: %d entries, digest %s; the backup has %d, "+
			"digest %s", head.Entries, head.Digest, want.Entries, want.Digest),
		Hint: "keep the backup as it is, and try another disk"}
}

// moveAside moves files that are there into a folder.
func moveAside(names []string, folder string) error {
	for _, name := range names {
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		err := os.MkdirAll(folder, 0o700)
		if err == nil {
			err = os.Rename(name, filepath.Join(folder, filepath.Base(name)))
		}
		if err != nil {
			return cannotReplace(name, err)
		}
	}
	return nil
}

// proved opens a journal as any program does and compares all of it.
func proved(ctx context.Context, address string, o Options, want Head) error {
	s, err := Open(ctx, address, o)
	if err != nil {
		return err
	}
	head, err := s.Head(ctx)
	if err == nil {
		err = same(address, head, want)
	}
	var problems []Problem
	if err == nil {
		problems, err = Verify(ctx, s, nil)
	}
	if err = errors.Join(err, s.Alarm(), s.Close()); err != nil {
		return err
	}
	for _, p := range problems {
		if p.Where == "checksum" || p.Where == "id" || p.Where == "stored entry" {
			return &fleet.Error{Kind: fleet.Unavailable, Where: address,
				Msg: message.Of("what was restored is not sound: %s", p.String()), Hint: p.Hint}
		}
	}
	return nil
}

func cannotReplace(name string, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: message.Of("the file cannot be moved: %s", err),
		Hint: "end every program that uses the yard, see whether you may write to its folder, then restore again",
		Err:  err}
}
