// Package listen reads recordings of running machines: which bearing element, which pulley, which sort of belt
// noise, which tension a tapped span has. It takes bytes or samples and gives numbers with a margin, and says so
// when a recording does not tell.
//
// # Questions
//
//	ReadWAV        what is in this file, and what is wrong with it
//	Diagnose       which element of the bearings on one shaft shows, if any (a machine, or a pulley spun by hand)
//	Rank           which pulley of a running accessory drive a noise belongs to
//	FindCrank      how fast the engine ran, from its orders and the pulleys' ratios
//	SortNoise      chirp, squeal, whine or rumble by ear alone, and what a chirp keeps time with
//	SortRunning    the same beside a running engine, and which pulley a beat or a tone keeps time with
//	TappedSpan     the tone of a tapped belt span and its tension
//	Compare        what changed between two recordings, band by band
//	OddsOf, Update, UpdateFaster, NextExperiment   what a second recording, one thing changed, makes of a ranking
//	Welch, Spectrogram, EnvelopeSpectrum, BestBand, Follow, ByAngle, OrderSpectrum   the tools underneath
//
// Units: seconds, hertz, turns per second, metres, kilograms, newtons; levels in decibels relative to full scale;
// tolerances and offsets relative. An order is a multiple of the turning rate of the shaft named. Nothing here
// reads a file, a clock or a random source; the same bytes give the same answer. Diagnose uses up to three
// goroutines.
//
// # How a bearing element is named
//
// A flaw struck by every ball rings the housing; the squared envelope of the ringing repeats at a rate that follows
// from the geometry ([Bearing.Rates]). Diagnose looks at the envelope in four ways: the whole band pre-whitened by
// cepstrum ('cpw') and by a linear predictor of 100 taps ('ar'), and the mean over half-overlapping bands of two
// widths, each levelled for itself, which adds power and so holds when carriers disagree in phase or noise is
// strong. Each spectrum is set against a running median; what stands out is counted in nats, at most 5 a line;
// lines at shaft harmonics are struck out. The score of a family is the mean of its first three harmonics (with
// side lines added where the element turns), at the best common offset within 1.2 %. Then
//
//   - the speed must be supported by lines one, two and three shaft rates apart in the plain spectrum, more than
//     any other speed is (cage rates aside), for a wrong speed yields confident wrong names;
//   - half orders are struck out where four of the first eight are lit, as in a machine with something loose;
//   - two of three harmonics must be lit and the score reach 1 nat, 1.25 where neither view of the whole band shows
//     the family: the means over bands find the weak beats of a sound bearing too;
//   - the comb must not stand clearer at a rate 2 to 6 % off, where it is another bearing's: the cages of most turn
//     nearly alike;
//   - the lines that the best family explains are taken out: its side lines, what folds back about the shaft (n
//     turns less k outer = k inner) and, of a ring, a weaker comb at the cage rate;
//   - in what is left, 120 families of the same build at rates that belong to nothing are scored, and the best must
//     be 1.3 times their second-highest: so every recording brings its own measure of chance;
//   - odd halves and one-turn neighbours must be weaker.
//
// What is left is worked out as two probabilities ([Diagnosis]): that this bearing is flawed, and that it is this
// element. Both are logistic models of few traits of the best match (certainty.go): whether it stands in the view of
// the whole band, how deep it swings in the best narrow one, whether a load that turns gives it side lines, how near
// the other ring comes, and how far it leads the other elements in the view of the whole band. A flaw's knocks stop
// between; the beat of sound races does not. The weights are had from
// 3 000 simulated recordings, of which three in five hold a flaw, and from the given records, each counted ten times
// (testdata/certainty.csv, TestFitCertainty); since that extra weight bends them, a bent line through their log odds,
// fitted on 26 500 simulated recordings alone (testdata/bends.csv, beside.csv), makes probabilities of them; what is
// left for elements beside goes to them as often as one of them is the flawed one there. Other seeds score all three
// (TestCalibration), and every flaw's records are asked about with weights had without them (TestLeftOut). From 0.95
// on an answer is said as most likely, from 0.8 as
// probably; below, the element is left open, and below that for the bearing nothing is said. Where another element's
// lines stand out beside, it is named too. A recording that is clipped or has few levels is noticed and never gives
// more than probably.
//
// A flaw on a ball often shows only at the cage rate, so "rolling element or cage" is one answer.
//
// # How a pulley is named
//
// The crank speed comes from the engine's orders within the meter's tolerance, and is not believed where firing
// stands 1.3 times clearer at a simple ratio of it. Without a meter the likeliest speeds are brought to crank
// angle, where lit firing orders and lit orders between them are weighed against chance and against firing being a
// bearing's knocks; the first must lead by 2 nats and be first by contrast too. The speed is followed and the
// recording brought to crank angle. Half orders of the crank are struck out. Every pulley is then tried at its rate
// and a little about it (two standard deviations of ratio and slip, at a price), for its bearing, its tones and
// knocks once per turn. Ten sets of false ratios say what chance reaches once the best is taken out. Suspects whose
// lines coincide are one suspect: frequency cannot part two like pulleys, a recording near each can. How sure the
// first is follows from how far it stands over chance and over the next (testdata/pulleys.csv, TestFitPulley).
//
// # How a noise beside the engine is sorted
//
// What beats: the squared envelope of 2 to 12 kHz and of 150 to 1500 Hz at crank angle, the engine's half orders
// struck out, is tried for lines at the turns of the pulleys and of the belt, against 80 false rates once the best
// is taken out; the high band makes a chirp, the low one a rumble. What sings: tones 6 dB over the strongest lines
// of the engine near them are followed from frame to frame. One whose order scatters by less than 0.14 %, and less
// than its frequency does, follows the crank and is a whine; one that does not, and does not come in bursts, is a
// squeal. Where the speed is too steady to tell the two apart nothing is said, unless the order is one a pulley is
// known to sing at.
//
// # Sources
//
// Rates: in every text on bearing vibration; multiples of the 6203 and 6205 checked against the data centre's.
// Envelope, pre-whitening and squared envelope spectrum: R. B. Randall, J. Antoni, Mechanical Systems and Signal
// Processing 25, 2011, 485-520; P. Borghesani et al., the same 36, 2013, 370-384; kurtogram: J. Antoni, the same
// 21, 2007, 108-124; spectra: P. D. Welch, 1967 (all cited from memory). Linear prediction: Levinson's recursion.
// Taking in turn what explains most, and false rates as a measure of chance: common practice in detection; the
// choice of both here is ours. Tapped span: the string of the textbooks. Alternator orders (twice phases times pole
// pairs, 36 for three phases and six pole pairs): abstracts of two studies on claw-pole alternators. Third-octave
// bands: IEC 61260-1 base-ten mid frequencies (from memory). WAVE layout: from memory of the 1991 specification.
// The WAV reader is our own 200 lines, since the maintained decoder that was tried reads 32-bit float samples as
// integers. Transforms are gonum's.
//
// # Measured
//
// On 39 records of a public bearing collection (contact sensors on an electric motor, speed given to 2.5 %), 31 of
// them picked because an earlier form failed on them: docs/listening.md says right, mute or wrong for each. On
// others of the collection, never shown here, that earlier form named the element wrongly 8 times of 57, twice
// firmly. Spectra agree with scipy.signal to 0.1 dB and envelope lines to 1 % on eight. Simulated drives:
// docs/listening-curve.md. Time and memory: bench/listen.sh.
//
// # What these numbers are not
//
// All given records are of one rig and were seen while thresholds and traits were chosen; the probabilities hold
// where three in five bearings asked about are flawed and sound as simulated. The recordings are contact sensors
// on a quiet motor, not a phone beside a running engine; the simulation is our own. The turning outer ring of a
// pulley follows from mechanics and has been tried on simulated sound only. Scores are evidence, not severity:
// nothing here says how worn a bearing is. Thresholds of SortNoise and SortRunning rest on made-up sounds, no belt
// recording was at hand. Phones cut low tones, change their gain and compress: record raw, ten seconds, speed
// held. Water on a belt is no test to rely on alone. A quiet answer is no proof that a part is good.
package listen
