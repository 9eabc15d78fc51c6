// Package packaging tries what scripts/release makes as those who get it do: the same bytes from anywhere, a package
// that a bare Debian takes, a service that its systemd starts.
package packaging

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
)

// run runs a command and returns what it said; it must end well.
func run(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// only is the one file that matches.
func only(t *testing.T, pattern string) string {
	t.Helper()
	all, err := filepath.Glob(pattern)
	if err != nil || len(all) != 1 {
		t.Fatalf("%s: %v, %v", pattern, all, err)
	}
	return all[0]
}

// checked tells whether what a test needs of the machine must be there.
func checked(t *testing.T) {
	if os.Getenv("UNDERTRAY_CHECK") == "" && os.Getenv("UNDERTRAY_SOAK") == "" {
		t.Skip("builds what is committed: run with UNDERTRAY_CHECK=1")
	}
}

// trial is the folder of a release for this test's kind of machine, packed quickly; it is made once.
func trial(t *testing.T) string {
	t.Helper()
	out, err := made()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

var made = sync.OnceValues(func() (string, error) {
	out := filepath.Join(scratch, "trial")
	said, err := exec.Command("../scripts/release", "--trial", out, "linux/amd64").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w: %s", err, said)
	}
	return out, err
})

var scratch string // a folder that lasts for all tests

func TestMain(m *testing.M) {
	var err error
	if scratch, err = os.MkdirTemp("", "undertray-packaging-"); err != nil {
		panic(err)
	}
	code := m.Run()
	os.RemoveAll(scratch)
	os.Exit(code)
}

func soaked() bool { return os.Getenv("UNDERTRAY_SOAK") != "" }

// TestRelease: what is made of one revision in two folders is the same to the byte, its sums are right, the list of
// its parts names every module that the program says it is built from, and the package holds what it should. In the
// soak all systems are built whole, twice.
func TestRelease(t *testing.T) {
	checked(t)
	out, again := trial(t), filepath.Join(t.TempDir(), "elsewhere", "again")
	other := filepath.Join(t.TempDir(), "a folder of another name")
	run(t, ".", "git", "clone", "-q", "..", other)
	if soaked() {
		out = filepath.Join(t.TempDir(), "out")
		run(t, "..", "scripts/release", out)
		run(t, other, "scripts/release", again)
		run(t, "..", "diff", "-r", out, again)
		if all, err := filepath.Glob(filepath.Join(out, "*")); err != nil || len(all) != 6+6+3+1 {
			t.Errorf("made: %q, %v", all, err)
		}
	} else {
		run(t, other, "scripts/release", "--programs", again, "linux/amd64")
	}
	run(t, out, "sha256sum", "--check", "--strict", "SHA256SUMS")
	unpacked, root := t.TempDir(), t.TempDir()
	run(t, unpacked, "tar", "-xzf", only(t, filepath.Join(out, "*_linux_amd64.tar.gz")))
	run(t, root, "dpkg-deb", "-x", only(t, filepath.Join(out, "*_amd64.deb")), root)
	program := only(t, filepath.Join(unpacked, "*", "undertray"))
	run(t, out, "cmp", program, filepath.Join(root, "usr", "bin", "undertray"))
	if !soaked() {
		run(t, out, "cmp", program, filepath.Join(again, "linux", "amd64", "undertray"))
	}
	says := run(t, out, program, "--version")
	head := run(t, "..", "git", "rev-parse", "HEAD")[:12]
	want := regexp.MustCompile(`^undertray v\d\S+\nrevision ` + head +
		` of \d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ\nbuilt by go\S+ for linux/amd64\n$`)
	if !want.MatchString(says) {
		t.Errorf("it says %q, the head is %s", says, head)
	}
	partsAreNamed(t, program, only(t, filepath.Join(out, "*_linux_amd64.cdx.json")))
	packageHolds(t, root)
}

// TestGoInstall: go install takes the module by its path, from a folder laid out as a module proxy has it
// (https://go.dev/ref/mod#goproxy-protocol), and the program that comes of it says its version.
func TestGoInstall(t *testing.T) {
	if !soaked() {
		t.Skip("builds the program under another path: run by scripts/soak")
	}
	const module, version = "undertray.example/undertray", "v0.0.1"
	proxy, into := t.TempDir(), t.TempDir()
	at := filepath.Join(proxy, module, "@v", version)
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		t.Fatal(err)
	}
	run(t, "..", "git", "archive", "--format=zip", "--prefix="+module+"@"+version+"/", "-o", at+".zip", "HEAD", ".",
		":!tools") // a module of its own
	run(t, "..", "cp", "go.mod", at+".mod")
	for name, text := range map[string]string{at + ".info": `{"Version":"` + version + `"}`,
		filepath.Join(filepath.Dir(at), "list"): version} {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	here := strings.TrimSpace(run(t, ".", "go", "env", "GOMODCACHE"))
	run(t, into, "env", "GOPROXY=file://"+proxy+",file://"+here+"/cache/download", "GOSUMDB=off", "GOBIN="+into,
		"GOMODCACHE="+filepath.Join(into, "cache"), "GOFLAGS=-modcacherw", "CGO_ENABLED=0", "GOTOOLCHAIN=local",
		"go", "install", module+"/cmd/undertray@"+version)
	if says := run(t, into, "./undertray", "--version"); !strings.HasPrefix(says, "undertray "+version+"\n") {
		t.Errorf("it says %q", says)
	}
}

// partsAreNamed compares the list of parts with what Go wrote into the program.
func partsAreNamed(t *testing.T, program, list string) {
	src, err := os.ReadFile(list)
	if err != nil {
		t.Fatal(err)
	}
	var parts struct {
		BomFormat  string
		Components []struct{ Name, Version, Purl string }
	}
	if err := json.Unmarshal(src, &parts); err != nil || parts.BomFormat != "CycloneDX" {
		t.Fatal(parts.BomFormat, err)
	}
	var named, built []string
	for _, c := range parts.Components {
		if c.Name != "std" {
			named = append(named, c.Name+" "+c.Version)
		}
	}
	for _, m := range regexp.MustCompile(`(?m)^\tdep\t(\S+)\t(\S+)`).FindAllStringSubmatch(
		run(t, ".", "go", "version", "-m", program), -1) {
		built = append(built, m[1]+" "+m[2])
	}
	slices.Sort(named)
	slices.Sort(built)
	if len(built) < 20 || !slices.Equal(named, built) || len(named) == len(parts.Components) {
		t.Errorf("named %q\nbuilt from %q", named, built)
	}
	text, err := os.ReadFile(filepath.Join(filepath.Dir(program), "licences.txt"))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range append(built, "Go and its library", "IBM Plex Sans") {
		if !strings.Contains(string(text), "\n==== "+b+"\n") {
			t.Errorf("no licence goes along for %s", b)
		}
	}
}

// packageHolds looks at the unpacked package, and has systemd read its unit; a unit that is spoilt must be told.
func packageHolds(t *testing.T, root string) {
	for name, mode := range map[string]os.FileMode{"usr/bin/undertray": 0o755, "etc/default/undertray": 0o644,
		"lib/systemd/system/undertray.service": 0o644, "usr/lib/sysusers.d/undertray.conf": 0o644,
		"usr/share/doc/undertray/copyright": 0o644, "usr/share/doc/undertray/licences.txt.gz": 0o644,
		"usr/share/doc/undertray/at-home.md": 0o644, "usr/share/doc/undertray/changelog.gz": 0o644,
		"usr/share/man/man1/undertray-serve.1.gz": 0o644, "usr/share/bash-completion/completions/undertray": 0o644} {
		info, err := os.Stat(filepath.Join(root, name))
		if err != nil || info.Mode() != mode || info.Size() == 0 {
			t.Errorf("%s: %v, %v", name, info, err)
		}
	}
	rated := run(t, root, "systemd-analyze", "security", "--offline=true", "--threshold=20", "--root="+root,
		"undertray.service")
	if !strings.Contains(rated, "Overall exposure level") {
		t.Errorf("rated: %s", rated)
	}
	src, err := os.ReadFile(filepath.Join(root, "lib/systemd/system/undertray.service"))
	if err != nil {
		t.Fatal(err)
	}
	verified := func(program string) error {
		unit := filepath.Join(t.TempDir(), "undertray.service")
		text := strings.Replace(string(src), "/usr/bin/undertray", program, 1)
		if err := os.WriteFile(unit, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("systemd-analyze", "verify", unit).CombinedOutput()
		if err == nil && len(out) > 0 {
			err = errors.New("it complains")
		}
		if err != nil {
			err = fmt.Errorf("%w: %s", err, out)
		}
		return err
	}
	if err := verified(filepath.Join(root, "usr/bin/undertray")); err != nil {
		t.Error(err)
	}
	if verified("/usr/bin/overtray") == nil {
		t.Error("a unit without its program is verified")
	}
}
