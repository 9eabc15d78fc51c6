// Package yamltree reads YAML files as trees in which every value knows its
// place, so that a message can point at the line a person has to look at. It
// is the one door to the YAML library: catalogue, vehicle sheets, round sheets
// and a yard's settings are all read through it.
//
// [Parse] gives the trees of a file; [Pairs], [Items] and [Text] take them
// apart. A scalar keeps its text as it was typed: a part number loses no zero,
// a quantity keeps its unit. A [Reader] turns a tree into Go values by their
// tags and tells every mistake with its place; [Read] does so for files of
// which nothing more is asked.
package yamltree

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"go.yaml.in/yaml/v4"

	"undertray.example/undertray/internal/message"
)

// Node is a value of a YAML file.
type Node = yaml.Node

// Place is a line and a column, both from 1.
type Place struct{ Line, Col int }

// Fault says where a file stops being YAML, and why.
type Fault struct {
	Place
	Msg message.Text
}

func (f *Fault) Error() string { return fmt.Sprintf("line %d, column %d: %s", f.Line, f.Col, f.Msg) }

// Parse returns the tree of each document of a file, those that hold nothing
// left out. The error is a *Fault whose place lies in the file.
func Parse(src []byte) ([]*Node, error) {
	loader, err := yaml.NewLoader(bytes.NewReader(src))
	if err != nil {
		return nil, faultOf(err, src)
	}
	var out []*Node
	for {
		var doc yaml.Node
		err := loader.Load(&doc)
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, faultOf(err, src)
		}
		if len(doc.Content) > 0 && !Empty(doc.Content[0]) {
			out = append(out, doc.Content[0])
		}
	}
}

// faultOf puts the library's complaint about a file into one sentence with its
// place. What is missing at the end is missed behind the last line.
func faultOf(err error, src []byte) *Fault {
	var e *yaml.LoadError
	if !errors.As(err, &e) {
		return &Fault{Place{1, 1}, message.Is(err)}
	}
	f := &Fault{Place{max(1, e.Mark.Line), max(1, e.Mark.Column)}, message.Name(e.Message)}
	if e.Stage == yaml.ComposerStage {
		f.Msg = "an alias (*) stands here for something that has no such name: write the value itself"
	}
	text := bytes.TrimRight(src, " \t\r\n")
	if last := 1 + bytes.Count(text, []byte("\n")); f.Line > last {
		f.Place = Place{last, len(text) - bytes.LastIndexByte(text, '\n')}
	}
	if c := e.ContextMark; e.ContextMsg != "" && c.Line > 0 && c.Line < f.Line {
		f.Msg = message.Of("%s (%s that begins in line %d)", f.Msg, e.ContextMsg, c.Line)
	}
	return f
}

// Pair is a key of a mapping and its value.
type Pair struct{ Key, Value *Node }

// Pairs returns the pairs of a mapping in their order; ok is false if the node
// is none.
func Pairs(n *Node) (pairs []Pair, ok bool) {
	if n.Kind != yaml.MappingNode {
		return nil, false
	}
	pairs = make([]Pair, len(n.Content)/2)
	for i := range pairs {
		pairs[i] = Pair{n.Content[2*i], n.Content[2*i+1]}
	}
	return pairs, true
}

// Items returns the items of a list; ok is false if the node is none.
func Items(n *Node) (items []*Node, ok bool) {
	return n.Content, n.Kind == yaml.SequenceNode
}

// Text returns the text of a scalar as it was typed; ok is false for a mapping,
// a list and nothing at all.
func Text(n *Node) (text string, ok bool) {
	return n.Value, n.Kind == yaml.ScalarNode && !Empty(n)
}

// Empty reports whether nothing stands where a value could: a key with nothing
// behind it, or null.
func Empty(n *Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }

// Indirect reports whether the node is an anchor, an alias or has a tag of its
// own, so that it does not simply say what it is.
func Indirect(n *Node) bool {
	return n.Kind == yaml.AliasNode || n.Anchor != "" || n.Style&yaml.TaggedStyle != 0
}

// PlaceOf returns where a node begins: a block mapping at its first key, which
// is where a person looks for it.
func PlaceOf(n *Node) Place { return Place{max(1, n.Line), max(1, n.Column)} }

// Describe says what a node is, for a message that expected something else.
func Describe(n *Node) message.Text {
	switch n.Kind {
	case yaml.MappingNode:
		return "a group of keys"
	case yaml.SequenceNode:
		return "a list"
	}
	return "a single value"
}

// Join extends the path of a value by a key or an index: kinds.3.checks.
func Join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// LastKey returns the last part of a path that is not an index, or "".
func LastKey(path string) string {
	for path != "" {
		i := strings.LastIndexByte(path, '.')
		if key := path[i+1:]; key != "" && (key[0] < '0' || key[0] > '9') {
			return key
		}
		path = path[:max(i, 0)]
	}
	return ""
}

// Document returns the tree of a file that holds one document, or nil for one
// that holds nothing. The error is a *Fault that says what to look at.
func Document(src []byte) (*Node, error) {
	docs, err := Parse(src)
	var f *Fault
	switch {
	case errors.As(err, &f):
		return nil, &Fault{f.Place, message.Of("the file cannot be read as YAML from here on: %s; look at indentation "+
			"(blanks, never tabs), colons, brackets and quotation marks here and in the line above", f.Msg)}
	case err != nil || len(docs) == 0:
		return nil, err
	case len(docs) > 1:
		return docs[0], &Fault{PlaceOf(docs[1]), "a second document begins here: put it in a file of its own"}
	}
	return docs[0], nil
}

// Read reads a file's one document into a Go value with yaml tags; a file that
// holds nothing leaves the value as it is. The error joins every mistake, each
// with its line.
func Read(src []byte, into any) error {
	n, err := Document(src)
	if n == nil || err != nil {
		return err
	}
	r := NewReader(Options{})
	r.Read(n, into)
	var faults []error
	for _, p := range r.Problems() {
		faults = append(faults, &Fault{p.Place, p.Msg})
	}
	return errors.Join(faults...)
}

// Write returns a value in YAML, lists and mappings indented by two blanks.
func Write(value any) ([]byte, error) { return yaml.Dump(value) }
