// Package advise works out one vehicle at one moment: here, and in package belt,
// the domain meets the engines.
//
// Vehicle folds the journal, forecasts the distance, judges every position and
// returns a Report, which answers in one sentence (Headline) and says how it
// knows (Basis). The rooms above answer further questions from it: packages
// ahead, visit, belt, plan and trip.
//
// The package does no input or output and knows no clock: the day comes in.
package advise
