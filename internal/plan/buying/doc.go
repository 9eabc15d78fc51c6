// Package buying lists what a plan buys, by the day by which it is ordered:
// OfPlan for one vehicle, OfYard for all.
package buying
