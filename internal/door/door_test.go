package door

import (
	"bytes"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"undertray.example/undertray/internal/fleet"
)

var now = time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)

func invited(t *testing.T, d *Door, may May) string {
	t.Helper()
	code, err := d.Invite("Ana", may, now)
	if err != nil {
		t.Fatal(err)
	}
	return code
}

// TestACodeLetsOneDeviceIn: of many that bring one code at once one comes in, and
// neither the code nor the key can be read from what is kept.
func TestACodeLetsOneDeviceIn(t *testing.T) {
	dir := t.TempDir()
	d := Of(dir)
	code := invited(t, d, Write)
	var group sync.WaitGroup
	keys := make(chan string, 16)
	for range cap(keys) {
		group.Go(func() {
			key, err := d.Pair(strings.ToLower(strings.ReplaceAll(code, "-", " ")), "shed tablet", now)
			if (err == nil) != (key != "") || err != nil && fleet.KindOf(err) != fleet.Invalid {
				t.Errorf("%q, %v", key, err)
			}
			if key != "" {
				keys <- key
			}
		})
	}
	group.Wait()
	if len(keys) != 1 {
		t.Fatalf("%d devices came in by one code", len(keys))
	}
	key := <-keys
	dev, err := d.Who(key, now)
	if err != nil || dev == nil || dev.Name != "shed tablet" || dev.Person != "Ana" || dev.May != Write {
		t.Fatalf("%+v, %v", dev, err)
	}
	err = filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		src, err := os.ReadFile(path)
		info, _ := e.Info()
		if bytes.Contains(src, []byte(key)) || strings.Contains(path, key) || info.Mode().Perm() != 0o600 {
			t.Errorf("%s, %v: %s", path, info.Mode(), src)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// TestTheDoorStaysShut for codes that are old, used, guessed or mangled, for keys that
// nobody has, and for a device that was turned away.
func TestTheDoorStaysShut(t *testing.T) {
	d := Of(t.TempDir())
	used, late := invited(t, d, Look), invited(t, d, Look)
	key, err := d.Pair(used, "phone", now)
	if err != nil {
		t.Fatal(err)
	}
	for _, try := range []struct {
		name, code string
		at         time.Time
	}{{"used", used, now}, {"late", late, now.Add(Open + time.Second)}, {"late, a second time", late, now},
		{"guessed", "AAA-AAA-AAA", now}, {"none", "", now}, {"a path", "../../passphrase", now}} {
		if _, err := d.Pair(try.code, "phone", try.at); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%s: %v", try.name, err)
		}
	}
	for _, k := range []string{"", key[:60], key[1:] + "0", "../" + key[3:], strings.Repeat("0", 64)} {
		if dev, err := d.Who(k, now); dev != nil || err != nil {
			t.Errorf("%q: %+v, %v", k, dev, err)
		}
	}
	all, err := d.Devices()
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	for _, id := range []string{"", "nobody", all[0].ID + "0"} {
		if _, err := d.TurnAway(id); fleet.KindOf(err) != fleet.NotFound {
			t.Errorf("%q: %v", id, err)
		}
	}
	if _, err := d.TurnAway(all[0].ID[:8]); err != nil {
		t.Fatal(err)
	}
	if dev, err := d.Who(key, now); dev != nil || err != nil {
		t.Errorf("turned away: %+v, %v", dev, err)
	}
}

func TestNobodyWithoutAName(t *testing.T) {
	d := Of(t.TempDir())
	for _, person := range []string{"", " \n", strings.Repeat("a", 61)} {
		if _, err := d.Invite(person, Look, now); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%q: %v", person, err)
		}
	}
	if _, err := d.Invite("Ana", "rule", now); fleet.KindOf(err) != fleet.Invalid {
		t.Error(err)
	}
	code := invited(t, d, Look)
	if _, err := d.Pair(code, "", now); fleet.KindOf(err) != fleet.Invalid {
		t.Error(err)
	}
	if _, err := d.Pair(code, "phone", now); err != nil {
		t.Errorf("a device without a name used the code up: %v", err)
	}
}

// A program's token holds until it is taken back, and what it may is no person's.
func TestTokens(t *testing.T) {
	d := Of(t.TempDir())
	for _, may := range append([]May{"", Calendar}, Mays...) {
		if _, err := d.Token("logger", may, now); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%s: %v", may, err)
		}
	}
	for may, person := range map[May]May{Ask: Look, Tell: Write} {
		key, err := d.Token("logger", may, now)
		if err != nil {
			t.Fatal(err)
		}
		dev, err := d.Who(key, now)
		if err != nil || dev == nil || dev.May != may || may.Of() != person || may.IsPerson() || dev.Name != "logger" {
			t.Fatalf("%+v, %v", dev, err)
		}
		if _, err := d.Anew(dev.ID, now); fleet.KindOf(err) != fleet.Invalid {
			t.Error("a token was made anew as a calendar is")
		}
		if _, err := d.TurnAway(dev.ID); err != nil {
			t.Fatal(err)
		}
		if dev, err := d.Who(key, now); dev != nil || err != nil {
			t.Errorf("turned away: %+v, %v", dev, err)
		}
	}
	if Look.Of() != "" || Calendar.Of() != "" {
		t.Error("a person's leave is taken for a program's")
	}
}

// TestMays: who may more may all that is less.
func TestMays(t *testing.T) {
	for i, m := range Mays {
		for j, asked := range Mays {
			if m.Includes(asked) != (i >= j) {
				t.Errorf("%s includes %s", m, asked)
			}
		}
	}
	if May("").Includes(Look) {
		t.Error("nobody in particular may look")
	}
}

