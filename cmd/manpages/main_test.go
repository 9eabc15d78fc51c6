package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"undertray.example/undertray/internal/cli"
)

// Every command has its page, which names it and all its flags; groff finds nothing to warn of,
// and the same day makes the same pages.
func TestManualPages(t *testing.T) {
	t.Setenv("SOURCE_DATE_EPOCH", "1796083200")
	dir, again := t.TempDir(), t.TempDir()
	for _, d := range []string{dir, again} {
		if err := write(d); err != nil {
			t.Fatal(err)
		}
	}
	var pages []string
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		name := strings.ReplaceAll(c.CommandPath(), " ", "-") + ".1"
		page, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		same, err := os.ReadFile(filepath.Join(again, name))
		if err != nil || string(same) != string(page) {
			t.Errorf("%s is another page the second time", name)
		}
		pages = append(pages, filepath.Join(dir, name))
		text := strings.ReplaceAll(string(page), `\-`, "-")
		if !strings.Contains(text, c.Short) || !strings.Contains(text, `"Dec 2026"`) {
			t.Errorf("%s does not say what it is for and its day:\n%s", name, page)
		}
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if !f.Hidden && !strings.Contains(text, "--"+f.Name) {
				t.Errorf("%s does not name --%s", name, f.Name)
			}
		})
		for _, sub := range c.Commands() {
			if sub.IsAvailableCommand() {
				walk(sub)
			}
		}
	}
	walk(cli.Commands())
	if len(pages) < 60 {
		t.Errorf("%d pages", len(pages))
	}
	groff, err := exec.LookPath("groff")
	if err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal("groff is not there (Debian: groff-base)")
		}
		t.Skip("groff is not there")
	}
	asked := append([]string{"-man", "-ww", "-z", "-Tutf8", "-Kutf8"}, pages...)
	warnings, err := exec.Command(groff, asked...).CombinedOutput()
	if err != nil || len(warnings) > 0 {
		t.Errorf("groff: %v\n%s", err, warnings)
	}
}
