package cli

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"undertray.example/undertray/internal/journal"
)

// spoken is output that can be read while it is written.
type spoken struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *spoken) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *spoken) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

func TestServeRefusesOthersWithoutPassphrase(t *testing.T) {
	dir := t.TempDir()
	for _, listen := range []string{":0", "0.0.0.0:0", "192.0.2.1:80", "[::]:0"} {
		var errs bytes.Buffer
		code := Main([]string{"serve", "--yard", dir, "--listen", listen}, strings.NewReader(""), io.Discard, &errs)
		if code != exitInvalid || !strings.Contains(errs.String(), "undertray --yard "+dir+" passphrase") {
			t.Errorf("%s: exit %d, %s", listen, code, errs.String())
		}
	}
	var errs bytes.Buffer
	if code := Main([]string{"serve", "--yard", dir, "--cert", "x"}, strings.NewReader(""), io.Discard,
		&errs); code != exitInvalid {
		t.Errorf("a certificate without its key: exit %d, %s", code, errs.String())
	}
}

func TestPassphraseIsReadAndKept(t *testing.T) {
	dir := t.TempDir()
	run := func(in string, args ...string) (int, string) {
		var errs bytes.Buffer
		return Main(append([]string{"passphrase", "--yard", dir}, args...), strings.NewReader(in), io.Discard,
			&errs), errs.String()
	}
	if code, says := run("short\n"); code != exitInvalid || !strings.Contains(says, "at least 12") {
		t.Errorf("short: exit %d, %s", code, says)
	}
	if code, says := run("reed bunting sluice ladder\n"); code != exitOK {
		t.Fatalf("exit %d, %s", code, says)
	}
	name := filepath.Join(dir, "passphrase")
	info, err := os.Stat(name)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the file: %v, %v", info, err)
	}
	if b, _ := os.ReadFile(name); !strings.HasPrefix(string(b), "$argon2id$") ||
		strings.Contains(string(b), "bunting") {
		t.Errorf("kept as %q", b)
	}
	if code, _ := run("", "--remove"); code != exitOK {
		t.Errorf("removing: exit %d", code)
	}
	if _, err := os.Stat(name); !os.IsNotExist(err) {
		t.Errorf("still there: %v", err)
	}
}

func TestServeAnswersUntilItIsEnded(t *testing.T) {
	out := &spoken{}
	a := &app{in: strings.NewReader(""), out: out, err: io.Discard, now: clock, newID: journal.NewID,
		dir: filepath.Join(t.TempDir(), "yard")}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- a.serve(ctx, serving{listen: "127.0.0.1:0"}) }()
	var at string
	for end := time.Now().Add(10 * time.Second); at == "" && time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		at = regexp.MustCompile(`http://\S+`).FindString(out.String())
	}
	res, err := http.Get(at)
	if err != nil {
		t.Fatalf("%v; it said %q", err, out)
	}
	body, err := io.ReadAll(res.Body)
	res.Body.Close()
	if err != nil || res.StatusCode != http.StatusOK || !strings.Contains(string(body), "no vehicles yet") {
		t.Errorf("%s %.200s %v", res.Status, body, err)
	}
	cancel()
	select {
	case err := <-done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Error("it does not end")
	}
}
