// Package ask makes the sheet of a new vehicle from answers to plain questions:
// how the engine lies, what each belt turns, what brakes it has.
//
// The questions, the usual answers and the modules from which sheets are put together
// are data (the files under data). A module holds openings, positions and runs; it and
// each of its items may say when it belongs to a vehicle (when, unless: facts and the
// answers that count), what differs on some (vary), and with each be made once for
// every belt, tensioner, idler or machine that a belt turns. Openings are named freely:
// what the vehicle does not have is left out, and a way in (ways) is the first of its
// openings that it has.
//
// [Build] joins what belongs to the answers, lays out each belt's run with
// pulleys of typical size in the order that was answered, and writes a sheet that
// reads without mistakes or warnings. What was not known is taken as usual, or on the
// safe side, and the head of the sheet says so. Torques and the makers' intervals are
// left for the owner to copy from the handbook: nothing of them is made up.
package ask
