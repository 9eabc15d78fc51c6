// Package schedule chooses the visits of the coming periods (months, usually)
// and what is done at each, at least cost.
//
// # The question
//
// Tasks (inspect, change, service) fall due again and again, or once in a
// window. To reach them, openings have to be made: covers off, undertray off,
// coolant drained. An opening costs money and time, needs other openings
// first, and is paid once per visit however many tasks use it; so does the
// visit itself. Doing a task early throws life away, doing it late risks a
// failure on the road. A visit has so many hours, a period so much money.
// When does one open what, and what is done then?
//
// # The model
//
// With x[i,t] = task i done in period t, s[k,t] = opening k made, y[t] = visit
// held (all 0 or 1), each vehicle pays
//
//	sum over t of  V·y[t] + sum S[k]·s[k,t] + cost of the doings,
//
// where x[i,t] <= s[k,t] for every opening k of i, s[k,t] <= s[q,t] for every
// opening q that k needs, s[k,t] <= y[t], hours and money of what is done and
// opened stay within those of the visit and the period, and the cost of a
// doing depends on the age of the task (periods since it was last done) and on
// the period. A plain recurring task costs the same each time and may not
// reach an age above Every; at the end of the plan every task is younger than
// its Every, so nothing due in the plan is left undone. That special case is
// the opportunistic replacement problem with shared set-ups (Dekker, Wildeman
// and van der Duyn Schouten 1997, Math. Methods Oper. Res. 45, 411-435;
// Almgren et al. 2012 and Patriksson et al. 2015, both after their abstracts).
// Costs of age: see [UnusedLife], [RoadRisk], [AddTables]; or any table.
//
// Further rules: periods closed to visits or visits fixed by the owner
// ([Period]), stretches that must hold a visit ([Window]), tasks done together
// (Task.With) and tasks whose first doing must not come before that of others
// (Task.After).
//
// Vehicles are planned apart unless they could together exceed a limit on the
// hours or money of a period.
//
// # The method
//
// Prices on "task i in period t" split the problem (Lagrangian decomposition):
// each task then walks alone through time, a shortest path; each period alone
// picks the most valuable set of tasks with the openings they need, within its
// hours and money. The order between tasks (Task.After) is priced as well, by
// the period up to which the one has been done and the other not. The sum of
// both is a lower bound for any prices (Fisher 1981, Management Science 27, 1-18;
// from memory). Prices are improved by a proximal bundle method with a model for
// each task and each period, or, where the order between tasks has prices, by
// deflected subgradient steps. Vehicles that share a limit are priced by
// themselves first: until those prices are at their best, their bound is the
// better one. Because whole visits are priced, the bound is tighter than that of
// the linear relaxation.
//
// A period is solved vehicle by vehicle, by dynamic programming over tasks,
// hours and the openings that still matter, a tree knapsack where openings make
// a tree. Hours have to be whole multiples of a handy unit (an hour down to a
// minute). A price on the hours first shows what cannot be part of a better
// answer; the rest is worked out in full. Where more limits bind, or vehicles
// share them, these have a price each, and the best visit is searched for
// within so many steps. Other problems are solved by a minimum cut and
// branching.
//
// A first plan comes from putting the tasks in one by one, each on its
// cheapest path given the others, and is improved by taking out a few tasks
// that share an opening and putting them back (large neighbourhood search).
//
// With the prices, a partial plan up to period t has a bound on its whole cost
// from one table look-up per task. Plans are built period by period, keeping
// those that can still beat the best one known, dropping those in the same
// state as a cheaper one or worse whatever follows. A narrow search gives good
// plans; a wide one is exact. Neighbourhoods of the best plan (a stretch of
// periods, or some tasks, set free) are searched the same way.
//
// Around this stands a branch and bound on openings and visits: each node
// improves its prices, settles the tasks whose standing in a period, or not,
// would cost too much by what their path and the visit then lose, tries to
// finish by an exact layer search of limited size, else splits. The least bound
// of the open nodes is Plan.Bound. If all costs are multiples of some amount,
// bounds are rounded up to it.
//
// # Use
//
// [Solve] returns a [Plan] with its cost and a proven lower bound. It gets
// better with time: a first plan after one step, then until the bound meets
// the cost, the context ends or Options.Steps are done. A [Search] does the
// same bit by bit, so that a page can show the best plan with its gap and go on
// in the background; Options.Start begins with an earlier plan. [Join] plans
// vehicles that share from what each would do by itself. The end of the
// context stops all of it within 200 ms. [Explain] says why
// each doing stands where it stands. [Verify] checks any plan and works out
// its cost, from the problem alone. Where there is no plan, Solve returns an
// [Infeasible] error with what does not fit.
//
// # Units and limits
//
// Money in one unit, hours as decimal hours, periods counted from 1 to at most
// 120; ages in periods. Costs are not negative. No clock, no input or output,
// no randomness that is not fixed: with Options.Steps the same problem gives
// the same plan anywhere.
//
// Problems with many tasks, short intervals and tight hours may keep a gap of
// some percent for hours: 60 tasks over 36 periods stand at about one percent
// after a third of a second each where intervals are those of a household, at
// three where they are short and openings cross, at six where hours are tight
// as well. It is reported, never hidden. That no plan exists is seen at once
// where a task or the tasks due in one period cannot fit; other cases take a
// search.
package schedule
