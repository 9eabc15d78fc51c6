// Package looks chooses which looks at a vehicle are made in so many minutes: those
// that tell most for the decision at hand, with what is opened for them counted
// once. What a single look is worth, package advise says.
package looks
