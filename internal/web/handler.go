package web

import (
	"context"
	"errors"
	"maps"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/yard"
)

// handler answers a request or says why it cannot.
type handler func(w http.ResponseWriter, r *http.Request) error

// adapt turns a handler's error into a page.
func (s *Server) adapt(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := s.handle(w, r, h); err != nil {
			s.fail(w, r, err)
		}
	})
}

// handle answers a page, or what it shows in the form asked for.
func (s *Server) handle(w http.ResponseWriter, r *http.Request, h handler) error {
	form := r.URL.Query().Get(formatField)
	if form == "" || r.Method == http.MethodPost || strings.HasPrefix(r.URL.Path, httpAt) ||
		form == "pdf" && slices.Contains(papers, r.Pattern) {
		return h(w, r)
	}
	return s.takeOut(w, r, h, form)
}

// status returns the HTTP status of an error's kind.
func status(err error) int {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return http.StatusRequestEntityTooLarge
	}
	var own *refused
	if errors.As(err, &own) {
		return own.code
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
	Where, Msg, Hint message.Text
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
		f := fault{Where: fleet.Field(inYard(known.Where)), Msg: known.Msg.Named(withoutFolders),
			Hint:   known.Hint.Named(withoutFolders),
			Reason: known.Reason}
		f.Line, f.Edit = sheetPlace(known.Where)
		out = append(out, f)
	}
	return out
}

// said is a fault in JSON.
type said struct {
	Where  message.Text `json:"where"`
	Error  message.Text `json:"error"`
	Hint   message.Text `json:"hint"`
	Reason any          `json:"reason,omitempty"`
}

// notTaken is a request that was refused, in JSON.
type notTaken struct {
	Errors  []said `json:"errors"`
	Request string `json:"request"`
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
		if at := path[len(lead):]; strings.HasPrefix(at, "/v/") || strings.HasPrefix(at, httpAt) {
			return path
		}
		return lead
	})
}

// errorPage is what the owner sees when a request cannot be answered.
type errorPage struct {
	Page
	Headline message.Text
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
	page.TakeOut = ""
	if code == http.StatusRequestEntityTooLarge {
		page.Faults = []fault{{Msg: message.Of("what was sent is more than %d MiB", bodyLimit(r)>>20),
			Hint: "a sheet has at most 256 KiB, a recording is best cut to half a minute and a picture " +
				"reduced; send less at once"}}
	}
	if errors.Is(err, context.DeadlineExceeded) {
		page.Headline = "That was not worked out in time."
		page.Faults = []fault{{Msg: message.Of("the answer was not ready after %.0f s", s.opt.Patience.Seconds()),
			Hint: "try again while the machine has less to do, or ask for fewer months"}}
	}
	if wantsJSON(r) {
		s.writeJSON(w, r, code, notTaken{saidOf(page.Faults), page.Request})
		return
	}
	var broken *yard.Broken
	if errors.As(err, &broken) {
		page.Headline = "This vehicle is shut until its sheet is put right."
		page.Good = string(broken.Good)
	}
	s.render(w, r, code, "error", page)
}

var headlines = map[int]message.Text{
	http.StatusUnprocessableEntity:   "That cannot be taken as it is.",
	http.StatusNotFound:              "There is no such page here.",
	http.StatusConflict:              "That contradicts what is already recorded.",
	http.StatusForbidden:             "That was refused.",
	http.StatusMisdirectedRequest:    "This server does not answer to that name.",
	http.StatusServiceUnavailable:    "A file cannot be read or written now.",
	http.StatusNotImplemented:        "That was written by a newer version of the program.",
	http.StatusRequestEntityTooLarge: "That is too much at once.",
	http.StatusInternalServerError:   "Something went wrong in the program.",
}

func (s *Server) nowhere(_ http.ResponseWriter, r *http.Request) error {
	return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("nothing is kept at %s", strings.TrimSpace(r.URL.Path)),
		Hint: "start from the yard, or search for a part"}
}

// several are the values of a field that holds them all, parted by spaces, or that stands several times.
func several(f url.Values, name string) []string { return strings.Fields(strings.Join(f[name], " ")) }

// mostInColumn is how many rows of fields are read.
const mostInColumn = 200

// inColumns gathers the fields of rows, "f.what-0" and so on, under the name of their column, where those that stand
// several times under that name stand too.
func inColumns(f url.Values) {
	for _, name := range slices.Sorted(maps.Keys(f)) {
		column, number, ok := strings.Cut(name, "-")
		row, err := strconv.Atoi(number)
		if !ok || err != nil || row < 0 || row >= mostInColumn || !rowsOf.MatchString(column) {
			continue
		}
		for len(f[column]) <= row {
			f[column] = append(f[column], "")
		}
		f[column][row] = f.Get(name)
	}
}

// rowsOf are the columns.
var rowsOf = regexp.MustCompile(`^([cfil]\.[a-z]+|turns\d)$`)

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
