package intake

import (
	_ "embed"
	"reflect"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

//go:embed round.json
var roundSchema []byte

// Schema is the JSON Schema (draft 2020-12) of a filled-in round sheet in YAML.
func Schema() []byte { return roundSchema }

// Answers are what was answered of a round at a terminal: a round sheet on which nothing is blank.
type Answers struct {
	Vehicle  string                       `yaml:"vehicle"`
	Date     civil.Date                   `yaml:"date"`
	Odometer *units.Quantity              `yaml:"odometer,omitempty"` // nil: not read
	Found    map[string]map[string]string `yaml:"found"`              // answers by position and check
}

// File is the file of answers, in YAML.
func (a Answers) File() ([]byte, error) { return yamltree.Write(a) }

// AnswersSchema is the JSON Schema (draft 2020-12) of a file of answers.
func AnswersSchema() []byte {
	t := reflect.TypeFor[Answers]()
	return yamltree.Schema(t, yamltree.SchemaOptions{Name: "answers", Title: "Answers", Tag: "yaml",
		About:    "What was answered of a round at a terminal: a round sheet on which nothing is blank.",
		Required: map[reflect.Type][]string{t: {"vehicle", "date", "found"}}})
}
