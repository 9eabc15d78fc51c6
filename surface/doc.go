// Package surface reads cracks off photographs: pixels in, numbers out. In the end it is to measure ribbed belts; today
// it says of each pixel how much it looks like the middle of a dark line on a lighter ground.
//
// # Use
//
//	Curvature  second derivatives of a picture at one scale, and their eigenvalues
//	DarkLines  how much each pixel looks like the middle of a dark line, over several scales
//
// # Units
//
// Light from 0 (black) to 1 (white), taken as it stands in the picture: a contrast is that of its values, not of the
// thing. px from the middle of the upper left pixel, x to the right and y down; angles in radians from x towards y.
// Evidence is in standard deviations of the grain.
//
// # Method
//
// A picture is smoothed with a Gaussian of the scale σ and derived twice, by separable convolutions. Across a dark line
// the second derivative is positive: the greater eigenvalue of the matrix of second derivatives, whose eigenvector
// points across the line (Steger 1998); the lesser one is near 0 on a line and as great in a spot (Frangi et al. 1998).
// Multiplied by σ² scales compare, and that of a line of width w is σ = w/2 (Lindeberg 1998).
//
// # Limits
//
//   - No ribs, no outline, no scale: everything is in px. No counts per length, no judgement, no uncertainty. It knows
//     nothing of belts, and no page or command uses it yet.
//
// # Sources
//
// C. Steger, An unbiased detector of curvilinear structures, IEEE PAMI 20, 1998. A. F. Frangi, W. J. Niessen, K. L.
// Vincken, M. A. Viergever, Multiscale vessel enhancement filtering, MICCAI 1998. T. Lindeberg, Edge detection and
// ridge detection with automatic scale selection, IJCV 30, 1998. J. Canny, A computational approach to edge detection,
// IEEE PAMI 8, 1986. F. R. Hampel, The influence curve and its role in robust estimation, JASA 69, 1974. All from
// memory. Derivatives are checked against scipy.ndimage, eigenvalues against numpy.linalg.
package surface
