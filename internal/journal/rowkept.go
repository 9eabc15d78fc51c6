package journal

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"undertray/civil"
	"undertray/internal/fleet"
)

// rowOf ends the name of the file with a vehicle's row on the roll, beside its
// written fold.
const rowOf = ".row"

// program names the program that runs: what another version worked out is worked
// out anew.
var program = sync.OnceValue(func() string {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	return fmt.Sprint(info.Size(), " ", info.ModTime().UnixNano())
})

// rowMark is what a mark says.
type rowMark struct {
	Head    Head
	Program string
}

// Mark names what the journal holds now, and the program that reads it, and returns
// the number of the last arrival.
func (f *Folds) Mark(ctx context.Context) (string, int64, error) {
	head, err := f.Store.Head(ctx)
	if err != nil {
		return "", 0, err
	}
	text, err := json.Marshal(rowMark{head, program()})
	return string(text), head.Entries, err
}

// Still reports whether the journal holds what it held at a mark of this program,
// and nothing about a vehicle has arrived since.
func (f *Folds) Still(ctx context.Context, vehicle, mark string) (bool, error) {
	var m rowMark
	if json.Unmarshal([]byte(mark), &m) != nil || m.Program != program() {
		return false, nil
	}
	there, is, err := f.Store.HeadAt(ctx, m.Head.Entries)
	if err != nil || !is || there != m.Head {
		return false, err
	}
	arrived, _, err := f.Store.Arrived(ctx, vehicle, m.Head.Entries)
	return err == nil && len(arrived) == 0, err
}

// FoldOnce is Fold without keeping the fold in memory: for those who go through a
// whole yard and must not push out what others look at.
func (f *Folds) FoldOnce(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error) {
	k, err := f.make(ctx, v, on)
	if err != nil {
		return nil, err
	}
	f.file(ctx, k)
	return k.fold, nil
}

// KeptRow returns the row that KeepRow kept of a vehicle last, or nil.
func (f *Folds) KeptRow(vehicle string) []byte {
	name := f.path(vehicle)
	if name == "" {
		return nil
	}
	row, err := os.ReadFile(name + rowOf)
	if err != nil {
		return nil
	}
	return row
}

// KeepRow keeps a vehicle's row on the roll. It is disposable: one that is lost is
// worked out anew.
func (f *Folds) KeepRow(vehicle string, row []byte) {
	if name := f.path(vehicle); name != "" && os.MkdirAll(filepath.Dir(name), 0o700) == nil {
		_ = putFile(name+rowOf, row)
	}
}
