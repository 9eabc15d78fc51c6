// Package message carries texts to their readers' languages.
//
// A text is written once, in English, where it arises; that English is its name in every
// language's catalogue. A text made in Go is a [Text]: it keeps its English format and its
// arguments apart until it is shown, so that another language can order them as it must. The
// texts of pages stand in their templates, and package templates finds them there. A [Language]
// gives the words; English is none, needs no catalogue and is never looked up.
package message
