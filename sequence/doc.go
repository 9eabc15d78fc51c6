// Package sequence answers: in which order are the steps of one workshop visit
// done with the least changing about?
//
// # The question
//
// A step may have to wait for other steps, and it may need the workshop set a
// certain way: the mechanic above or below, the vehicle on the ground or
// raised, the engine cold, hot or running. These are attributes with values;
// the package knows none by itself. A step names only the attributes that
// matter to it. Changing a value costs what the caller says, and need not cost
// the same both ways: a running engine takes long to become cold. With
//
//	opts := sequence.Options{
//		Start: sequence.Setting{"side": "above", "height": "ground"},
//		End:   sequence.Setting{"height": "ground"},
//		Changes: append(
//			sequence.BothWays("side", "above", "below", 1),
//			sequence.BothWays("height", "ground", "raised", 1)...),
//	}
//	plan, err := sequence.Order(steps, opts)
//
// plan.Order holds indices into steps, plan.Changes says which change is made
// before which of them, and plan.Cost is the sum. Costs are integers in a unit
// of the caller's choice, such as one per change, or minutes.
//
// Precautions are steps or prerequisites, never matters of cost: what must be
// done before a vehicle is worked under, or before an engine is run, belongs
// in Step.After. The package orders what it is given and adds nothing.
//
// # What is promised
//
//   - Every prerequisite comes earlier.
//   - With Plan.Proven, no order costs less. Without it, Plan.LowerBound says
//     how far off the plan can be at most.
//   - With Plan.Settled, ties are broken by this rule. At one setting, all that
//     can be done is done before anything is changed, always the step of lowest
//     rank (then ID) that waits for nothing. When something must be changed, it
//     is changed to what the lowest such step needs from which the least cost
//     can still be kept.
//   - The same steps give the same plan, in whatever order they are handed in.
//
// Every change is made as late as it can be: just before the first step that
// needs it.
//
// # Why doing everything at a setting loses nothing
//
// The cost of an order is the sum, over the attributes, of the cheapest ways
// between the values that its steps ask for one after the other. Cheapest ways
// satisfy the triangle inequality, so to leave a step out of such a list never
// makes it dearer. Now take any order, and any step in it that waits for
// nothing and fits the setting at the start. Move that step to the front.
// There it asks for what is set already and costs nothing; from its old place
// it is left out, which costs nothing either. So some cheapest order begins
// with that step, and with all others like it. Applied again after every
// change, this leaves few states to search: how the workshop is set, and which
// steps are done once everything that fits is done. An attribute that no
// remaining step asks about is forgotten, which merges states further.
//
// # Method
//
// The cheapest ways between values come from Floyd's algorithm. A narrow beam
// search gives a first plan. A* then looks for a cheaper one; its lower bound
// adds up, attribute by attribute, the largest of three: the dearest chain of
// prerequisites, the entries to each value that chains force, and the cheapest
// tour through the values still needed (Held and Karp). The test suite checks
// that the bound never falls by more than a move costs, so that it never
// exceeds what is left to pay. Last, a depth-first search at the known cost
// finds the plan of the tie rule.
//
// The problem contains the sequential ordering problem (L. F. Escudero,
// European Journal of Operational Research 37, 1988, 236-249), which is
// NP-hard, so some inputs are too much for any method. When A* has stored
// Options.MaxStates states it stops, a wider beam looks for a better plan, and
// Proven is false.
//
// # Limits
//
// At most MaxSteps steps, MaxValues values of an attribute, and MaxCost for one
// change. Measured on one core: made-up visits of 20 to 300 steps that open,
// work and refit, with the three attributes above, were all proven, after fewer
// than 300 states and within 10 ms. Steps with random needs and random
// prerequisites are far harder: 40 to 60 were proven within 0.1 s; 120, with
// three attributes of three values, mostly ran into the default limit after
// half a second, with lower bounds up to a third below the cost; 300 took a
// second and a half to do so.
//
// One step is done at a time and takes no account of how long it lasts; a
// change costs the same whenever it is made; a step needs one value of an
// attribute, not one of several.
//
// # Sources
//
// Results are checked against published optima of the sequential ordering
// problems in TSPLIB (G. Reinelt, ORSA Journal on Computing 3, 1991), against
// every order of small random problems, and against a search through all
// states that shares no code with this one. Verify replays any plan.
package sequence
