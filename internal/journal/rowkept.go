package journal

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
)

// rowOf ends the name of the file with a vehicle's row on the roll, beside its
// written fold.
const rowOf = ".row"

// Program names the program that runs, or is "" where that cannot be told: what another
// version worked out is worked out anew. Built so that two versions have the same size
// and age, they differ by what they were built from.
var Program = sync.OnceValue(func() string {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	version := ""
	if build, ok := debug.ReadBuildInfo(); ok {
		version = build.Main.Version + " "
	}
	return fmt.Sprint(version, info.Size(), " ", info.ModTime().UnixNano())
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
	text, err := json.Marshal(rowMark{head, Program()})
	return string(text), head.Entries, err
}

// Still reports whether the journal holds what it held at a mark of this program,
// and nothing about a vehicle has arrived since, up to an arrival at least.
func (f *Folds) Still(ctx context.Context, vehicle, mark string, upTo int64) (bool, error) {
	var m rowMark
	if json.Unmarshal([]byte(mark), &m) != nil || m.Program == "" || m.Program != Program() {
		return false, nil
	}
	since := m.Head.Entries
	f.since.Lock()
	right, err := f.since.look(ctx, f.Store, m.Head, upTo)
	known, arrived := since >= f.since.from, f.since.at[vehicle] > since
	f.since.Unlock()
	if err != nil || !right || known {
		return err == nil && right && !arrived, err
	}
	entries, _, err := f.Store.Arrived(ctx, vehicle, since)
	return err == nil && len(entries) == 0, err
}

// arrivals is which of the last arrivals are about which vehicle: who compares the
// rows of a whole yard with the journal asks it once for all, and then what is new.
type arrivals struct {
	sync.Mutex
	right Head             // that the journal was last found to have had
	from  int64            // arrivals after this one are known
	last  int64            // up to this one; 0: none yet
	at    map[string]int64 // the last of them about a vehicle
}

// farBack is how many arrivals are looked at at once; about an older mark the journal
// is asked by itself.
var farBack int64 = 100000

// look brings a up to date, up to an arrival at least, and reports whether the journal
// has had a head. The caller holds the lock.
func (a *arrivals) look(ctx context.Context, s Store, head Head, upTo int64) (bool, error) {
	if a.right != head {
		there, is, err := s.HeadAt(ctx, head.Entries)
		if err != nil || !is || there != head {
			return false, err
		}
		a.right = head
	}
	if a.at == nil {
		now, err := s.Head(ctx)
		if err != nil {
			return false, err
		}
		a.from = max(0, now.Entries-farBack)
		a.last, a.at = a.from, map[string]int64{}
	}
	if a.last > 0 && a.last >= max(upTo, head.Entries) {
		return true, nil
	}
	touched, last, err := s.Touched(ctx, a.last)
	if err != nil {
		return false, err
	}
	maps.Copy(a.at, touched)
	a.last = last
	return true, nil
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
