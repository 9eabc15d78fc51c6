package catalogue

import (
	"errors"
	"reflect"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
)

// maxFile is the size beyond which a file is refused unread: the largest
// built-in file is a tenth of it.
const maxFile = 1 << 20

// document is one catalogue file as read, with the place of everything in it
// and what is wrong with it.
type document struct {
	*yamltree.Reader
	name string
	body body
}

// body is what a catalogue file may hold.
type body struct {
	Kinds       []Kind    `yaml:"kinds"`
	Sources     []Source  `yaml:"sources"`
	Systems     []System  `yaml:"systems"`
	Symptoms    []Symptom `yaml:"symptoms"`
	Cautions    []Caution `yaml:"cautions"`
	Signs       []Sign    `yaml:"signs"`
	Undone      []Undoing `yaml:"undone"`
	Severe      *Severe   `yaml:"severe"`
	HighVoltage string    `yaml:"high_voltage"`
	Lives       *Reading  `yaml:"lives"`
	Precedence  []string  `yaml:"precedence"`
	Looks       *Looks    `yaml:"looks"`
	Written     *Written  `yaml:"written"`
}

// options says how a catalogue file is spoken of. A limit stands inside its
// check here. What a kind has to say follows from all it inherits, so that no
// key has to stand.
var options = yamltree.Options{
	File: "a catalogue", Top: "a catalogue file",
	Nouns: map[reflect.Type]message.Text{
		reflect.TypeFor[fleet.Again](): "the recurrence", reflect.TypeFor[SpecFigure](): "figure",
		reflect.TypeFor[With](): "a companion", reflect.TypeFor[First](): "a first step",
		reflect.TypeFor[After]():     "a step afterwards",
		reflect.TypeFor[LookStage](): "a stage", reflect.TypeFor[LookSort](): "a sort of look",
		reflect.TypeFor[CheckLook](): "a check", reflect.TypeFor[LeadTime](): "a lead time",
	},
	Without: map[reflect.Type]string{reflect.TypeFor[fleet.Limit](): "check"},
}

// read parses a file. Problems are noted in the document, which holds what
// could be read.
func read(name string, src []byte) *document {
	d := &document{Reader: yamltree.NewReader(options), name: name}
	if len(src) > maxFile {
		d.Note("", "the file is larger than 1 MiB: split it")
		return d
	}
	root, err := yamltree.Document(src)
	var f *yamltree.Fault
	switch {
	case errors.As(err, &f):
		d.NoteAt(f.Place, fleet.Invalid, "%s", f.Msg)
	case err != nil:
		d.Note("", "%v", err)
	}
	if root != nil {
		d.Read(root, &d.body)
	}
	return d
}
