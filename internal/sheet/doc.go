// Package sheet reads vehicle sheets: the YAML file in which an owner writes
// down one vehicle's positions, openings, belt runs and handbook limits.
//
// # Reading
//
// Parse and Read take a file's bytes and its name, for messages only; the
// package opens no file. A sheet is read strictly: a key, kind, material,
// check or reference that does not exist, a figure without its unit or with a
// unit of the wrong sort, an id used twice, an opening that needs itself in a
// circle are errors. All of them are found in one reading and reported
// together, each with file, line and column, what is wrong and what would be
// right; where a word is probably misspelt the nearest known one is named.
// What can be judged only with the catalogue (kinds, materials, checks) comes
// in through Knowledge; without it those words are taken as written.
//
// Things that are odd but may be true are warnings, kept apart from errors: a
// check digit that does not fit, a model year far from the first use, a
// position that nothing opens, a raised vehicle without a caution.
//
// Syntax is YAML without anchors, aliases, tags and merge keys, one vehicle
// in one document, at most MaxSize bytes.
//
// # Belt runs
//
// A run lists the pulleys of one belt in order of travel, in any unit of
// length, with what is known of loads, tensioner, speeds and the belt's mass.
// DriveRun puts it into the form of package drive; BeltOf finds the belt from
// what is printed on it. What cannot be worked out yet, or not as written, is a
// warning at its line with the engine's reason, never an error: a half-measured
// run must not block a sheet. ReadRun reads a run from a file of its own.
//
// # Schema
//
// Schema returns a JSON Schema (draft 2020-12) of the same format, for editors
// that check while one types. It knows shapes and words, not references
// between parts of the sheet: Read is the judge.
//
// Package ask writes the sheet of a new vehicle from answers to plain questions.
//
// # VIN
//
// Decode reads a vehicle identification number after 49 CFR 565.
// The check digit is compulsory in North America only, so a wrong one warns.
package sheet
