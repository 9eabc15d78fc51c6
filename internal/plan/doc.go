// Package plan says which visit does what over the months ahead, as cheaply as
// can be found: Make for one vehicle, MakeYard for all that share an owner's
// time and money, as one problem; Yard.GoOn searches on for a better one. What
// is cheap while a vehicle is open anyway says WhileOpen. Packages buying and
// calendar beside it list what to order and when, moves what changed in a plan.
//
// What it says are reasons as data (Reason, Give); the words and view files
// alone phrase them.
//
// It stands on packages advise and visit and hands the search to package
// schedule.
package plan
