// Package draw makes line drawings as SVG: a vehicle's bay with numbered
// positions, a belt's way round its pulleys, where a part stands, survival curves,
// spectra, and the months ahead with their visits.
//
// It answers: where is it, which way round does it go, how is it getting on,
// and when is its turn. It takes plain structs and returns text; it reads no
// file, knows no clock and makes the same figure from the same data each time.
//
//	fig, err := draw.BayPlan(draw.Bay{Head: draw.Head{ID: "bay", Title: "Heron from above"}, View: draw.Above, ...})
//	fig.SVG      // set into the page as it is
//	fig.Caption  // in words, plain text: escape it
//	fig.Legend   // which number is which position
//
// # In a page
//
// Figures carry classes and presentation attributes, never style, so a strict
// content security policy holds. Without a style sheet they come out black on
// white. Serve [ThemeCSS] and [ClassCSS] as a file to have them follow day,
// night, print and forced colours. Each figure has a title and a description;
// one with links is a group of links, any other a single picture. Its numbers
// are small targets, so put the legend beside it with links of full size.
//
// Width is a layout width, not a scale: letters keep their size, the drawing
// spreads. 360 suits a phone and a print 80 mm wide, 560 to 680 a desk. Numbers
// on a bay plan are the same at every width.
//
// # Verdicts
//
// Each verdict has its own outline, so that none depends on colour: keep is a
// small open circle, watch a ring with a dot, put right a filled diamond, park a
// filled octagon with a bar, unseen a broken circle.
//
// # Units and limits
//
// Bay plans: x 0 to 100 from the vehicle's left to its right, y 0 at the front,
// 100 at the bulkhead, 200 at the rear end. They show a type of vehicle, not
// to scale. Belt runs: mm, y upwards, seen from the front of the engine;
// pulleys to scale, the belt thickened where it would be too fine to read.
// Lengths and wraps written on a run are those given; where none are given,
// those of the middle of the belt on pulleys of the radius drawn, which differ
// a little from lengths at the effective line. Letters are measured by an
// estimate, as no font is at hand.
//
// Input that is not finite, unknown verdicts and addresses that a browser
// could run are refused with an error that names the figure and the field.
//
// # Sources
//
// Ticks: P. S. Heckbert, "Nice numbers for graph labels", Graphics Gems (1990).
// Tangents and wraps: elementary geometry; two-pulley forms in Shigley's
// Mechanical Engineering Design, chapter 17. Colours: M. Okabe and K. Ito,
// "Color Universal Design" (2008), moved to the contrast of WCAG 2.2. Spacing
// of labels: pool adjacent violators, Barlow et al. (1972), from memory.
package draw
