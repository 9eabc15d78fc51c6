// Package undone says what work on a vehicle has left half done: what is open, and
// what the ticked steps of a job sheet still leave to do. It decides what that
// forbids; nothing of it is stored but the facts it is read from.
package undone
