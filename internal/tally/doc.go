// Package tally keeps what is counted or measured on photographs of parts: the cracks in the ribs of a belt, what is
// worn off them, how much thicker a hose is than its own sound part.
//
// # Question answered
//
// How many are there, who says so, and can it be counted again?
//
// # Method
//
// Package surface reads the picture and package onbelt counts what hands leave standing. What is kept is three entries
// of one batch: the finding with how it was counted ([fleet.Counted]), the picture, and a mark on it
// ([fleet.BeltMarks]) that holds the ribs as they were found and each crack, struck out ones too, in the belt's own
// millimetres, or ([fleet.OutlineMarks]) an outline and each thing measured on it. So a count is opened again from the
// journal alone, on any device, and put right or counted by a later version of the method; which checks a photograph
// can answer, and how far apart the ribs of which section are, the catalogue says.
package tally
