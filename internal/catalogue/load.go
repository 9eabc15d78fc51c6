package catalogue

import (
	"embed"
	"errors"
	"slices"
	"sync"

	"undertray.example/undertray/internal/yamltree"
)

//go:embed data
var data embed.FS

// File is one of the owner's own catalogue files.
type File struct {
	Name   string // as it is to be named in errors
	Source []byte
}

// builtIn loads the built-in catalogue once.
var builtIn = sync.OnceValues(loadBuiltIn)

// Load returns the built-in catalogue. It is read once for the whole process.
// An error is a mistake in the built-in files, and a test would have failed.
func Load() (*Catalogue, error) { return builtIn() }

func loadBuiltIn() (*Catalogue, error) {
	files, err := builtInFiles()
	if err != nil {
		return nil, err
	}
	if packed, err := data.ReadFile(packName); err == nil {
		if c := unpack(packed, digest(files)); c != nil {
			return c, nil
		}
	}
	return build(newCatalogue(words{}), files)
}

// builtInFiles returns the built-in files in a fixed order: by name.
func builtInFiles() ([]File, error) {
	entries, err := data.ReadDir("data")
	if err != nil {
		return nil, err
	}
	var files []File
	for _, e := range entries {
		if name := "data/" + e.Name(); name != packName {
			src, err := data.ReadFile(name)
			if err != nil {
				return nil, err
			}
			files = append(files, File{e.Name(), src})
		}
	}
	return files, nil
}

// LoadWith returns the built-in catalogue with the owner's own files merged
// into it, in the order given. The error joins a *fleet.Error of kind Invalid
// for every mistake in them, each with file, line and column.
func LoadWith(files ...File) (*Catalogue, error) {
	base, err := Load()
	if err != nil || len(files) == 0 {
		return base, err
	}
	return build(base, files)
}

// build merges files into a copy of base and checks what they say.
func build(base *Catalogue, files []File) (*Catalogue, error) {
	c := newCatalogue(base.words.clone())
	for _, id := range base.order {
		c.put(id, base.slots[id].written)
	}
	docs := make([]*document, len(files))
	for i, f := range files {
		docs[i] = read(f.Name, f.Source)
		c.words.add(&docs[i].body)
		for j := range docs[i].body.Kinds {
			c.addKind(&docs[i].body.Kinds[j])
		}
	}
	for _, d := range docs {
		newValidator(c, d).all()
	}
	if err := problemsOf(docs); err != nil {
		return nil, err
	}
	return c, nil
}

// addKind adds a kind as written, merged into one of the same id.
func (c *Catalogue) addKind(k *Kind) {
	if !isID(k.ID) {
		return // the validator says so
	}
	old, ok := c.slots[k.ID]
	if !ok {
		c.put(k.ID, func() *Kind { return k })
		return
	}
	c.put(k.ID, func() *Kind {
		merged := merge(*old.written(), *k)
		return &merged
	})
}

func (w words) clone() words {
	w.Sources, w.Systems, w.Symptoms = slices.Clone(w.Sources), slices.Clone(w.Systems), slices.Clone(w.Symptoms)
	w.Cautions, w.Signs, w.Undone = slices.Clone(w.Cautions), slices.Clone(w.Signs), slices.Clone(w.Undone)
	return w
}

// add takes in the words of a file; an entry with a known id replaces the old.
func (w *words) add(b *body) {
	w.Sources = addWords(w.Sources, b.Sources)
	w.Systems = addWords(w.Systems, b.Systems)
	w.Symptoms = addWords(w.Symptoms, b.Symptoms)
	w.Cautions = addWords(w.Cautions, b.Cautions)
	w.Signs = addWords(w.Signs, b.Signs)
	w.Undone = addWords(w.Undone, b.Undone)
	if b.Lives != nil {
		w.Lives = *b.Lives
	}
	replaceText(&w.HighVoltage, b.HighVoltage)
	if b.Severe != nil {
		w.Severe = *b.Severe
	}
	w.addLooks(b.Looks)
	if b.Written != nil {
		w.Written = *b.Written
	}
	if len(b.Precedence) > 0 {
		w.Precedence = b.Precedence
	}
}

// addWords adds words to a list; one with a known id replaces the old.
func addWords[W word](old, more []W) []W {
	ids := wordIDs(old)
	for _, m := range more {
		id, _ := m.named()
		if i := slices.Index(ids, id); i >= 0 {
			old[i] = m
			continue
		}
		old = append(old, m)
	}
	return old
}

// problemsOf joins the problems of all files, each file's in order of place.
func problemsOf(docs []*document) error {
	var errs []error
	for _, d := range docs {
		errs = append(errs, yamltree.Joined(d.name, d.Problems()))
	}
	return errors.Join(errs...)
}
