// Package surface reads cracks off photographs: pixels in, numbers out. In the end it is to measure ribbed belts; today
// it finds dark lines on a lighter ground and says where they run and how long, wide and dark they are.
//
// # Use
//
//	Curvature  second derivatives of a picture at one scale, and their eigenvalues
//	DarkLines  how much each pixel looks like the middle of a dark line, over several scales
//	Cracks     lines as marks: path, length, width, contrast
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
// Grain, stones and noise answer too. So the second derivative is taken across each of sixteen directions, limited
// to 3.5 standard deviations of what it is in the neighbourhood (and a fiftieth of what is more), and summed along
// the direction with Gaussian weights; a quantile of those sums, by tiles of 48 px together with the whole picture,
// is what the grain gives, and over it the strongest direction and scale of a pixel is its evidence. A grain finer
// than the picture's steps of light is taken for one of those steps.
//
// Crests of the evidence across its direction are kept (non-maximum suppression) and followed from the strongest on
// as long as there are others above a lower limit (hysteresis; Canny 1986), across short gaps and round no sharp
// corner; paths that meet at their ends are one, and one within the width of a longer one is left out. A mark must
// be long enough, and its evidence above the lower limit, summed along it, large enough: a faint one must be longer.
// Its ends are where it is half as deep as further in. Its places are then moved across it to the top of the second
// derivative itself, by a parabola. Its mean section gives width and depth: the width is the area missing below its
// sides over the depth. What is not lighter on both sides is an edge, and is left out.
//
// # Limits
//
//   - No ribs, no outline, no scale: everything is in px. No counts per length, no judgement, no uncertainty. It knows
//     nothing of belts, and no page or command uses it yet.
//   - The blur of the lens and between pixels counts into the width: below 2 px it says little but that, while width
//     times contrast holds (to a fifth, TestMeasures). Width, depth and contrast are those of the whole mark.
//   - The usual settings are for lines of 1 to 6 px, chosen on rendered textures alone. Wider ones want greater
//     scales, or a smaller picture.
//   - A groove, a seam, a hair, a shadow's rim of its own or a painted line is a dark line too.
//   - Where lines meet, one goes on and the others end at it, by which is stronger: the number of marks is not one of
//     cracks.
//   - Rough ground makes marks: on road photographs about a quarter of what is marked is marked in no mask
//     (TestRoadCracks, docs/status.md).
//   - A search takes one processor about 2.6 s a million pixels (30 November 2026, a busy machine) and 105 bytes a
//     pixel.
//
// # Sources
//
// C. Steger, An unbiased detector of curvilinear structures, IEEE PAMI 20, 1998. A. F. Frangi, W. J. Niessen, K. L.
// Vincken, M. A. Viergever, Multiscale vessel enhancement filtering, MICCAI 1998. T. Lindeberg, Edge detection and
// ridge detection with automatic scale selection, IJCV 30, 1998. J. Canny, A computational approach to edge detection,
// IEEE PAMI 8, 1986. F. R. Hampel, The influence curve and its role in robust estimation, JASA 69, 1974. All from
// memory. Derivatives are checked against scipy.ndimage, eigenvalues against numpy.linalg.
package surface
