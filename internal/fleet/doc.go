// Package fleet holds the program's words as types and folds a journal into
// the state of a vehicle at a moment.
//
// Facts are stored as entries and never changed: an entry says that an
// odometer was read, a part fitted, something found, something done, a note
// taken, or that an earlier entry was wrong. Everything else is worked out
// from entries each time it is asked for. Fold does the first half of that: it
// takes a vehicle sheet, the entries and a day, and returns which part is at
// each position, how far and how long it has run, what has been found on it
// and what was done to it. It draws no conclusions; package judge does.
//
// The package knows no file, no clock and no network. Dates are civil dates,
// distances inside State are kilometres of the vehicle's whole life, however
// many odometer instruments it has had.
package fleet
