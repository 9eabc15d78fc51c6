package sheet

import (
	_ "embed"
)

//go:embed schema.json
var schemaText string

// Schema returns the JSON Schema (draft 2020-12) of a vehicle sheet, for
// editors and other programs. It describes shapes and fixed words; kinds,
// checks and references are checked by Read alone. A test keeps its keys the
// same as those of the fleet types.
func Schema() []byte { return []byte(schemaText) }
