// Package plan says which visit does what over the months ahead, as cheaply as
// can be found: Make for one vehicle, MakeYard for all that share an owner's
// time and money. From a plan come its calendar (Events), what to buy
// (Shopping), what moving a part would cost (Plan.Move), what is cheap while a
// vehicle is open anyway (WhileOpen) and why a plan changed (Since).
//
// It stands on packages advise and visit and hands the search to package
// schedule.
package plan
