package cli

import (
	"bytes"
	"encoding/json"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/web"
	"undertray.example/undertray/internal/yard"
)

// The page on HTTP, typed as it stands: its command makes the token that curl brings, curl is answered at every line,
// and what is asked is answered as the command beside it in the table answers it.
func TestHTTPPage(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "http.md"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := exec.LookPath("curl"); err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal(err)
		}
		t.Skip("no curl: install Debian's curl")
	}
	dir := demoYard(t)
	store, err := journal.Open(t.Context(), yard.JournalPath(dir), journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	hash, err := web.HashPassphrase("reed bunting sluice ladder")
	if err != nil {
		t.Fatal(err)
	}
	srv, err := web.New(web.Options{Dir: dir, Journal: journal.FoldsOf(store, ""), Now: clock, NewID: journal.NewID,
		Passphrase: hash})
	if err != nil {
		t.Fatal(err)
	}
	at := httptest.NewServer(srv.Handler())
	defer at.Close()
	ask := func(line string) string {
		t.Helper()
		c := exec.Command("sh", "-c", strings.ReplaceAll(line, "http://localhost:8337", at.URL))
		out, err := c.CombinedOutput()
		if err != nil || !json.Valid(out) || bytes.Contains(out, []byte(`"errors"`)) {
			t.Fatalf("%s: %v\n%s", line, err, out)
		}
		return string(out)
	}
	lines := 0
	for line := range strings.Lines(string(page)) {
		line = strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "undertray "):
			code, out, complaint := typed(strings.TrimPrefix(line, "undertray "), "")
			if code != exitOK {
				t.Fatal(complaint)
			}
			t.Setenv("TOKEN", strings.TrimSpace(out))
		case strings.HasPrefix(line, "curl "):
			ask(line)
			lines++
		}
	}
	if lines < 5 {
		t.Errorf("only %d lines of curl", lines)
	}
	for address, command := range map[string]string{"vehicles": "yard", "vehicles/heron": "state heron",
		"vehicles/heron/positions/main-belt":     "position heron main-belt",
		"vehicles/heron/trip?distance=2400%20km": `trip heron "2400 km"`, "vehicles/heron/plan": "plan heron",
		"vehicles/heron/record?position=main-belt": "history heron main-belt",
		"vehicles/heron/round?open=undertray":      "round heron --open undertray", "plan": "plan"} {
		got := ask(`curl -sS -H "Authorization: Bearer $TOKEN" "http://localhost:8337/api/1/` + address + `"`)
		code, want, complaint := typed(command+" --json", "")
		if code != exitOK || !sameJSON(t, got, want) {
			t.Errorf("%s is not answered as %s: %s\n%.3000s\n%.3000s", address, command, complaint, got, want)
		}
	}
}

func sameJSON(t *testing.T, a, b string) bool {
	t.Helper()
	var x, y any
	if json.Unmarshal([]byte(a), &x) != nil || json.Unmarshal([]byte(b), &y) != nil {
		return false
	}
	one, _ := json.Marshal(x)
	two, _ := json.Marshal(y)
	return bytes.Equal(one, two)
}
