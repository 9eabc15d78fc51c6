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
//	.kept/*.sheet      each sheet in a form that is read quickly; disposable
//
// A sheet is read when its vehicle is asked for, and the few that were read last
// are kept until their file changes: a yard may have ten thousand. One edited in a
// text editor counts at once, and one with a mistake closes its own vehicle only.
package yard

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// JournalFile is the journal's name inside a yard's folder.
const JournalFile = "journal.db"

// Settings are the owner's choices for a yard.
type Settings struct {
	Name     string            `yaml:"yard" json:"yard"`
	Units    units.Preferences `yaml:"units,omitempty" json:"units"`
	Currency string            `yaml:"currency,omitempty" json:"currency,omitempty"`
	// Chosen says that the file names units: nobody needs to be asked.
	Chosen bool `yaml:"-" json:"-"`
	// Visits says how much work and money there is for all vehicles together.
	Visits fleet.YardRules `yaml:"visits,omitempty" json:"visits,omitzero"`
	// Pictures says how much room there is for them.
	Pictures PictureRules `yaml:"pictures,omitempty" json:"pictures,omitzero"`
	// Journal is the address of the journal where it is not the file in the
	// folder: postgres://user@host/database?search_path=yard, or a path.
	Journal string `yaml:"journal,omitempty" json:"-"`
}

// PictureRules are the settings for pictures.
type PictureRules struct {
	Megabytes int `yaml:"megabytes,omitempty" json:"megabytes,omitempty"` // all together; 0: as Bytes says
}

// Bytes is how much all pictures together may take.
func (p PictureRules) Bytes() int64 { return int64(cmp.Or(p.Megabytes, 2000)) * 1e6 }

// Yard is a folder's settings and catalogue, read and checked, and the list of its
// sheets. It may be used by several goroutines at once.
type Yard struct {
	Dir       string
	Settings  Settings
	Catalogue *catalogue.Catalogue

	overlays []byte // names the own catalogue files and what they hold
	settings []byte // yard.yaml

	ids   []string // of the vehicles, those with broken sheets too, in the order of the files
	shelf *shelf
}

// Open reads a yard but for its sheets, which it lists. Faults of its settings and
// catalogue are reported together, each a *fleet.Error that names file and line. A
// folder without sheets is a yard without vehicles.
func Open(dir string) (*Yard, error) {
	if _, err := os.Stat(dir); err != nil {
		return nil, &fleet.Error{Kind: fleet.NotFound, Where: dir, Msg: "there is no yard here",
			Hint: "make one with: undertray sheet new my-vehicle", Err: err}
	}
	y := &Yard{Dir: dir}
	settingsErr := y.readSettings()
	if err := y.readCatalogue(); err != nil {
		return nil, errors.Join(settingsErr, err)
	}
	y.Catalogue = y.Catalogue.For(y.Settings.Units)
	y.shelf = newShelf(y)
	if err := errors.Join(settingsErr, y.list()); err != nil {
		return nil, err
	}
	return y, nil
}

// Listed is the yard with its sheets listed anew, where settings and catalogue are
// known to be as they were. It shares what was read with y.
func (y *Yard) Listed() (*Yard, error) {
	out := *y
	return &out, out.list()
}

func (y *Yard) list() error {
	names, err := filesIn(filepath.Join(y.Dir, "vehicles"))
	if err != nil {
		return err
	}
	y.ids = make([]string, len(names))
	for i, name := range names {
		y.ids[i] = strings.TrimSuffix(filepath.Base(name), suffix)
	}
	return nil
}

// Files describes a yard's settings and catalogue by name, size and time.
func Files(dir string) string {
	var b strings.Builder
	for _, pattern := range []string{"yard.yaml", "catalogue/*" + suffix} {
		names, err := filepath.Glob(filepath.Join(dir, filepath.FromSlash(pattern)))
		if err != nil {
			continue // only a pattern can be at fault, and these are fixed
		}
		for _, name := range names {
			if info, err := os.Stat(name); err == nil {
				fmt.Fprintln(&b, filepath.Base(name), stampOf(info))
			}
		}
	}
	return b.String()
}

// IDs returns the ids of the vehicles, those whose sheets have mistakes included,
// in the order of the sheets' files. Nobody changes them.
func (y *Yard) IDs() []string { return y.ids }

// Has reports whether there is a sheet of a vehicle.
func (y *Yard) Has(id string) bool {
	_, there := slices.BinarySearchFunc(y.ids, id, func(o, id string) int {
		return strings.Compare(o+suffix, id+suffix)
	})
	return there
}

// Vehicle returns the vehicle with this id; a *Broken if its sheet has mistakes,
// a *fleet.Error of kind NotFound that names the nearest otherwise.
func (y *Yard) Vehicle(id string) (*fleet.Vehicle, error) {
	if y.Has(id) {
		return y.shelf.vehicle(id)
	}
	hint := message.Text("list them with: undertray yard")
	if near := fleet.Nearest(id, y.ids); near != "" {
		hint = message.Of("did you mean %q?", near)
	}
	return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("the yard has no vehicle %q", id), Hint: hint}
}

// Vehicles reads all sheets and returns the vehicles of those without mistakes:
// for questions about a whole yard, at a cost that grows with it.
func (y *Yard) Vehicles() []*fleet.Vehicle {
	all, _ := y.all()
	return all
}

// Broken reads all sheets and returns what is wrong with those that have mistakes.
func (y *Yard) Broken() []*Broken {
	_, broken := y.all()
	return broken
}

