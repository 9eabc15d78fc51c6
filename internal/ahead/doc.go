// Package ahead works out what lies ahead of a vehicle's parts: when a measured
// figure meets its limit, what chance there is of being let down by when, what
// waiting costs, when to look again and what a look would tell. It reads a report
// of package advise and the yard's own parts, and changes neither.
package ahead
