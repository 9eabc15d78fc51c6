// Package lifetime says how long parts last and what follows from it: the chance that a part fails
// in the next stretch, the age at which replacing it pays, how often to look at it, and how heat
// ages it. It is made for few and half-known lives: parts still running, parts found failed between two
// looks, parts whose early life nobody saw.
//
// # Use
//
// Describe each part as an [Observation] ([FailedAt], [RunningAt], [FoundFailedAt],
// [FailedBetween], with [Observation.From] for a late entry). Then either
//
//   - start from what an authority says, [FromInterval], and let the observations correct it with
//     [Prior.Update]; ask the [Posterior] for chances ([Posterior.FailWithin],
//     [Posterior.FailWithinCounted]) and ages ([Posterior.QuantileFrom]). This works from no
//     observation at all upwards, and is what a yard needs;
//   - or, with failures enough, [Estimate] a life by maximum likelihood, or [Regress] it on
//     conditions such as heat, with standard errors and Wald and profile intervals.
//
// A [Law] (a [Life] or a Posterior) goes into [AgeReplacement] and, as the delay from first sign to
// failure, [Inspection]. Heat stands apart: [Acceleration], [EquivalentTemperature].
//
// # Units
//
// Ages are in one unit of distance or time, the caller's; rates and costs are per that unit.
// Temperatures are in °C, activation energies in kJ/mol, in eV where a name says so. Chances are
// fractions. Nothing here reads a clock or a file; the same input gives the same output.
//
// # Method
//
// Weibull, lognormal and exponential lives are log-location-scale families, z = (ln t - mu)/sigma.
// The likelihood of a part that entered at age a is f(t)/R(a) when it failed, R(t)/R(a) when it
// runs, (R(l)-R(u))/R(a) when it failed between two looks. It is maximised by Newton's method with
// exact derivatives; log-likelihoods are full densities on the scale of age, as R's survreg reports
// them. Profile limits are where the likelihood has dropped by half the chi-squared quantile.
//
// The posterior is a sum over a grid on ln shape and the logarithm of a percentile of life, with
// independent normal priors. The grid is cut to where the density lies, row by row.
//
// Two chances answer different questions. [Posterior.FailWithin] is for a part that is not among
// the observations, 1 - E[R(t+x)]/E[R(t)]; [Posterior.FailWithinCounted] is for one that is,
// E[1 - R(t+x)/R(t)]. Counting a part's survival twice makes it look too good.
//
// # Assumptions to be shown
//
// No public rule says what share of parts may have failed by a maker's interval. It is read as B10, the
// age by which one in ten has failed, uncertain by a factor of 1.8 either way, with a shape of 3
// (1.4 to 6.6): defaults that can all be changed, and [Prior] holds them. See
// docs/calibration.md for what a wrong reading does. Where it is open whether parts wear out, [Prior] also holds how
// likely they are to fail at any age.
//
// # Limits
//
// A maximum-likelihood fit needs failures that bound the shape and says [ErrNoFailures] or
// [ErrUnbounded] otherwise. Bad data are refused with a [DataError] that names the row. An
// activation energy must not be trusted far below the temperatures it was tested at; it may be lower
// there, and life shorter. A chance is no promise: it never says that a part will not fail.
//
// # Sources
//
// W. Q. Meeker and L. A. Escobar, Statistical Methods for Reliability Data, 1998 (from memory);
// NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3; R. E. Barlow and L. Hunter, Optimum
// preventive maintenance policies, 1960; R. E. Barlow and F. Proschan, Mathematical Theory of
// Reliability, 1965, chapter 4 (both from memory); A. H. Christer and W. M. Waller, 1984 (delay
// time). Energies of rubbers: EPDM 69 and 76 (strain energy, 100
// to 150 °C, 2026), NBR 92 (elongation, Sandia 1993), CR 80 (Polymers 2020, 12, 2354). The checks against R, scipy and
// numpy stand in the tests.
package lifetime
