// Package drawn draws photographs of ribbed belts whose every measure is known, for the tests of packages that read
// such pictures. No production package may import it (TestDrawnIsForTests in internal/arch), and it imports nothing
// of this project: what draws and what reads share no code.
//
// # Use
//
//	Any, Clean    a scene of a belt, drawn by lot from a seed: cracked, or sound with what could be taken for cracks
//	Scene.Render  its photograph, with the truth about it
//	Odd           what is no ribbed belt
//	AnyProfile    a ribbed belt seen along its ribs, new or worn, and its Render
//	AnyHose       a hose seen from the side, sound or not, and its Render
//
// All fields of a Scene may be changed before it is rendered; the truth follows.
//
// # Units and coordinates
//
// mm on the belt: across from its first edge, along from the middle of the picture, below from the surface that
// touches the ribs' tips. px in the picture, from the middle of its upper left pixel, x to the right and y down.
// Angles in radians. Light is linear from 0 to 1 until the end, when the sRGB curve (IEC 61966-2-1) turns it into a
// picture's values. The contrast of a crack is the share of the belt's light that is gone in its middle, before any
// blur; in the values of the picture it is less than half of that where it is small.
//
// # Method
//
// A ribbed section runs along a straight line, or over an arc with straight ends. A pinhole camera looks at it:
// each pixel is seen by four rays, each of which meets the section where it first does. Light comes from a lamp at
// a finite distance and from all around; ribs shade each other, and what is rough shines by the distribution of
// Trowbridge and Reitz (1975, from memory). Texture, dirt and cracks lie on the unrolled surface. Then come blur,
// motion, the noise of counted light, eight bits and JPEG.
//
// # Limits
//
//   - One blur for the whole picture: what is nearer or further off is as sharp. No lens bends lines, no camera
//     sharpens or smooths, and there is no colour.
//   - A crack has no depth: it takes light away, and one lip of it may be lit. Pieces that are gone are rough and dark,
//     but as high as the rib was.
//   - Rubber, dirt and light are meant to be within what a phone shows in lamp light; no photograph was measured for
//     it.
//   - A profile and a hose are seen without perspective, a profile within 3 degrees of its ribs' direction.
package drawn
