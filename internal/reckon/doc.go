// Package reckon looks back: what was forecast at each look and at the start of each
// quarter, and what happened then. Every forecast is worked out anew from the entries
// that had been recorded by its day, never with what came later; of the sheet and of
// the catalogue there is but one version, today's.
//
// A chance is given to each part in use on the first day of a quarter and after each
// day on which it was looked at, until the next of them. A part that came off without
// failing counts until that day. What the yard's other parts teach is taken as of the
// first day of the quarter. Figures and days are in the units of package ahead: chances
// from 0 to 1, distances in km.
//
// The package does no input or output and knows no clock.
package reckon
