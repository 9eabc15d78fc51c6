package yard

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"

	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// Schema is the JSON Schema (draft 2020-12) of yard.yaml.
func Schema() []byte {
	return yamltree.Schema(reflect.TypeFor[Settings](), yamltree.SchemaOptions{Name: "yard", Title: "Yard", Tag: "yaml",
		About: "The settings of a yard, yard.yaml in its folder.",
		Words: map[reflect.Type][]string{reflect.TypeFor[units.System](): {units.Metric.String(),
			units.Imperial.String(), units.USCustomary.String()}}})
}

// editorLine names a file's schema to editors that know how such a line is written.
const editorLine = "# yaml-language-server: $schema="

// schemaFolder holds the schemas of a yard's files, for editors; it may be deleted.
const schemaFolder = ".schema"

// keepSchema writes a schema into a yard's folder, where it is not there as it is now.
func keepSchema(dir, name string, schema []byte) error {
	file := filepath.Join(dir, schemaFolder, name)
	if old, err := os.ReadFile(file); err == nil && bytes.Equal(old, schema) {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return Unwritable(schemaFolder, err)
	}
	return Replace(file, schema, 0o644)
}

// EditorLine keeps a schema for a file in a yard's folder, and returns the line on top of it by which editors find it.
func EditorLine(dir, name string, schema []byte) (string, error) {
	return editorLine + schemaFolder + "/" + name + "\n", keepSchema(dir, name, schema)
}

// NewSheet writes the sheet of a vehicle that has none, with a line on top by which an editor finds its schema.
func NewSheet(dir, id string, src []byte) error {
	line := editorLine + "../" + schemaFolder + "/sheet.json\n"
	if err := WriteNew(SheetPath(dir, id), append([]byte(line), src...)); err != nil {
		return err
	}
	return keepSchema(dir, "sheet.json", sheet.Schema())
}
