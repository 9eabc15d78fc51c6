// Package survey places the pulleys of a belt run from measures: by tape and calliper, or from a photograph on which
// their rims are marked. It answers: where are the centres, how large are the pulleys, how long a belt goes round
// them, how sure is all of that, which measure disagrees with the others, and which one to take next.
//
// # Use
//
// Give a [drive.Run] that says which pulleys there are, in the order the belt travels, on which side of the belt each
// runs, and how diameters are meant (over the grooves, plain).
//
//	Tape        measures and a rough sketch
//	Photograph  touches on rims, and a measure that gives the scale
//
// [Result].Run goes to [drive.New]; [Result].BandMM is the range of the effective length; [Result].After carries the
// uncertainty through a change (a pulley left out, a diameter altered); [Result].Halving is the measure to take next.
//
// # Units and signs
//
// mm; px from a picture's upper left corner, y down. Runs are drawn as seen from the front, x to the right and y up.
// The first pulley is the origin and the second lies in the direction it has in the sketch or in the picture: distances
// say nothing of place and turn, so these are fixed.
//
// # Method
//
// One adjustment by weighted nonlinear least squares (Levenberg 1944, Marquardt 1963). Unknowns are diameters and
// centres, in a photograph the camera too: its attitude, where it aims and from how far, focal length, the middle of
// the picture, one term of the lens, and how far each rim stands out of the plane. Each measure, touch and prior
// belief is one residual over its standard error. The covariance is the inverse of the normal matrix; what the measures
// leave open shows as singular values of 0, whose pulleys are named. The length is that of [drive.Solver], and its
// variance follows from its gradient. A further measure lowers it as one more row of least squares would: those with
// the greatest gain are proposed.
//
// A photograph begins from the ellipses of rims with five touches or more (Fitzgibbon, Pilu and Fisher 1999; Halir and
// Flusser 1998). The cone of sight through each has two families of circular sections; all rims lie in one plane, so
// the direction they share, over some focal lengths, is the plane's: Chen, Wu and Wada (2004). The picture laid into
// that plane is rectified, with circles for ellipses; then all is adjusted together. Where the picture itself is given,
// edges are looked for across each rim near its touches, one circle is agreed on by random sampling (Fischler and
// Bolles 1981), and edges that are off count less (Huber 1964) or not at all. A rim on which too few edges agree, or
// whose touches contradict them, keeps its touches.
//
// # Limits
//
//   - A sketch that is wrong can lead to another layout. Those in which one pulley lies on the other side of a line are
//     looked for and told ([Result].Mirrors), others are not; that the whole run may be its mirror image is for the
//     sketch to settle.
//   - Standard errors are taken as given: [Result].ChiSquare far above [Result].Freedom says that they, or a measure,
//     are wrong. Slips show in [Fit].Odd only where other measures check.
//   - One picture cannot tell a rim that stands nearer from one that is larger: how far rims stand out of the plane
//     stays a belief, and from near by it is most of the uncertainty. Stand two metres off and make the run fill the
//     picture.
//   - The middle of the picture is taken for the camera's axis, within a little: cut no picture before it is marked.
//     One term of the lens is for ordinary lenses, not for the widest.
//   - An edge that runs beside the rim all the way, such as a chamfer, may be taken for it.
//   - The effective length is as the pulleys stand; a tensioner's stops are not known here.
//   - What is believed of telephones' cameras and the usual errors of tapes are from memory.
//
// Measured with made-up pictures only; see TestPhotographs and docs/your-own-run.md. Mark and measure with the engine
// off and the key out: a fan may start by itself.
//
// # Sources
//
// Q. Chen, H. Wu, T. Wada, Camera calibration with two arbitrary coplanar circles, ECCV 2004, as reported by S. Cai and
// Z. Wu, Camera calibration with coplanar conics, IPSJ Transactions on Computer Vision and Applications 10:14, 2018
// (seen). A. Fitzgibbon, Simultaneous linear estimation of multiple view geometry and lens distortion, CVPR 2001
// (division model). W. Baarda, A testing procedure for use in geodetic networks, 1968. The others by author and year
// from memory. Linear algebra and differences are gonum's. Least squares are checked against
// scipy.optimize.least_squares.
package survey
