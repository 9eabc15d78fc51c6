// Package condition says in what condition a part is that cannot be seen for certain, and what
// follows: the chance that it fails within any distance or time, when to look again, and what a look is
// worth. It is made for parts that are glanced at now and then by an eye that misses and misjudges, some of
// which were
// taken off before they failed.
//
// # Use
//
// Describe the [Kind]: its stages of worsening with their mean stays, and each [Sort] of look with
// how it misleads ([Glance], [Graded], a table, or a measured value). Say in a [Prior] how little
// is known of each number, and let histories correct it: [Prior.Learn]. Then follow each part by its own
// looks, [Posterior.Part], and ask the [Part] for [Part.Stages], [Part.FailWithin],
// [Part.NextLook], [Part.Answers] and [Part.Worth]. [FromLead] makes a prior of what trade
// knowledge states: the time to the first sign and the lead time from there to failure.
//
// # Units
//
// Exposure is a list, one number each for distance, days, engine hours, heat or whatever the
// caller counts, in the caller's units and always in the same order; none is built in. Each counts in a stage
// where its
// mean stay there is above 0, and those that count add up. Chances are fractions. Costs are in any one money.
// Nothing reads a clock or a file, and the same input gives the same output.
//
// # Method
//
// A part passes one way through its stages, and from the last to failure; it may also fail straight
// from any stage. A stay is exponential, gamma or Weibull. Stays other than exponential are followed as phases
// (Erlang's method of stages): a stay of shape b of 1 or more as a mixture of floor(b) and
// floor(b)+1 phases of equal pace, below 1 as two phases side by side. Exponential stays and gamma
// stays of a whole shape are exact; for others mean and spread are exact, and the chance to be over by any time is
// within about 1.5 points of a hundred (gamma) and 3.5 (Weibull), see the tests.
// Phases are carried over exposures by uniformisation, to 12 digits where the kind is certain; where the first stage
// alone is in doubt, a part is carried in closed form, to 9 digits (a Poisson number of its phases, and what comes
// out of them by Laplace transforms). A look
// multiplies each stage by
// the chance of its answer there.
//
// Parts of a kind may differ in speed ([Kind.SpeedLogSD]) and in how they look in a given stage
// ([Kind.HabitSD]: dirt, light, a lenient eye); each part's own looks tell both.
//
// The likelihood of histories is exact for that model: failed at a known exposure, found failed,
// still running, removed for a reason that tells nothing, and removed because it looked bad. The last
// is neither a failure nor ignorable; it speaks for the stages in which such a look comes
// about. A removal for a grade that is written down among the looks is ignorable, for the looks tell all that
// the decision knew. The density is maximised with exact derivatives (the way back over every jump); around the
// maximum the logarithms of the numbers are taken as jointly normal, and a few dozen kinds drawn
// from there stand for what is not known. Where the first stay may have another shape altogether ([Prior.Else]), kinds
// are drawn of both, in shares by how likely the histories are with each. A part's own history weighs them anew. The
// band of a [Chance] is where eight in ten of them lie.
//
// The value of a look is by how much the expected cost of the better action falls when its answer
// may be waited for; it is never negative, and never more than that of a look that names the stage
// (Blackwell 1951: the one is a garbling of the other).
//
// Looks of different days count as independent. Where a sort of look may be blind on a part for all its life, a [Pool]
// joins the part as all its looks tell it with the part as it is without those looks, in shares that stay fixed: no
// number of good looks then brings the chance below what the eye cannot see. What past parts teach counts each in all
// those ways, weighed by what was seen ([Blinded]).
//
// # Laws
//
// With a kind that is certain and [Kind.Orderly], a better answer never gives a higher chance than a worse
// one, and the best answer never a higher one than not looking: tables must favour the worse stage
// for the worse grade in every pair, and learning keeps them so. The same holds where the onset alone is in doubt
// ([Lead.Within]) and however old the part may be: what follows after the first sign is then one and the same, its
// phases are passed one by one, so every phase of a stage is worse than every one of the stage before, and so
// is the average over what may be true. Where lead times too are in doubt between kinds, an answer also teaches
// about the kind, and the law can break: a bad sign on a part that ought to have failed since says that such parts
// go slowly. It holds for a part exactly as long as the chance of failing, on average over what may be true, rises from
// stage to stage ([Part.Answers] of a [Perfect] look tells). That it may fall then is Bayes' rule and no fault: a
// closed form in the tests raises a chance by eight points.
//
// # Limits
//
// Shapes of stays from 0.1 to 24. No stage is left backwards: a part put right is a new part. Shape
// and mean of a stay hardly show in a handful of histories, so the prior decides there. A chance is
// no promise: it never says that a part will not fail.
//
// # Sources
//
// A. H. Christer and W. M. Waller, Delay time models of industrial inspection maintenance problems,
// 1984; A. H. Christer, Operational research applied to industrial maintenance and replacement, 1987 (the integral of
// the tests); P. Cerone, Inspection interval for maximum future reliability using the delay time
// model, 1990 (abstract seen); C. H. Jackson, Multi-state models for panel data: the msm package for
// R, 2011; SAE JA1012 (P-F interval; from memory); A. Jensen, 1953 (uniformisation; from memory); D.
// Blackwell, Comparison of experiments, 1951 (from memory).
package condition
