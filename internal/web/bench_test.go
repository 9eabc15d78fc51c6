package web

import (
	"context"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undertray/internal/demo"
	"undertray/internal/journal"
	"undertray/internal/yard"
)

// benchServer serves a yard's folder from its real journal.
func benchServer(b *testing.B, dir string) (*Server, *journal.SQLite) {
	b.Helper()
	store, err := journal.Open(context.Background(), yard.JournalPath(dir), journal.Options{Create: true})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	srv, err := New(Options{Dir: dir, Journal: store, Now: noon, NewID: journal.NewID})
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

// BenchmarkYardOf200 serves the yard page of 200 vehicles; the aim is 100 ms.
func BenchmarkYardOf200(b *testing.B) {
	dir := b.TempDir()
	if _, err := demo.Create(context.Background(), dir); err != nil {
		b.Fatal(err)
	}
	src, err := os.ReadFile(yard.SheetPath(dir, "dunnock"))
	if err != nil {
		b.Fatal(err)
	}
	for i := range 197 {
		id := fmt.Sprintf("dunnock%03d", i)
		text := strings.Replace(string(src), "\nvehicle: dunnock\n", "\nvehicle: "+id+"\n", 1)
		if err := os.WriteFile(filepath.Join(dir, "vehicles", id+".yaml"), []byte(text), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	srv, _ := benchServer(b, dir)
	get(b, srv, "/")
	for b.Loop() {
		get(b, srv, "/")
	}
}
