// Package demo holds the made-up yard of a small bird reserve, to look around
// in and to test with. Nothing in it exists: vehicles, makes, people and
// places are invented.
//
// Each vehicle has a sheet and a story. A story is a list of facts by date in
// the words of the journal; Entries turns it into entries with ids that are
// the same every time, by way of the same checks that a person's own entries
// pass.
package demo
