package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/yard"
)

// benchServer serves a yard's folder from its real journal.
func benchServer(b *testing.B, dir string) (*Server, journal.Store) {
	b.Helper()
	store, err := journal.Open(context.Background(), yard.JournalPath(dir), journal.Options{Create: true})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	srv, err := New(Options{Dir: dir, Journal: journal.FoldsOf(store, dir), Now: noon, NewID: journal.NewID})
	if err != nil {
		b.Fatal(err)
	}
	return srv, store
}

func get(b *testing.B, srv *Server, path string) int {
	b.Helper()
	w := httptest.NewRecorder()
	srv.Handler().ServeHTTP(w, httptest.NewRequest("GET", "http://localhost"+path, nil))
	if w.Code != 200 {
		b.Fatalf("%s: %d", path, w.Code)
	}
	return w.Body.Len()
}

// BenchmarkVehiclePage serves a vehicle's page of the demo yard, beside the
// journal reads that the page needs; the aim is three times the reads.
func BenchmarkVehiclePage(b *testing.B) {
	dir := b.TempDir()
	if _, err := demo.Create(context.Background(), dir); err != nil {
		b.Fatal(err)
	}
	srv, store := benchServer(b, dir)
	var reads, page float64
	b.Run("reads", func(b *testing.B) {
		for b.Loop() {
			if _, err := store.Entries(context.Background(), journal.Filter{}); err != nil {
				b.Fatal(err)
			}
		}
		reads = float64(b.Elapsed()) / float64(b.N)
	})
	b.Run("page", func(b *testing.B) {
		size := get(b, srv, "/v/heron")
		for b.Loop() {
			get(b, srv, "/v/heron")
		}
		page = float64(b.Elapsed()) / float64(b.N)
		b.ReportMetric(page/reads, "times-the-reads")
		b.ReportMetric(float64(size)/1024, "kB")
	})
}

// BenchmarkYardOf200 serves the yard page of 200 vehicles, each with eight
// years of entries; the aim is 100 ms.
func BenchmarkYardOf200(b *testing.B) {
	dir := b.TempDir()
	if _, err := demo.Create(context.Background(), dir); err != nil {
		b.Fatal(err)
	}
	srv, store := benchServer(b, dir)
	for i := range 197 {
		copyVehicle(b, dir, store, i)
	}
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			fresh, err := New(Options{Dir: dir, Journal: journal.FoldsOf(store, dir), Now: noon, NewID: journal.NewID})
			if err != nil {
				b.Fatal(err)
			}
			get(b, fresh, "/")
		}
	})
	get(b, srv, "/")
	b.Run("again", func(b *testing.B) {
		for b.Loop() {
			get(b, srv, "/")
		}
	})
	b.Run("after an entry", func(b *testing.B) {
		entries, err := store.Entries(context.Background(),
			journal.Filter{Vehicle: "dunnock", Type: fleet.TypeNote, Limit: 1})
		if err != nil || len(entries) == 0 {
			b.Fatalf("no note to repeat, %v", err)
		}
		for b.Loop() {
			e := *entries[0]
			e.ID, e.Batch = journal.NewID(), ""
			if _, err := store.Append(context.Background(), []*fleet.Entry{&e}); err != nil {
				b.Fatal(err)
			}
			get(b, srv, "/")
		}
	})
}

var anyID = regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}`)

// copyVehicle adds the n-th copy of one vehicle of the demo, sheet and journal.
func copyVehicle(b *testing.B, dir string, store journal.Store, n int) {
	b.Helper()
	src, err := os.ReadFile(yard.SheetPath(dir, "dunnock"))
	if err != nil {
		b.Fatal(err)
	}
	id := fmt.Sprintf("dunnock%03d", n)
	text := strings.Replace(string(src), "\nvehicle: dunnock\n", "\nvehicle: "+id+"\n", 1)
	if err := os.WriteFile(yard.SheetPath(dir, id), []byte(text), 0o644); err != nil {
		b.Fatal(err)
	}
	entries, err := store.OfVehicle(context.Background(), "dunnock")
	if err != nil {
		b.Fatal(err)
	}
	copies := make([]*fleet.Entry, len(entries))
	for i, e := range entries {
		line, err := fleet.EncodeEntry(e)
		if err != nil {
			b.Fatal(err)
		}
		line = anyID.ReplaceAllFunc(line, func(old []byte) []byte {
			sum := sha256.Sum256(fmt.Appendf(nil, "%s %d", old, n))
			return fmt.Appendf(nil, "%s%x", old[:24], sum[:6])
		})
		line = bytes.ReplaceAll(line, []byte(`"vehicle":"dunnock"`), []byte(`"vehicle":"`+id+`"`))
		if copies[i], err = fleet.DecodeEntry(line); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := store.Append(context.Background(), copies); err != nil {
		b.Fatal(err)
	}
}
