package journal_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"testing"
)

// TestLibcIsTheDrivers wants the C library that the driver was made and tested
// with: its documentation asks for just that version, and the go command does
// not.
func TestLibcIsTheDrivers(t *testing.T) {
	list := func(out any, args ...string) {
		t.Helper()
		b, err := exec.Command("go", args...).Output()
		if err != nil {
			t.Fatalf("go %v: %v", args, err)
		}
		if err := json.Unmarshal(b, out); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := exec.LookPath("go"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip("needs the go command")
	}
	const libc = "modernc.org/libc"
	var ours struct{ Version string }
	list(&ours, "list", "-m", "-json", libc)
	var driver struct{ GoMod string }
	list(&driver, "list", "-m", "-json", "modernc.org/sqlite")
	var theirs struct {
		Require []struct{ Path, Version string }
	}
	list(&theirs, "mod", "edit", "-json", driver.GoMod)
	for _, r := range theirs.Require {
		if r.Path == libc {
			if r.Version != ours.Version {
				t.Errorf("go.mod requires %s %s, and the driver %s: run go get %s@%s", libc, ours.Version,
					r.Version, libc, r.Version)
			}
			return
		}
	}
	t.Errorf("the driver does not require %s any more: this test can go", libc)
}
