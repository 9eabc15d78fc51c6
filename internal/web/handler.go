package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/record"
	"undertray/internal/yard"
)

// handler answers a request or says why it cannot.
type handler func(w http.ResponseWriter, r *http.Request) error

// adapt turns a handler's error into a page.
func (s *Server) adapt(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			s.fail(w, r, err)
		}
	})
}

// status returns the HTTP status of an error's kind.
func status(err error) int {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return http.StatusRequestEntityTooLarge
	}
	if errors.Is(err, context.DeadlineExceeded) {
		return http.StatusServiceUnavailable
	}
	switch fleet.KindOf(err) {
	case fleet.Invalid:
		return http.StatusUnprocessableEntity
	case fleet.NotFound:
		return http.StatusNotFound
	case fleet.Conflict:
		return http.StatusConflict
	case fleet.Unavailable:
		return http.StatusServiceUnavailable
	case fleet.TooNew:
		return http.StatusNotImplemented
	}
	return http.StatusInternalServerError
}

// fault is one thing that is wrong, as a page lists it.
type fault struct {
	Where, Msg, Hint string
	Line             int    // in a sheet, 0 elsewhere
	Edit             string // id of the vehicle whose sheet it stands in, or ""
	Reason           any    // what Msg says as data, or nil
}

// faults phrases an error for the owner. What the program does not know how to
// phrase stays in the log.
func faults(err error) []fault {
	var out []fault
	for _, e := range record.Faults(err) {
		var known *fleet.Error
		if !errors.As(e, &known) || known.Kind == fleet.Internal {
			out = append(out, fault{Msg: "something went wrong in the program",
				Hint: "try again; if it stays, look in the server's log for the number below"})
			continue
		}
		f := fault{Where: inYard(known.Where), Msg: withoutFolders(known.Msg), Hint: withoutFolders(known.Hint),
			Reason: known.Reason}
		f.Line, f.Edit = sheetPlace(known.Where)
		out = append(out, f)
	}
	return out
}

// said is a fault in JSON.
type said struct {
	Where, Error, Hint string
	Reason             any `json:",omitempty"`
}

func saidOf(faults []fault) []said {
	var out []said
	for _, f := range faults {
		out = append(out, said{f.Where, f.Msg, f.Hint, f.Reason})
	}
	return out
}

// inYard leaves of a file's place what the owner knows it by: its name below
// the yard's folder.
func inYard(where string) string {
	slashed := filepath.ToSlash(where)
	for _, folder := range []string{"/vehicles/", "/catalogue/"} {
		if i := strings.LastIndex(slashed, folder); i >= 0 {
			return slashed[i+1:]
		}
	}
	return withoutFolders(slashed)
}

// folders matches the folders of a file's path on this machine, from the root
// or a drive on. Addresses of pages begin at the root too, and are short.
var folders = regexp.MustCompile(`(^|[\s"'(])(?:[A-Za-z]:)?[/\\](?:[^/\\\s"':]+[/\\])+`)

// withoutFolders leaves of the paths in a text the files' names: how the machine
// is laid out is nobody's business who only reads a page.
func withoutFolders(text string) string {
	return folders.ReplaceAllStringFunc(text, func(path string) string {
		lead := folders.FindStringSubmatch(path)[1]
		if strings.HasPrefix(path[len(lead):], "/v/") {
			return path
		}
		return lead
	})
}

// errorPage is what the owner sees when a request cannot be answered.
type errorPage struct {
	Page
	Headline string
	Faults   []fault
	Good     string // the sheet as it was last without a mistake, or ""
	Request  string
}

func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	code := status(err)
	if code == http.StatusInternalServerError {
		s.opt.Log.Error("request failed", "request", requestID(r), "error", err)
	}
	page := errorPage{Page: s.base(r, headlines[code]), Headline: headlines[code], Faults: faults(err),
		Request: requestID(r)}
	if code == http.StatusRequestEntityTooLarge {
		page.Faults = []fault{{Msg: fmt.Sprintf("what was sent is more than %d MiB", bodyLimit(r)>>20),
			Hint: "a sheet has at most 256 KiB, a recording is best cut to half a minute and a picture " +
				"reduced; send less at once"}}
	}
	if errors.Is(err, context.DeadlineExceeded) {
		page.Headline = "That was not worked out in time."
		page.Faults = []fault{{Msg: fmt.Sprintf("the answer was not ready after %.0f s", s.opt.Patience.Seconds()),
			Hint: "try again while the machine has less to do, or ask for fewer months"}}
	}
	if wantsJSON(r) {
		s.writeJSON(w, r, code, map[string]any{"errors": saidOf(page.Faults), "request": page.Request})
		return
	}
	var broken *yard.Broken
	if errors.As(err, &broken) {
		page.Headline = "This vehicle is shut until its sheet is put right."
		page.Good = string(broken.Good)
	}
	s.render(w, r, code, "error", page)
}

var headlines = map[int]string{
	http.StatusUnprocessableEntity:   "That cannot be taken as it is.",
	http.StatusNotFound:              "There is no such page here.",
	http.StatusConflict:              "That contradicts what is already recorded.",
	http.StatusForbidden:             "That was refused.",
	http.StatusMisdirectedRequest:    "This server answers only on its own machine.",
	http.StatusServiceUnavailable:    "A file cannot be read or written now.",
	http.StatusNotImplemented:        "That was written by a newer version of the program.",
	http.StatusRequestEntityTooLarge: "That is too much at once.",
	http.StatusInternalServerError:   "Something went wrong in the program.",
}

func (s *Server) nowhere(_ http.ResponseWriter, r *http.Request) error {
	return &fleet.Error{Kind: fleet.NotFound, Msg: "nothing is kept at " + strings.TrimSpace(r.URL.Path),
		Hint: "start from the yard, or search for a part"}
}

// form reads a posted form; a body that is too large is reported as such.
func form(r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return &fleet.Error{Kind: fleet.Invalid, Msg: "the form cannot be read",
			Hint: "go back and send it again", Err: err}
	}
	return nil
}
