package yard

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray/internal/fleet"
	"undertray/internal/harm"
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
	if len(y.Vehicles) != 2 || y.Mistakes() != nil {
		t.Fatal(len(y.Vehicles), y.Mistakes())
	}
	write(t, dir, "vehicles/robin.yaml", "undertray: 1\nvehicel: robin\nname: Robin\n")
	write(t, dir, "vehicles/other.yaml", wren) // the same vehicle twice
	if err := os.Mkdir(filepath.Join(dir, "vehicles", "folder.yaml"), 0o755); err != nil {
		t.Fatal(err)
	}
	y = mustOpen(t, dir)
	y.KeepGood()
	if len(y.Broken) != 3 || len(y.Vehicles) != 1 {
		t.Fatalf("%d vehicles, %d broken", len(y.Vehicles), len(y.Broken))
	}
	_, err := y.Vehicle("robin")
	var b *Broken
	if !errors.As(err, &b) || !strings.Contains(err.Error(), "robin.yaml:2") || fleet.KindOf(err) != fleet.Invalid {
		t.Fatalf("error %v", err)
	}
	if b.Last == nil || b.Last.Name != "Robin" || !strings.Contains(string(b.Good), "vehicle: robin") {
		t.Errorf("the last good sheet is %q", b.Good)
	}
	if err := y.Mistakes(); !strings.Contains(err.Error(), "robin.yaml:2") || !strings.Contains(err.Error(), "folder.yaml") {
		t.Errorf("mistakes %v", err)
	}
	if _, err := y.Vehicle("other"); fleet.KindOf(err) != fleet.NotFound && fleet.KindOf(err) != fleet.Conflict {
		t.Error(err)
	}
}

// FuzzSettings wants that no text makes a yard's settings panic, and that what
// is refused names the file.
func FuzzSettings(f *testing.F) {
	f.Add([]byte(settings))
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, src []byte) { settingsOf(t, dir, src) })
}

const settings = "yard: Reserve\nunits: {distance: mi}\ncurrency: EUR\nvisits:\n  hours_per_month: 20\n  money_per_month: 400 EUR\njournal: postgres://u@h/d\n"

// TestSettingsOfAnyText is the fuzzing's share of every run of the tests.
func TestSettingsOfAnyText(t *testing.T) {
	random := rand.New(rand.NewPCG(21, 22))
	dir := t.TempDir()
	for range 5000 {
		settingsOf(t, dir, harm.Text(random, []byte(settings), []byte("yard: A\n")))
	}
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
