package yard

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"undertray.example/undertray/internal/fleet"
)

// Digest names a sheet's text, so that a form can say which one it was made from.
func Digest(src []byte) string {
	sum := sha256.Sum256(src)
	return hex.EncodeToString(sum[:8])
}

// oldTime is how old sheets are named after the moment at which they were replaced.
const oldTime = "20060102T150405.000000000"

// writing lets one sheet be replaced at a time.
var writing sync.Mutex

// ReplaceSheet puts a vehicle's sheet in place of the one that was has the digest of,
// and keeps that in vehicles/old. A sheet that anybody changed since is a Conflict,
// and stays.
func ReplaceSheet(dir, id string, src []byte, was string, now time.Time) error {
	return replaceSheet(dir, id, src, was, now, "-"+Digest(src))
}

func replaceSheet(dir, id string, src []byte, was string, now time.Time, mark string) error {
	writing.Lock()
	defer writing.Unlock()
	path := SheetPath(dir, id)
	old, err := os.ReadFile(path)
	if err != nil {
		return unreadable(path, err)
	}
	if was != Digest(old) {
		return &fleet.Error{Kind: fleet.Conflict, Msg: "the file has been changed since this page was loaded",
			Hint: "copy what you typed, load the page again and put your changes in"}
	}
	kept := filepath.Join(dir, "vehicles", "old", id+"-"+now.UTC().Format(oldTime)+mark+suffix)
	if err := WriteNew(kept, old); err != nil && fleet.KindOf(err) != fleet.Conflict {
		return err
	}
	return Replace(path, src, 0o644)
}

// BeforeLast returns what a vehicle's sheet said before the last change that was
// made through ReplaceSheet; nil where there was none, or any editor changed the
// file since.
func BeforeLast(dir, id string, src []byte) ([]byte, error) {
	folder := filepath.Join(dir, "vehicles", "old")
	files, err := os.ReadDir(folder) // by name, and so by time
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, unreadable(folder, err)
	}
	end := "-" + Digest(src) + suffix
	for _, f := range slices.Backward(files) {
		rest, ok := strings.CutPrefix(f.Name(), id+"-")
		if ok && len(rest) == len(oldTime)+len(end) && strings.HasSuffix(rest, end) {
			name := filepath.Join(folder, f.Name())
			before, err := os.ReadFile(name)
			if err != nil {
				return nil, unreadable(name, err)
			}
			return before, nil
		}
	}
	return nil, nil
}

// UndoSheet puts back what a vehicle's sheet said before its last change, if the
// sheet is still as that change left it: else it is a Conflict, and stays.
func UndoSheet(dir, id, was string, now time.Time) error {
	path := SheetPath(dir, id)
	src, err := os.ReadFile(path)
	if err != nil {
		return unreadable(path, err)
	}
	before, err := BeforeLast(dir, id, src)
	if err != nil {
		return err
	}
	if before == nil || was != Digest(src) {
		return &fleet.Error{Kind: fleet.Conflict, Msg: "nothing is undone: the file has been changed since",
			Hint: "what it said before each change kept here lies in vehicles/old"}
	}
	return replaceSheet(dir, id, before, was, now, "")
}
