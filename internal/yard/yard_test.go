package yard

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
)

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	name = filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func mustOpen(t *testing.T, dir string) *Yard {
	t.Helper()
	y, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return y
}

const wren = "undertray: 1\nvehicle: wren\nname: Wren\n"

func TestABrokenSheetShutsItsVehicleOnly(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "vehicles/wren.yaml", wren)
	write(t, dir, "vehicles/robin.yaml", "undertray: 1\nvehicle: robin\nname: Robin\n")
	y := mustOpen(t, dir)
	y.KeepGood()
	if len(y.Vehicles()) != 2 || y.Mistakes() != nil {
		t.Fatal(len(y.Vehicles()), y.Mistakes())
	}
	write(t, dir, "vehicles/robin.yaml", "undertray: 1\nvehicel: robin\nname: Robin\n")
	write(t, dir, "vehicles/other.yaml", wren) // another vehicle's sheet
	if err := os.Mkdir(filepath.Join(dir, "vehicles", "folder.yaml"), 0o755); err != nil {
		t.Fatal(err)
	}
	y = mustOpen(t, dir)
	y.KeepGood()
	if len(y.Broken()) != 3 || len(y.Vehicles()) != 1 {
		t.Fatalf("%d vehicles, %d broken", len(y.Vehicles()), len(y.Broken()))
	}
	_, err := y.Vehicle("robin")
	var b *Broken
	if !errors.As(err, &b) || !strings.Contains(err.Error(), "robin.yaml:2") || fleet.KindOf(err) != fleet.Invalid {
		t.Fatalf("error %v", err)
	}
	if b.Last == nil || b.Last.Name != "Robin" || !strings.Contains(string(b.Good), "vehicle: robin") {
		t.Errorf("the last good sheet is %q", b.Good)
	}
	if err := y.Mistakes(); !strings.Contains(err.Error(), "robin.yaml:2") ||
		!strings.Contains(err.Error(), "folder.yaml") {
		t.Errorf("mistakes %v", err)
	}
	if _, err := y.Vehicle("other"); fleet.KindOf(err) != fleet.Conflict ||
		!strings.Contains(err.Error(), `"wren" is called other.yaml`) {
		t.Error(err)
	}
	if _, err := y.Vehicle("../wren"); fleet.KindOf(err) != fleet.NotFound {
		t.Error(err)
	}
}

// TestSheetsAreReadWhenAskedFor: of a yard of ten thousand nothing is read before
// a vehicle is asked for, a bounded number is kept, and a file that changed counts
// at once.
func TestSheetsAreReadWhenAskedFor(t *testing.T) {
	const sheets = 10000
	dir := t.TempDir()
	sheetOf := func(i int, name string) string {
		return fmt.Sprintf("undertray: 1\nvehicle: v-%d\nname: %s\n", i, name)
	}
	for i := range sheets {
		write(t, dir, fmt.Sprintf("vehicles/v-%d.yaml", i), sheetOf(i, "Old"))
	}
	y := mustOpen(t, dir)
	if len(y.IDs()) != sheets || y.shelf.recent.Len() != 0 {
		t.Fatalf("%d listed, %d read", len(y.IDs()), y.shelf.recent.Len())
	}
	for i := range 3 * mostSheets {
		if v, err := y.Vehicle(fmt.Sprintf("v-%d", i)); err != nil || v.Name != "Old" {
			t.Fatal(v, err)
		}
	}
	if n := y.shelf.recent.Len(); n != mostSheets || len(y.shelf.kept) != n {
		t.Errorf("%d sheets are kept", n)
	}
	last := 3*mostSheets - 1
	id := fmt.Sprintf("v-%d", last)
	first, err := y.Vehicle(id)
	if again, _ := y.Vehicle(id); err != nil || again != first {
		t.Error("a sheet that did not change was read again", err)
	}
	write(t, dir, "vehicles/"+id+".yaml", sheetOf(last, "Newer"))
	if v, err := y.Vehicle(id); err != nil || v.Name != "Newer" {
		t.Error(v, err)
	}
	write(t, dir, "vehicles/"+id+".yaml", "undertray: 1\n")
	if _, err := y.Vehicle(id); fleet.KindOf(err) != fleet.Invalid {
		t.Error(err)
	}
	if _, err := y.Vehicle("v-9999"); err != nil {
		t.Error(err)
	}
}

