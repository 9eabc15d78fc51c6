package yard

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray/internal/fleet"
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