// all reads the sheets side by side: nearly all of the time goes into their YAML.
func (y *Yard) all() (all []*fleet.Vehicle, broken []*Broken) {
	vehicles, faults := make([]*fleet.Vehicle, len(y.ids)), make([]error, len(y.ids))
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, id := range y.ids {
		group.Go(func() error {
			vehicles[i], faults[i] = y.shelf.vehicle(id)
			return nil
		})
	}
	_ = group.Wait() // which has no errors
	for i, v := range vehicles {
		var b *Broken
		if errors.As(faults[i], &b) {
			broken = append(broken, b)
		} else {
			all = append(all, v)
		}
	}
	return all, broken
}

// SheetPath returns where a vehicle's sheet is kept.
func (y *Yard) SheetPath(vehicle string) string { return SheetPath(y.Dir, vehicle) }

// SheetPath returns where a vehicle's sheet is kept in a yard's folder.
func SheetPath(dir, vehicle string) string {
	return filepath.Join(dir, "vehicles", vehicle+".yaml")
}

// chosen finds the key of units.
var chosen = regexp.MustCompile(`(?m)^units:`)

// KeepUnits writes the units and the currency that were chosen into a yard's settings, and
// leaves all else in the file as it is.
func KeepUnits(dir string, p units.Preferences, currency string) error {
	name := filepath.Join(dir, "yard.yaml")
	src, err := os.ReadFile(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return unreadable(name, err)
	}
	if len(src) == 0 {
		src = []byte(editorLine + schemaFolder + "/yard.json\n")
		if err := keepSchema(dir, "yard.json", Schema()); err != nil {
			return err
		}
	}
	src = yamltree.SetTop(src, "units", unitsText(p), "yard")
	if currency != "" {
		src = yamltree.SetTop(src, "currency", currency, "units")
	}
	return Replace(name, src, 0o644)
}

// unitsText writes preferences as YAML on one line.
func unitsText(p units.Preferences) string {
	text := "{system: " + p.System.String()
	var own []string
	for _, d := range units.Dimensions() {
		if u, ok := p.Units[d]; ok {
			own = append(own, d.String()+": "+u)
		}
	}
	if len(own) > 0 {
		text += ", units: {" + strings.Join(own, ", ") + "}"
	}
	return text + "}"
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
		return &fleet.Error{Kind: fleet.Invalid, Where: name,
			Msg:  message.Of("the file is larger than %d KiB", maxSettings>>10),
			Hint: "the settings of a yard are a few lines: see whether another file was put here"}
	}
	src, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return unreadable(name, err)
	}
	y.settings = src
	if err := yamltree.Read(src, &y.Settings); err != nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: message.Is(err),
			Hint: "yard.yaml knows the keys yard, units, currency, visits, pictures and journal", Err: err}
	}
	y.Settings.Chosen = chosen.Match(src)
	if h := y.Settings.Visits.HoursPerMonth; h < 0 || h > 400 {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: message.Of("visits.hours_per_month is %g", h),
			Hint: "write the hours of work that you have in a month, such as 20"}
	}
	if m := y.Settings.Visits.MoneyPerMonth; m != nil && (m.Dimension() != units.Money || m.Value() <= 0) {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: message.Of("visits.money_per_month is %q", m),
			Hint: "write an amount above 0, such as 400 EUR"}
	}
	if n := y.Settings.Pictures.Megabytes; n < 0 {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: message.Of("pictures.megabytes is %d", n),
			Hint: "write how much they may take together, such as 2000"}
	}
	if err := y.Settings.Units.Validate(); err != nil {
		return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: message.Is(err), Err: err}
	}
	return nil
}

func (y *Yard) readCatalogue() error {
	names, err := filesIn(filepath.Join(y.Dir, "catalogue"))
	if err != nil {
		return err
	}
	overlays := make([]catalogue.File, len(names))
	for i, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			return unreadable(name, err)
		}
		overlays[i] = catalogue.File{Name: name, Source: src}
	}
	y.Catalogue, err = catalogue.LoadWith(overlays...)
	y.overlays = digestOf(overlays)
	return err
}

// suffix is that of the files which are read.
const suffix = ".yaml"

// filesIn returns the YAML files of a folder by name; no folder, no files.
func filesIn(dir string) ([]string, error) {
	names, err := filepath.Glob(filepath.Join(dir, "*"+suffix))
	if err != nil {
		return nil, unreadable(dir, err)
	}
	slices.Sort(names)
	return names, nil
}

func unreadable(name string, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be read",
		Hint: "check that it exists and that you may read it", Err: err}
}

// WriteNew writes a file that must not exist yet, making its folder.
func WriteNew(name string, src []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return Unwritable(name, err)
	}
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return &fleet.Error{Kind: fleet.Conflict, Where: name, Msg: "there is already such a file",
			Hint: "choose another id, or edit that file", Err: err}
	}
	if err != nil {
		return Unwritable(name, err)
	}
	if _, err := f.Write(src); err != nil {
		f.Close()
		os.Remove(name)
		return Unwritable(name, err)
	}
	if err := f.Close(); err != nil {
		return Unwritable(name, err)
	}
	return nil
}

// Replace writes a file whole or not at all: beside the old one first, and then into
// its place.
func Replace(name string, src []byte, mode os.FileMode) error {
	f, err := os.CreateTemp(filepath.Dir(name), ".new-*")
	if err != nil {
		return Unwritable(filepath.Base(name), err)
	}
	_, err = f.Write(src)
	err = errors.Join(err, f.Chmod(mode), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		os.Remove(f.Name())
		return Unwritable(filepath.Base(name), err)
	}
	return nil
}

// Unwritable says that a file cannot be written.
func Unwritable(name string, err error) error {
	return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be written",
		Hint: "check the disk and that you may write there", Err: err}
}
