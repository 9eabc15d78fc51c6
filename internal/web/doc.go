// Package web serves the yard as pages: one file of Go and one template per
// page, plain HTML that works without script, and a little script where it
// spares the owner a walk to the house.
//
// # Question answered
//
// All of them: what state each part is in, what a finding means, what to do at
// the next visit, what was done. Every page says its answer in its first line.
// With "Accept: application/json" a page that concludes something returns the
// same view as the command of its name prints with --json.
//
// # Method
//
// The routes stand in routes.go, one line each. A handler returns an error; the
// adapter in handler.go turns its kind into a status and a page that says what
// to do next. Facts are recorded through package record, one batch per form.
// Every form carries the id of its batch, made when the page was made, so that
// sending a form twice records it once.
//
// The yard's files are read again when one of them has changed. State is worked
// out from the journal at each request; a page reads the journal once.
//
// # Safety
//
// Without a pass-phrase the server answers only to names of this machine, so
// that no page on another site can read it by way of a name that points here.
// What a proxy passes on is answered there for names that the server was told; who asks
// and whether over TLS is believed of proxies that it was told of.
// With one, every page but the login is closed. The hash is argon2id with the
// second recommended parameters of RFC 9106, section 4, in a file of the
// yard's folder. Posts from other sites are refused by their Sec-Fetch-Site or
// Origin header. The content security policy allows files of this server only:
// no script or style stands in a page.
//
// # Limits
//
// A request body holds at most 1 MiB, one with a recording 20 MiB, with a
// picture 33 MiB. Recordings wait in memory until they are kept, the latest eight at
// most; small versions of pictures are held there, 16 MB of them at most. Sessions live in memory: a restart asks
// for the pass-phrase again. Over plain HTTP the pass-phrase crosses the local
// network readable; serve with a certificate where others use it.
package web
