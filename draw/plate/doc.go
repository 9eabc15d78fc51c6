// Package plate makes line drawings of what one answer to "what does it look
// like" looks like: a ribbed belt cracked down to its cord, a hose that weeps
// at its clip. A plate is asked for in short form, the name of a shape and its
// parameters, so that who writes the answers draws nothing:
//
//	p, err := plate.Spec("ribs cracks=3 reach=cord").Draw(plate.Plain)
//	p.SVG("ribs with cracks down to the cord")  // stands alone, black on white
//	p.Symbol("p1")                              // for <use> in a page
//	p.Marks                                     // its strokes, for another device
//
// It takes text and returns text, reads no file and knows no clock, and makes
// the same plate from the same spec each time.
//
// # The hand
//
// All plates are of one hand: a frame of 160 by 96, legible at 120 px wide. The
// thing itself is drawn in ink 1.6 wide on paper, its inner lines in the soft
// tone 0.9, texture 0.7; rubber and other soft stuff is washed. What is wrong is
// drawn in the accent 2.2 wide, and filled or hatched as well, so that it is told
// by shape on a grey printer too; a sound plate has no accent. Movement is an
// arrow, what a part should be or was is a broken line, a figure that decides
// stands in the drawing with its unit. Letters are 13 high, nothing smaller.
//
// # Short form
//
// "SHAPE name=value ...": values are words, numbers or figures (a number and
// its unit, 3.2mm); a name alone is name=yes. Every shape takes note=, words set
// in the corner that it leaves free, with _ for a space. An unknown shape, name or
// value is one error that says what is known. [Shapes] lists all of them.
//
// # To add a shape
//
// Write a function that draws it on a [sketch] and add it to a table of shapes:
//
//	var hoseShapes = []shape{{
//		name: "hose", says: "a piece of hose with its end on a stub", corner: topRight,
//		params: []param{word("clip", "band", "spring", "none"), count("cracks", 0, 9), yesNo("bulge")},
//		draw: func(s *sketch, a args) { ... a.is("clip", "band") ... a.n("cracks") ... a.on("bulge") },
//	}}
//
// and the table to shapeTables in shape.go; the first word of a word parameter
// is what stands for it when it is left out. Draw the sound thing first, then
// what is wrong, with the styles in style.go and the parts in parts.go (drop,
// film, jag, crumbs, hairs, glint, clicks, arrow, sway, turn, finger, figure).
// Stay inside the frame, strokes included, and leave the corner that you name
// free for notes, about 60 by 16. TestPlates tries every value of every
// parameter and keeps its hash; TestContactSheet keeps each shape's sound plate.
// Look at them, 120 px wide:
//
//	go test ./draw/plate -run TestPlates -sheet FILE.html -update
//	go test ./internal/catalogue -run TestPlateSheets -sheet FILE.html
//
// The second writes every plate of the catalogue beside its answer.
package plate
