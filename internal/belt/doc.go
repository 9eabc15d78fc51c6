// Package belt answers for a vehicle's belt runs and their noises: whether a
// belt fits and what slips first (Of, Alone), what would change it (Question),
// which pulley a recording points to (Listen, Shaft), and how tight a tapped
// span is (Tapped).
//
// It stands on package advise, which knows nothing of it, and on the engines
// drive, listen and draw. It does no input or output and knows no clock.
package belt
