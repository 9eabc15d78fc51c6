// Package yard reads a yard's folder: its settings, its vehicle sheets and the
// owner's own additions to the catalogue. The journal beside them belongs to
// package journal.
//
// A yard is a folder:
//
//	yard.yaml          name, units and currency; may be absent
//	vehicles/*.yaml    one vehicle sheet each
//	catalogue/*.yaml   the owner's own knowledge, added to the built-in; may be absent
//	journal.db         the journal
//	.good/*.yaml       each sheet as last read without a mistake; disposable
//
// Nothing here is cached: a sheet edited in a text editor counts at once, and one
// with a mistake closes its own vehicle only.
package yard

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
	"undertray/internal/sheet"
	"undertray/internal/yamltree"
	"undertray/units"
)

// JournalFile is the journal's name inside a yard's folder.
const JournalFile = "journal.db"

// Settings are the owner's choices for a yard.
type Settings struct {
	Name     string            `yaml:"yard" json:"yard"`
	Units    units.Preferences `yaml:"units,omitempty" json:"units"`
	Currency string            `yaml:"currency,omitempty" json:"currency,omitempty"`
	// Visits says how much work and money there is for all vehicles together.
	Visits fleet.YardRules `yaml:"visits,omitempty" json:"visits,omitzero"`
	// Journal is the address of the journal where it is not the file in the
	// folder: postgres://user@host/database?search_path=yard, or a path.
	Journal string `yaml:"journal,omitempty" json:"-"`
}

// Yard is a folder's contents, read and checked.
type Yard struct {
	Dir       string
	Settings  Settings
	Catalogue *catalogue.Catalogue
	Vehicles  []*fleet.Vehicle // by id
	Warnings  []*fleet.Error   // oddities of sheets that stop nothing
	Broken    []*Broken        // vehicles whose sheets have mistakes

	sheets map[string]string // path of each vehicle's sheet
}

// Open reads a yard. Faults of its settings and catalogue are reported
// together, each a *fleet.Error that names file and line; those of a sheet are
// in Broken. A folder without sheets is a yard without vehicles.
func Open(dir string) (*Yard, error) {
	if _, err := os.Stat(dir); err != nil {
		return nil, &fleet.Error{Kind: fleet.NotFound, Where: dir, Msg: "there is no yard here",
			Hint: "make one with: undertray sheet new --yard " + dir, Err: err}
	}
	y := &Yard{Dir: dir, sheets: map[string]string{}}
	settingsErr := y.readSettings()
	if err := y.readCatalogue(); err != nil {
		return nil, errors.Join(settingsErr, err)
	}
	if err := errors.Join(settingsErr, y.readSheets()); err != nil {
		return nil, err
	}
	return y, nil
}

// Vehicle returns the vehicle with this id; a *Broken if its sheet has mistakes,
// a *fleet.Error of kind NotFound that names the nearest otherwise.
func (y *Yard) Vehicle(id string) (*fleet.Vehicle, error) {
	ids := make([]string, 0, len(y.Vehicles))
	for _, v := range y.Vehicles {
		if v.ID == id {
			return v, nil
		}
		ids = append(ids, v.ID)
	}
	if b := y.BrokenVehicle(id); b != nil {
		return nil, b
	}
	hint := "list them with: undertray yard"
	if near := fleet.Nearest(id, ids); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	return nil, &fleet.Error{Kind: fleet.NotFound, Msg: fmt.Sprintf("the yard has no vehicle %q", id), Hint: hint}
}

// SheetPath returns where a vehicle's sheet is kept.
func (y *Yard) SheetPath(vehicle string) string { return SheetPath(y.Dir, vehicle) }

// SheetPath returns where a vehicle's sheet is kept in a yard's folder.
func SheetPath(dir, vehicle string) string {
	return filepath.Join(dir, "vehicles", vehicle+".yaml")
}

// maxSettings is the greatest size of yard.yaml, in bytes.
const maxSettings = 64 << 10

// JournalAddress returns where the journal of a yard's folder is kept: what its
// settings say, or the file in the folder.
func JournalAddress(dir string) (string, error) {
	y := &Yard{Dir: dir}
	if err := y.readSettings(); err != nil {
		return "", err
	}
	if at := y.Settings.Journal; at != "" && !strings.Contains(at, "://") && !filepath.IsAbs(at) {
		return filepath.Join(dir, at), nil
	} else if at != "" {
		return at, nil
	}
	return JournalPath(dir), nil
}

// JournalPath returns where the journal of a yard's folder is kept.
func JournalPath(dir string) string { return filepath.Join(dir, JournalFile) }

