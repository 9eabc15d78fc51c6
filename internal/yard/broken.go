package yard

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/sheet"
)

// Broken is a vehicle whose sheet has mistakes. It closes that vehicle alone:
// the others go on. It is the error of whoever asks for the vehicle.
type Broken struct {
	ID     string // by the name of the sheet's file
	Path   string
	Faults error // *fleet.Errors, joined, each with its line
	// Good is the sheet as it was last read without a mistake, and Last the
	// vehicle it describes; empty where none is known.
	Good []byte
	Last *fleet.Vehicle
}

// Error returns the mistakes.
func (b *Broken) Error() string { return b.Faults.Error() }

// Unwrap returns the mistakes one by one.
func (b *Broken) Unwrap() []error { return record.Faults(b.Faults) }

// Mistakes reads all sheets and returns the mistakes of those that have any, or
// nil.
func (y *Yard) Mistakes() error {
	var errs []error
	for _, b := range y.Broken() {
		errs = append(errs, b)
	}
	return errors.Join(errs...)
}

// goodFolder holds each sheet as it was last read without a mistake. It is
// disposable.
const goodFolder = ".good"

// breakOff is what is known of a sheet with mistakes.
func (s *shelf) breakOff(id, name string, faults error) *Broken {
	b := &Broken{ID: id, Path: name, Faults: faults}
	if src, err := os.ReadFile(s.goodPath(id)); err == nil {
		if sh, err := sheet.Read(name, src, s.catalogue); err == nil {
			b.Good, b.Last = src, sh.Vehicle
		}
	}
	return b
}

func (s *shelf) goodPath(id string) string { return filepath.Join(s.dir, goodFolder, id+suffix) }

// KeepGood has a copy kept of every sheet that is read without a mistake, to show
// while it has one. A folder that cannot be written keeps none.
func (y *Yard) KeepGood() { y.shelf.keepGood.Store(true) }

// keep keeps a copy of a sheet that has no mistake.
func (s *shelf) keep(id string, src []byte, now fs.FileInfo) {
	good := s.goodPath(id)
	if kept, err := os.Stat(good); err == nil && kept.ModTime().Equal(now.ModTime()) && kept.Size() == now.Size() {
		return
	}
	if os.MkdirAll(filepath.Dir(good), 0o700) == nil && os.WriteFile(good, src, 0o600) == nil {
		_ = os.Chtimes(good, now.ModTime(), now.ModTime()) // else it is copied again
	}
}
