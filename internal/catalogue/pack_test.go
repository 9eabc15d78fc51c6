package catalogue

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"reflect"
	"testing"
)

var update = flag.Bool("update", false, "write the packed catalogue and the golden error texts")

// fromText builds the built-in catalogue from its YAML.
func fromText(t testing.TB) (*Catalogue, []File) {
	t.Helper()
	files, err := builtInFiles()
	if err != nil {
		t.Fatal(err)
	}
	c, err := build(newCatalogue(words{}), files)
	if err != nil {
		t.Fatal(err)
	}
	return c, files
}

// pack returns the packed form of a catalogue made from files.
func pack(c *Catalogue, files []File) ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(header{digest(files), c.order, c.words}); err != nil {
		return nil, err
	}
	for _, id := range c.order {
		if err := enc.Encode(c.slots[id].written()); err != nil {
			return nil, err
		}
	}
	return out.Bytes(), nil
}

// TestPackIsCurrent: the packed form beside the files says what they say.
func TestPackIsCurrent(t *testing.T) {
	c, files := fromText(t)
	want, err := pack(c, files)
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(packName, want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	got, err := data.ReadFile(packName)
	if err != nil || !bytes.Equal(got, want) {
		t.Fatalf("%s is not current: run go generate ./internal/catalogue", packName)
	}
}

// TestPackLosesNothing: what comes out of the packed form is what the YAML
// says, kind by kind.
func TestPackLosesNothing(t *testing.T) {
	c, files := fromText(t)
	packed, err := pack(c, files)
	if err != nil {
		t.Fatal(err)
	}
	got := unpack(packed, digest(files))
	if got == nil {
		t.Fatal("the packed form is not taken for what it is")
	}
	if !reflect.DeepEqual(got.words, c.words) || !reflect.DeepEqual(got.order, c.order) {
		t.Error("words or order differ")
	}
	for _, id := range c.order {
		// Emptiness has two forms in Go; written out both are the same.
		a, errA := pack(only(c, id), nil)
		b, errB := pack(only(got, id), nil)
		if errA != nil || errB != nil || !bytes.Equal(a, b) {
			t.Errorf("%s differs", id)
		}
	}
}

// only returns a catalogue of one kind, whole.
func only(c *Catalogue, id string) *Catalogue {
	out := newCatalogue(words{})
	out.put(id, func() *Kind { return c.Kind(id) })
	return out
}

func TestPackOfOtherFilesIsRefused(t *testing.T) {
	c, files := fromText(t)
	packed, err := pack(c, files)
	if err != nil {
		t.Fatal(err)
	}
	files[0].Source = append(bytes.Clone(files[0].Source), '\n')
	for name, broken := range map[string][]byte{"empty": {}, "cut": packed[:len(packed)/2], "other files": packed,
		"no JSON": []byte("{")} {
		if unpack(broken, digest(files)) != nil {
			t.Errorf("%s: taken for current", name)
		}
	}
}

// BenchmarkLoad loads the built-in catalogue as a process does at its start.
func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, err := loadBuiltIn(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLoadAllKinds also decodes every kind, as a page of all kinds does.
func BenchmarkLoadAllKinds(b *testing.B) {
	for b.Loop() {
		c, err := loadBuiltIn()
		if err != nil {
			b.Fatal(err)
		}
		c.Kinds()
	}
}

// BenchmarkLoadFromText is the reference: reading the YAML each time.
func BenchmarkLoadFromText(b *testing.B) {
	for b.Loop() {
		c, _ := fromText(b)
		c.Kinds()
	}
}