// TestCertificate: the server's certificate holds for its names by Go's rules and by
// OpenSSL's, its authority can sign for no other, and stays while the names do.
func TestCertificate(t *testing.T) {
	dir := t.TempDir()
	d := Of(dir)
	names := []string{"Shed.local", "192.168.1.20"}
	certified := func(names []string, at time.Time, anew bool) {
		t.Helper()
		if got, err := d.Certificate(names, at); err != nil || got != anew {
			t.Fatalf("%v: new authority %v, %v", names, got, err)
		}
	}
	certified(names, now, true)
	certified(names, now.AddDate(2, 0, 0), false)
	certified(names[:1], now, false)
	certified(append(names, "fe80::1"), now, true)
	certified([]string{"192.168.1.21"}, now, true)
	certified(names, now, true)
	cert, key := d.ServerFiles()
	pair, err := tls.LoadX509KeyPair(cert, key)
	if err != nil {
		t.Fatal(err)
	}
	src, err := d.CA()
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	if !roots.AppendCertsFromPEM(src) {
		t.Fatal("the authority is no certificate")
	}
	for name, fits := range map[string]bool{"shed.local": true, "192.168.1.20": true, "192.168.1.21": false,
		"bank.example": false} {
		_, err := pair.Leaf.Verify(x509.VerifyOptions{DNSName: name, Roots: roots, CurrentTime: now})
		if (err == nil) != fits {
			t.Errorf("%s: %v", name, err)
		}
		kind := "-verify_hostname"
		if strings.HasPrefix(name, "192") {
			kind = "-verify_ip"
		}
		out, err := exec.Command("openssl", "verify", "-x509_strict", "-attime", fmt.Sprint(now.Unix()), "-CAfile",
			filepath.Join(dir, Folder, CAFile), kind, name, cert).CombinedOutput()
		if (err == nil) != fits {
			t.Errorf("OpenSSL, %s: %v\n%s", name, err, out)
		}
	}
	ca, by, err := d.authority()
	if err != nil {
		t.Fatal(err)
	}
	for _, foreign := range []x509.Certificate{{DNSNames: []string{"bank.example"}}} {
		foreign.NotBefore, foreign.NotAfter = now, now.AddDate(1, 0, 0)
		if err := d.sign(&foreign, ca, by, by, "foreign.crt", "foreign.key"); err != nil {
			t.Fatal(err)
		}
		src, _ := os.ReadFile(filepath.Join(dir, Folder, "foreign.crt"))
		block, _ := pem.Decode(src)
		leaf, err := x509.ParseCertificate(block.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		_, err = leaf.Verify(x509.VerifyOptions{DNSName: "bank.example", Roots: roots, CurrentTime: now})
		if err == nil {
			t.Error("the house's authority can sign for a bank")
		}
	}
}

func TestCertificateForNoName(t *testing.T) {
	d := Of(t.TempDir())
	for _, names := range [][]string{nil, {""}, {"https://shed.local"}, {"shed.local:8337"}, {"*.local"}, {".local"}} {
		if _, err := d.Certificate(names, now); fleet.KindOf(err) != fleet.Invalid {
			t.Errorf("%q: %v", names, err)
		}
	}
	if cert, _ := d.ServerFiles(); cert != "" {
		t.Error("a certificate was made")
	}
	if _, err := d.CA(); fleet.KindOf(err) != fleet.NotFound {
		t.Error(err)
	}
}

// TestCodeIsRead: the drawn code and the one in a terminal's blocks are read back by
// zbar, which is not ours (Debian's zbar-tools).
func TestCodeIsRead(t *testing.T) {
	if _, err := exec.LookPath("zbarimg"); err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal(err)
		}
		t.Skip("no zbarimg: install Debian's zbar-tools")
	}
	link := Link("https://shed.local:8337/", "K7Q-M2X-WD4")
	rows, err := modules(link)
	if err != nil {
		t.Fatal(err)
	}
	wantRead(t, link, len(rows), func(x, y int) bool { return rows[y][x] })

	text, err := Blocks(link)
	if err != nil {
		t.Fatal(err)
	}
	var lines [][]rune
	for line := range strings.Lines(text) {
		lines = append(lines, []rune(strings.TrimSuffix(line, "\n")))
	}
	wantRead(t, link, len(rows), func(x, y int) bool {
		lit := map[rune][2]bool{' ': {}, '▀': {true, false}, '▄': {false, true}, '█': {true, true}}[lines[y/2][x]]
		return !lit[y%2]
	})
	path, side, err := Path(link)
	if err != nil || side != len(rows) || strings.Count(path, "M") < side {
		t.Errorf("path of %d, %v: %s", side, err, path)
	}
}

// wantRead wants zbar to read a text where dark says which modules are.
func wantRead(t *testing.T, text string, side int, dark func(x, y int) bool) {
	t.Helper()
	const zoom = 6
	img := image.NewGray(image.Rect(0, 0, side*zoom, side*zoom))
	for y := range side * zoom {
		for x := range side * zoom {
			if !dark(x/zoom, y/zoom) {
				img.SetGray(x, y, color.Gray{Y: 255})
			}
		}
	}
	name := filepath.Join(t.TempDir(), "code.png")
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("zbarimg", "-q", "--raw", name).Output()
	if got := strings.TrimSpace(string(out)); err != nil || got != text {
		t.Errorf("read %q, %v", got, err)
	}
}
