package arch

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// The page of laws names tests that exist.
func TestTheSafetyPageNamesTests(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "safety.md"))
	if err != nil {
		t.Fatal(err)
	}
	exist := map[string]bool{}
	for _, depth := range []string{"*", "*/*"} {
		files, err := filepath.Glob(filepath.Join("..", depth, "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range regexp.MustCompile(`(?m)^func (Test\w+)\(`).FindAllStringSubmatch(string(src), -1) {
				exist[f[1]] = true
			}
		}
	}
	named := regexp.MustCompile("`(Test\\w+)`").FindAllStringSubmatch(string(page), -1)
	for _, n := range named {
		if !exist[n[1]] {
			t.Errorf("docs/safety.md names %s, which does not exist", n[1])
		}
	}
	if len(named) < 60 {
		t.Errorf("it names %d tests only", len(named))
	}
}
