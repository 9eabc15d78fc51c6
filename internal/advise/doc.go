// Package advise works out one vehicle at one moment: here, and in package belt,
// the domain meets the engines.
//
// Vehicle folds the journal, forecasts the distance, judges every position and
// returns a Report. From a Report come the sheets: Round, what to look at and
// in which order; Job, the steps of one visit. A Report also answers in one
// sentence (Headline) and says how it knows (Basis).
//
// The package does no input or output and knows no clock: the day comes in.
package advise
