// Package plan says which visit does what over the months ahead, as cheaply as
// can be found: Make for one vehicle, MakeYard for all that share an owner's
// time and money. A plan also says what moving a part would cost (Plan.Move),
// what is cheap while a vehicle is open anyway (WhileOpen) and why it changed
// (Since). Packages buying and calendar beside it list what to order and when.
//
// What it says are reasons as data (Reason, Give); the words and view files
// alone phrase them.
//
// It stands on packages advise and visit and hands the search to package
// schedule.
package plan
