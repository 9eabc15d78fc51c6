// Package trip answers whether a vehicle gets through a trip (Ask): the chance
// of being stranded, what passes a limit on the way, what to change before, to
// check on the way and to carry. It stands on packages advise and plan.
package trip
