// Package drive works out belt runs: one belt over 2 to 20 pulleys in one plane.
//
// It answers: how does the belt lie, how long must it be, does this belt fit and
// where does the tensioner then stand, how fast and which way does every pulley
// turn, how tight is every span, which pulley slips first, what does rib wear do
// to the tensioner, are the pulleys in line, and what could be done instead. It
// knows nothing of vehicles; give it centres and diameters.
//
// # Use
//
// Describe a [Run]: pulleys in the order the belt travels, which side of the belt
// each runs on, one of them the driver, the belt, the tensioner. [New] checks it
// and returns a [Drive], which does not change and may be shared:
//
//	Drawn, LayoutAt            spans, tangent points, wraps, lengths, clearances
//	Lengths, Fit, BeltsThatFit which belts fit; arm, travel left to both stops
//	WearMoves, WearFrom        rib wear to tensioner position and back
//	Speeds                     every pulley's speed and direction, belt speed
//	Installed, Forces          tension of every span, grip, hub loads, tones
//	FirstSlip, SlipSpeed       what slips first, at which load or speed
//	Alignment                  offset and tilt at every entry, against limits
//
// Before laying anything out, a Run answers what-if questions: WithDiameter,
// WithCentre, Without and WithPulley change it, [Compare] sets two side by side,
// and Routes, LeaveOut, LeaveOneOut and Insert search for ways round that work.
// [ParseDesignation] reads what is printed on a belt.
//
// Bare formulas ([CapstanRatio], [OpenBelt], [SpanHz], [TensionFromHz], [L10],
// ...) can be used by themselves, and [Solver] lays circles out without a Run and
// without allocating.
//
// # Units and signs
//
// Lengths mm, forces N, torques N.m, power W, speeds rpm or m/s, mass kg per
// metre. Angles are degrees, anticlockwise positive, where the name ends in Deg
// or the comment says so, and radians where it ends in Rad. The picture is drawn
// x to the right, y up, as seen by someone looking at the pulleys. Turning
// directions are [Clockwise] and [Anticlockwise] in that picture. Tensioner
// positions count from where the pulley is drawn: degrees anticlockwise for an
// arm, mm along its direction for a slide.
//
// # Two lines through the belt
//
// The effective line is the one printed lengths refer to; the pitch line, where
// the cords lie, sets speed ratios. They are parallel curves b_e apart, so spans
// and wraps are the same and the two lengths differ by 2 pi b_e exactly. A pulley
// on the ribs has effective radius d_e/2 and pitch radius d_e/2 + b_e; one on the
// back has d/2 + H_b + b_e and d/2 + H_b, H_b being the depth of the cord under
// the back. For PK, b_e is 2.0 mm in ISO 9981:2020 (nominal, for speed ratio),
// but 1.6 mm is remembered from DIN 7867; [Section].LineMM is a setting and
// Speeds shows both.
//
// # Method
//
// Spans are common tangents: with k = s1 R1 - s2 R2 (s = +1 anticlockwise) a span
// is sqrt(d*d - k*k) long. A belt that lies flat closes when wraps times signs sum
// to one turn, ribs inside. The tensioner's position for a belt is found by
// Newton steps on the length, whose rate is dL = move . (direction in - direction
// out). The same rate gives the tension: T = M / (dL/dalpha). From there tension
// steps up by torque over pitch radius at each driven pulley. The centrifugal
// part m v^2 presses on nothing: a sprung arm makes it up, fixed centres do not.
// Grip is judged by (T1 - Tc)/(T2 - Tc) <= exp(mu wrap / sin(groove/2)), without
// the groove on the back.
//
// # Limits
//
//   - Plane geometry, round pulleys, a belt without bending stiffness or
//     thickness of its own except as a clearance; flanges are not modelled.
//   - Steady states. Arm friction and damping, pulley inertia, engine firing,
//     belt flutter and heat are left out; a jerk can slip a belt called safe here.
//   - The wedge factor is an upper bound for ribbed belts, and a worn belt that
//     bottoms out loses it. Friction is for the caller to set; 0.3 is assumed and
//     the friction needed is shown.
//   - Mass per rib, thickness and cord depth are from memory: weigh and measure.
//     Length tolerances of ISO 9981 are from memory and unverified.
//   - PJ, AV10, AV13 and flat figures are from memory except where said.
//   - Rib wear read from the arm takes all movement for wear; a stretched cord, a
//     wrong belt or a worn arm bush looks the same.
//   - L10 is a fatigue figure for many bearings and not remaining life.
//   - Stretch-fit belts have no length check: the clauses of ISO 9981 on length
//     and tolerance do not apply to them.
//   - No published alignment limit was found for flat belts, and no numeric field
//     limit for rib wear; none is made up.
//
// Errors are *[Refusal]: a reason, the pulleys concerned, by how much, what would
// be right and, where a swap of two pulleys or one change of side closes the run,
// that change. NaN and infinities are refused and never returned; ratios that
// would be infinite are given as [Cap].
//
// Work on a belt drive only with the engine off and the key out; a fan may start
// by itself. What this package says is arithmetic and does not replace the
// vehicle maker's instructions.
//
// # Sources
//
// ISO 9981:2020 (PK pulleys and belts; clauses 5.2 to 5.5 seen in previews), ISO
// 9982 (designations), ISO 2790:2020 (V-belts for vehicles; scope seen), SAE
// J1459, J1596 (cancelled) and J2432 as reported in summaries, SAE paper
// 1999-01-1709 (belt entry angle), ISO 281:2007 (rating life), Shigley's and
// Hamrock's textbooks for belt forces, an open list of bearing multipliers. Each
// check in the tests names its own. [Section].Figures carries the source and
// standing of every figure used.
package drive
