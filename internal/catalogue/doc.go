// Package catalogue holds the trade's knowledge as data: for every kind of
// part what to look at, feel, listen to and measure, where an answer changes
// the verdict and who says so, when it is due and who says so, what brings
// about what is seen, what is put right first and what is changed along.
//
// The knowledge stands in YAML files under data, one list of kinds to a file,
// and is built into the program. An owner's own files, in the same form, add
// to it and override it entry by entry (LoadWith). Every limit and interval
// names its authority and the sources it rests on, and nothing without them
// loads. Where authorities disagree their limits stand side by side; which of
// them governs is for package judge.
//
// # How files are put together
//
// A kind that stands in an owner's file under the id of a built-in one is
// merged into it, and a kind that inherits another is merged into that:
//
//   - name, system and other plain fields replace what was there;
//   - checks go by id, and inside a check answers go by id;
//   - a limit replaces one with the same condition, authority, source and
//     materials, and is added otherwise;
//   - intervals replace those for the same thing by the same authority, source
//     and materials, and are added otherwise;
//   - everything else is added; remove lists checks to be left out.
//
// # Limits and verdicts
//
// A limit is met by an answer (is) or by a figure (at_least, more_than,
// at_most, less_than). A limit with the verdict keep says that this authority
// lets it pass. A limit with the verdict watch says when to look again; where
// the source names no moment, that moment is our own judgement. Published
// grades are mapped to verdicts so: serviceable is keep, recheck is watch,
// planned replacement is put right, not to be used is park. The mapping is ours.
//
// What puts right what a limit found is its action (do: change, top-up,
// tighten, refit, clean, re-route, test or find-out), and by when its deadline
// (by: before-next-drive, next-visit, next-oil-change, or within what, such as
// 500 km or 2 weeks). Where a limit with the verdict put right does not say, the
// part is changed at the next visit. A limit with the verdict park has no
// deadline: the vehicle stands until then. Deadlines that stand in no source
// are our own judgement.
//
// # Answers
//
// A check says how it is answered (answer: choice, figure or count). A figure
// has bounds: outside what is possible it is refused, outside what is likely it
// is asked for again.
//
// # Speed
//
// Reading the YAML takes tens of milliseconds, so the built-in files are kept
// in a packed form beside them as well, which decodes one kind when it is first
// asked for. When the two differ the YAML counts, and a test fails until
// go generate has packed it again.
package catalogue

//go:generate go test . -run TestPackIsCurrent -update
