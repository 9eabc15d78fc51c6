// Package say makes lists, counts, money, spans of time and dates into English
// words. It knows nothing of vehicles: the rooms above put its words into their
// sentences, and only their words files and the printers call it.
package say
