// Package surface reads photographs of what wears: pixels in, numbers out. It finds ribbed belts, lays millimetres over
// them and counts their cracks; and dark lines on any lighter ground, with how long, wide and dark they are.
//
// # Use
//
//	ReadBelt     a ribbed belt: its ribs, px per mm with bands, tilt, what is in the way of reading it, cracks
//	Frame        places on a belt, mm, as places in its picture, px, and back; a Strip is the belt squared up
//	ReadProfile  a picture along a belt's ribs: height, width, flanks of each, and what is worn off a new rib's
//	ReadGauge    the same with a wear gauge in the grooves: by how much its bars stand above the ribs' tips
//	ReadHose     a hose seen from the side: its diameter along against that of its own sound part
//	Curvature    second derivatives of a picture at one scale, and their eigenvalues
//	DarkLines    how much each pixel looks like the middle of a dark line, over several scales
//	Cracks       lines as marks: path, length, width, contrast
//
// # Units
//
// Light from 0 (black) to 1 (white), taken as it stands in the picture: a contrast is that of its values, not of the
// thing. px from the middle of the upper left pixel, x to the right and y down; angles in radians from x towards y.
// Evidence is in standard deviations of the grain.
//
// # Method
//
// A picture is smoothed with a Gaussian of the scale σ and derived twice, by separable convolutions. Across a dark
// line the second derivative is positive: the greater eigenvalue of the matrix of second derivatives, whose
// eigenvector points across the line (Steger 1998); the lesser one is near 0 on a line and as great in a spot (Frangi
// et al. 1998). Multiplied by σ² scales compare, and that of a line of width w is σ = w/2 (Lindeberg 1998).
//
// Grain, stones and noise answer too. So the second derivative, limited to 3 standard deviations of what it is in the
// neighbourhood (and a fiftieth of what is more), is summed along each of sixteen directions whose slopes are
// quarters, by doubling sums; a quantile of those sums, by tiles of 48 px together with the whole picture, is what
// the grain gives, and over it the strongest direction and scale of a pixel is its evidence. Scales of 2 px and more
// are looked for at half the size, and so on. A grain finer than the picture's steps of light is taken for one of
// those steps.
//
// Crests of the evidence across its direction are kept (non-maximum suppression) and followed from the strongest on
// as long as there are others above a lower limit (hysteresis; Canny 1986), across short gaps and round no sharp
// corner; paths that meet at their ends are one, and one within the width of a longer one is left out. A path is cut
// where the picture has no line for longer than a gap, and where its evidence above a limit is no longer the greatest
// in sum. A mark must be long enough. Its ends are where it is half as deep as further in. Its places are then moved
// across it to the top of the second derivative itself, by a parabola. Its mean section gives width and depth: the
// width is the area missing below its sides over the depth. What is not lighter on both sides is an edge, and is left
// out.
//
// The chance that a mark is a crack is a logistic regression on rendered rough ground: on how long, strong, straight
// and even in depth it is, on whether one that is likely itself goes on at its ends, and on its contrast beside that
// of the other likely ones. Usual keeps what makes nine tenths of the marked length right on such ground.
//
// Cracks of a ribbed belt are looked for rib by rib on the belt squared up. A rib's light is divided, place by
// place, by what it usually is along the rib; dark lines are found along it by differences of two Gaussians (Marr
// and Hildreth 1980) of four widths, summed over the tip along nine directions, and over tip and flanks along
// courses that bend at the tip's ends, as cracks do where the belt is seen aslant. The noise of such sums is taken
// from sums whose parts count with changing sign. A line's way is then followed over the tip and down both flanks
// (Viterbi 1967); its evenness, width, what is lighter beside it, how it goes on, whether others meet it on the
// next rib and are like it, and what a small convolutional net says of the place (LeCun and others 1998; fit/eyes.py
// fits it), make its chance, by a logistic regression on a few bent sums, fitted on drawn belts. A
// belt with no line of 0.95 is sound. What lines of less than 0.5 are expected to hide goes into the band of the
// count (Frame.Faint).
//
// Outlines (ReadProfile, ReadHose) are found coarsely in the shrunk picture, the one by ribs in a row at one pitch on
// the border of what is darker or lighter than a level, the other by following two edges; then along their normals in
// the whole picture to parts of a px: where light, not value, is half way, or changes most.
//
// # Limits
//
//   - Marks know nothing of belts: everything of theirs is in px, without judgement or uncertainty. How belts are found
//     and how far their millimetres hold stands in docs/surface.md.
//   - A profile must be looked at along its ribs: each degree off it shows 0.017 mm of flank for each mm of rib beyond,
//     which counts as rib. What a new rib measures differs from maker to maker.
//   - A hose's flaw that covers half of what is seen is not found; one that goes on beyond the picture is told as far
//     as it is seen. Bands are those of drawn pictures: creases, dirt and shadows at the edge of a real one will be
//     worse.
//   - The blur of the lens and between pixels counts into the width: below 2 px it says little but that, while width
//     times contrast holds (to a fifth, TestMeasures). Width, depth and contrast are those of the whole mark.
//   - The usual settings are for lines of 1 to 6 px, chosen on rendered ground alone. Wider ones want greater
//     scales, or a smaller picture.
//   - A groove, a seam, a hair, a shadow's rim of its own or a painted line is a dark line too.
//   - Where lines meet, one goes on and the others end at it, by which is stronger: the number of marks is not one of
//     cracks.
//   - Rough ground makes marks: on road photographs about a quarter of what is marked is marked in no mask
//     (TestRoadCracks, docs/status.md). Chances hold on rendered ground (TestRoughGround) and are too high there.
//   - A search takes about 0.21 s of processor time a million pixels (30 November 2026, a busy machine;
//     BenchmarkCracks) and 40 bytes a pixel beside the picture.
//
// # Sources
//
// D. Marr, E. Hildreth, Theory of edge detection, Proceedings of the Royal Society B 207, 1980. A. J. Viterbi, IEEE
// Transactions on Information Theory 13, 1967. Y. LeCun, L. Bottou, Y. Bengio, P. Haffner, Gradient-based learning
// applied to document recognition, Proceedings of the IEEE 86, 1998. C. Steger, An unbiased detector of curvilinear
// structures, IEEE PAMI 20, 1998. A. F. Frangi, W. J. Niessen, K. L. Vincken, M. A. Viergever, Multiscale vessel
// enhancement filtering, MICCAI 1998. T. Lindeberg, Edge detection and ridge detection with automatic scale
// selection, IJCV 30, 1998. J. Canny, A computational approach to edge detection, IEEE PAMI 8, 1986. M. L. Brady, A
// fast discrete approximation algorithm for the Radon transform, SIAM Journal on Computing 27, 1998, for sums by
// doubling. F. R. Hampel, The influence curve and its role in robust estimation, JASA 69, 1974. All from memory.
// Derivatives are checked against scipy.ndimage, eigenvalues against numpy.linalg.
package surface