func (y *Yard) readSettings() error {
	name := filepath.Join(y.Dir, "yard.yaml")
	if info, err := os.Stat(name); err == nil && info.Size() > maxSettings {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: fmt.Sprintf("the file is larger than %d KiB", maxSettings>>10), Hint: "the settings of a yard are a few lines: see whether another file was put here"}
	}
	src, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return unreadable(name, err)
	}
	if err := yamltree.Read(src, &y.Settings); err != nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: err.Error(),
			Hint: "yard.yaml knows the keys yard, units, currency, visits and journal", Err: err}
	}
	if h := y.Settings.Visits.HoursPerMonth; h < 0 || h > 400 {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: fmt.Sprintf("visits.hours_per_month is %g", h), Hint: "write the hours of work that you have in a month, such as 20"}
	}
	if m := y.Settings.Visits.MoneyPerMonth; m != nil && (m.Dimension() != units.Money || m.Value() <= 0) {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: fmt.Sprintf("visits.money_per_month is %q", m), Hint: "write an amount above 0, such as 400 EUR"}
	}
	if err := y.Settings.Units.Validate(); err != nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: err.Error(), Err: err}
	}
	return nil
}

func (y *Yard) readCatalogue() error {
	files, err := readAll(filepath.Join(y.Dir, "catalogue"))
	if err != nil {
		return err
	}
	overlays := make([]catalogue.File, len(files))
	for i, f := range files {
		if f.err != nil {
			return f.err
		}
		overlays[i] = catalogue.File{Name: f.name, Source: f.src}
	}
	y.Catalogue, err = catalogue.LoadWith(overlays...)
	return err
}

// readSheets reads the sheets side by side: nearly all of a yard's opening goes
// into their YAML.
func (y *Yard) readSheets() error {
	files, err := readAll(filepath.Join(y.Dir, "vehicles"))
	if err != nil {
		return err
	}
	sheets := make([]*sheet.Sheet, len(files))
	faults := make([]error, len(files))
	var group sync.WaitGroup
	for i, f := range files {
		if faults[i] = f.err; f.err == nil {
			group.Go(func() { sheets[i], faults[i] = sheet.Read(f.name, f.src, y.Catalogue) })
		}
	}
	group.Wait()
	for i, f := range files {
		if faults[i] == nil {
			faults[i] = y.take(f.name, sheets[i])
		}
		if faults[i] != nil {
			y.breakOff(f.name, faults[i])
		}
	}
	return nil
}

// take adds a sheet's vehicle to the yard.
func (y *Yard) take(name string, sh *sheet.Sheet) error {
	y.Warnings = append(y.Warnings, sh.Warnings...)
	if slices.ContainsFunc(y.Vehicles, func(o *fleet.Vehicle) bool { return o.ID == sh.Vehicle.ID }) {
		return &fleet.Error{Kind: fleet.Conflict, Where: name,
			Msg: fmt.Sprintf("another sheet already describes a vehicle %q", sh.Vehicle.ID), Hint: "give one of them another id"}
	}
	y.Vehicles, y.sheets[sh.Vehicle.ID] = append(y.Vehicles, sh.Vehicle), name
	return nil
}

// file is one file's name and contents.
type file struct {
	name string
	src  []byte
	err  error // it cannot be read
}

// readAll reads the YAML files of a folder by name; no folder, no files.
func readAll(dir string) ([]file, error) {
	names, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
	if err != nil {
		return nil, unreadable(dir, err)
	}
	slices.Sort(names)
	files := make([]file, 0, len(names))
	for _, name := range names {
		f := file{name: name}
		if f.src, err = os.ReadFile(name); err != nil {
			f.err = unreadable(name, err)
		}
		files = append(files, f)
	}
	return files, nil
}

func unreadable(name string, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be read", Hint: "check that it exists and that you may read it", Err: err}
}

// WriteNew writes a file that must not exist yet, making its folder.
func WriteNew(name string, src []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return unwritable(name, err)
	}
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return &fleet.Error{Kind: fleet.Conflict, Where: name, Msg: "there is already such a file", Hint: "choose another id, or edit that file", Err: err}
	}
	if err != nil {
		return unwritable(name, err)
	}
	if _, err := f.Write(src); err != nil {
		f.Close()
		os.Remove(name)
		return unwritable(name, err)
	}
	if err := f.Close(); err != nil {
		return unwritable(name, err)
	}
	return nil
}

func unwritable(name string, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be written", Hint: "check the disk and that you may write there", Err: err}
}
