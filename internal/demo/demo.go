package demo

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
)

//go:embed data
var data embed.FS

// Today is the day the demo yard is looked at from when nobody says otherwise:
// the last evening of its stories.
var Today = civil.Date{Year: 2026, Month: 11, Day: 25}

// Create writes the demo yard into a folder that holds none yet: its settings,
// sheets and journal. It returns the number of entries.
func Create(ctx context.Context, dir string) (entries int, err error) {
	if err := Sheets(dir); err != nil {
		return 0, err
	}
	all, err := Told(dir)
	if err != nil {
		return 0, err
	}
	store, err := journal.Open(ctx, yard.JournalPath(dir), journal.Options{Create: true})
	if err != nil {
		return 0, err
	}
	defer store.Close()
	return store.Append(ctx, all)
}

// Told returns the entries of the demo yard's journal. The folder holds its
// sheets; nothing is written.
func Told(dir string) ([]*fleet.Entry, error) {
	if all, err := packed(); err == nil {
		return all, nil
	}
	y, err := yard.Open(dir)
	if err != nil {
		return nil, err
	}
	return Entries(y)
}

// Sheets writes the demo yard's settings and sheets into a folder, without its
// journal.
func Sheets(dir string) error {
	return fs.WalkDir(data, "data", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(name, "data/stories") || name == packName {
			return err
		}
		src, err := data.ReadFile(name)
		if err != nil {
			return err
		}
		to := filepath.Join(dir, filepath.FromSlash(strings.TrimPrefix(name, "data/")))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		return os.WriteFile(to, src, 0o644)
	})
}

// Entries returns the journal of the demo yard's vehicles, told from their
// stories.
func Entries(y *yard.Yard) ([]*fleet.Entry, error) {
	var all []*fleet.Entry
	for _, v := range y.Vehicles() {
		name := path.Join("data/stories", v.ID+".yaml")
		src, err := data.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("%s has no story: %w", v.ID, err)
		}
		s, err := readStory(name, src)
		if err != nil {
			return nil, err
		}
		t := teller{cat: y.Catalogue, vehicle: v, labels: map[string]*fleet.Entry{}}
		entries, err := t.tell(s)
		if err != nil {
			return nil, err
		}
		all = append(all, entries...)
	}
	return all, nil
}