// TestSheetsInQuickForm: a sheet in quick form is what reading it gives, with its
// oddities; one that is damaged, or of another program, catalogue or text, is not
// taken.
func TestSheetsInQuickForm(t *testing.T) {
	dir := t.TempDir()
	sheets := map[string]string{"odd": "undertray: 1\nvehicle: odd\nname: Odd\nopenings:\n  - {id: tray, name: Take " +
		"it off, minutes: 5}\n"}
	for _, a := range ask.Archetypes() {
		answers, err := ask.From(a.ID)
		if err != nil {
			t.Fatal(err)
		}
		src, err := ask.Build(answers, ask.Filling{Vehicle: a.ID, Name: a.Name})
		if err != nil {
			t.Fatal(err)
		}
		sheets[a.ID] = string(src)
	}
	demo, err := filepath.Glob("../demo/data/vehicles/*.yaml")
	if err != nil || len(demo) == 0 {
		t.Fatal(demo, err)
	}
	for _, name := range demo {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		sheets[strings.TrimSuffix(filepath.Base(name), suffix)] = string(src)
	}
	for id, src := range sheets {
		write(t, dir, "vehicles/"+id+".yaml", src)
	}
	y, other := mustOpen(t, dir), mustOpen(t, dir)
	y.KeepQuick("one")
	other.KeepQuick("two")
	write(t, dir, "catalogue/own.yaml", "kinds: []\n")
	informed := mustOpen(t, dir)
	informed.KeepQuick("one")
	for id, src := range sheets {
		name := SheetPath(dir, id)
		want, err := sheet.Read(name, []byte(src), y.Catalogue)
		if err != nil {
			t.Fatal(err)
		}
		kept := func(by *Yard, src string) *sheet.Sheet {
			return by.shelf.quick(id, by.shelf.quickKey(name, []byte(src)))
		}
		if kept(y, src) != nil {
			t.Fatalf("%s is kept before it was read", id)
		}
		asRead := func() bool {
			v, err := y.Once(id)
			if err != nil || v.ReadFrom == "" {
				t.Fatalf("%s is read from %q, %v", id, v.ReadFrom, err)
			}
			plain := *v
			plain.ReadFrom = ""
			return reflect.DeepEqual(&plain, want.Vehicle)
		}
		if !asRead() || !reflect.DeepEqual(kept(y, src), want) {
			t.Fatalf("%s is not kept as it is read", id)
		}
		if kept(other, src) != nil || kept(informed, src) != nil || kept(y, src+"\n") != nil {
			t.Errorf("%s is taken for another program, catalogue or text", id)
		}
		text, err := os.ReadFile(y.shelf.quickPath(id))
		if err != nil {
			t.Fatal(err)
		}
		for _, spoilt := range []string{"", string(text[:len(text)-9]),
			strings.Replace(string(text), `"minutes":`, `"minutes":1`, 1)} {
			write(t, dir, filepath.Join(quickFolder, id+quickEnd), spoilt)
			if kept(y, src) != nil {
				t.Errorf("%s is damaged, and is taken", id)
			}
		}
		if !asRead() {
			t.Errorf("%s is not read again", id)
		}
	}
	if len(y.Warnings("odd")) == 0 {
		t.Error("no sheet has an oddity")
	}
}

// FuzzSettings wants that no text makes a yard's settings panic, and that what
// is refused names the file.
func FuzzSettings(f *testing.F) {
	harm.Add(f, []byte("yard: Reserve\nunits: {distance: mi}\ncurrency: EUR\nvisits:\n  hours_per_month: 20\n  "+
		"money_per_month: 400 EUR\njournal: postgres://u@h/d\n"), []byte("yard: A\n"))
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, src []byte) { settingsOf(t, dir, src) })
}

func settingsOf(t *testing.T, dir string, src []byte) {
	write(t, dir, "yard.yaml", string(src))
	address, err := JournalAddress(dir)
	if err == nil && address == "" {
		t.Fatal("no address")
	}
	if err != nil && (fleet.KindOf(err) != fleet.Invalid || !strings.Contains(err.Error(), "yard.yaml")) {
		t.Fatalf("error %v of kind %d", err, fleet.KindOf(err))
	}
}
