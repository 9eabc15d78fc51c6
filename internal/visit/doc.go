// Package visit lays out what to look at and to do on a vehicle, and in which
// order: NewRound is the sheet to inspect it by, in the order a person meets
// its positions, and NewJob the ordered steps of one visit, each caution before
// its step. It stands on package advise.
package visit
