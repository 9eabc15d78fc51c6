// Package judge turns what is known of each part into a verdict with its
// reasons.
//
// Two things speak for a change: a finding past a limit, and an age or a
// distance past an interval. Each limit and each interval belongs to an
// authority, and authorities disagree. Every authority's opinion is kept and
// returned; which of them governs follows from the owner's stance:
//
//   - Strictest: the most urgent opinion governs.
//   - A named authority: its opinion governs where it has one on that check or
//     on that age; where it has none, the strictest of the others does.
//     The vehicle's maker speaks only in the vehicle sheet, from the owner's own
//     handbook; the built-in catalogue has no word of it.
//   - Park is never talked down: an opinion of park governs whoever holds it.
//
// An authority has an opinion on a figure when it states any bound for that
// check, and on an answer in words only when it names that answer. An interval
// "on condition" is an opinion too: it never falls due.
//
// A part whose material is not known is held to the limits of every material.
// A part whose history is not known has no date: it is looked at first. Where
// its kind says that a wrong guess hurts it is taken to be as old as the vehicle
// and to have run as far, and is said to. A part that nobody has looked at within
// the inspection interval since it was fitted is Unseen, not Keep. Findings
// older than the inspection interval are said to be stale.
//
// The package is pure: the day and the expected total distance come in with
// Input.
package judge
