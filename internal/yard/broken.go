package yard

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/record"
	"undertray/internal/sheet"
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

// BrokenVehicle returns the vehicle with this id if its sheet is broken, else nil.
func (y *Yard) BrokenVehicle(id string) *Broken {
	for _, b := range y.Broken {
		if b.ID == id || b.Last != nil && b.Last.ID == id {
			return b
		}
	}
	return nil
}

// Mistakes returns the mistakes of all broken sheets, or nil.
func (y *Yard) Mistakes() error {
	errs := make([]error, len(y.Broken))
	for i, b := range y.Broken {
		errs[i] = b
	}
	return errors.Join(errs...)
}

// goodFolder holds each sheet as it was last read without a mistake. It is
// disposable.
const goodFolder = ".good"

func (y *Yard) goodPath(name string) string {
	return filepath.Join(y.Dir, goodFolder, filepath.Base(name))
}

// breakOff notes a sheet with mistakes.
func (y *Yard) breakOff(name string, faults error) {
	b := &Broken{ID: strings.TrimSuffix(filepath.Base(name), ".yaml"), Path: name, Faults: faults}
	if src, err := os.ReadFile(y.goodPath(name)); err == nil {
		if sh, err := sheet.Read(name, src, y.Catalogue); err == nil {
			b.Good, b.Last = src, sh.Vehicle
		}
	}
	y.Broken = append(y.Broken, b)
}

// KeepGood keeps a copy of every sheet that has no mistake, to show while it
// has one. A folder that cannot be written keeps none.
func (y *Yard) KeepGood() {
	if os.MkdirAll(filepath.Join(y.Dir, goodFolder), 0o700) != nil {
		return
	}
	for _, v := range y.Vehicles {
		name := y.sheets[v.ID]
		now, err := os.Stat(name)
		if err != nil {
			continue
		}
		good := y.goodPath(name)
		if kept, err := os.Stat(good); err == nil && kept.ModTime().Equal(now.ModTime()) && kept.Size() == now.Size() {
			continue
		}
		src, err := os.ReadFile(name)
		if err == nil && os.WriteFile(good, src, 0o600) == nil {
			_ = os.Chtimes(good, now.ModTime(), now.ModTime()) // else it is copied again
		}
	}
}
