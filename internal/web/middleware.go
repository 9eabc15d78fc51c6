package web

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net"
	"net/http"
	"path"
	"runtime/debug"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
)

// Bounds of one request.
const (
	maxBody     = 1 << 20 // bytes
	maxLogin    = 64 << 10
	requestTime = 30 * time.Second
	filesTime   = 15 * time.Minute // where a whole vehicle comes or goes
)

// policy lets a page use files of this server only. Pictures may also be made
// on the spot, for a preview before they are sent, and a chosen sound is asked
// how long it lasts.
const policy = "default-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; object-src 'none'; " +
	"base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// wrap puts around the pages what every request goes through, outermost first:
// number, way, log, recovery, headers, name of the host, other sites, size, time,
// session and login.
func (s *Server) wrap(next http.Handler) http.Handler {
	h := next
	if s.opt.Passphrase != "" {
		h = s.session(s.requireLogin(next))
	}
	h = s.limits(s.byToken(h))
	foreign := http.NewCrossOriginProtection()
	foreign.SetDenyHandler(http.HandlerFunc(s.denyForeign))
	h = foreign.Handler(h)
	h = s.ownHost(h)
	h = headers(h)
	h = s.recovered(h)
	h = s.logged(h)
	h = s.cameBy(h)
	return numbered(h)
}

type contextKey int

const (
	requestKey contextKey = iota
	visitorKey
	deskKey
	wayKey
)

// numbered gives a request a number that the log and the error page share.
func numbered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := rand.Text()[:8]
		w.Header().Set("X-Request-Id", id)
		if strings.HasPrefix(r.URL.Path, httpAt) {
			r.Header.Set("Accept", jsonType) // whatever happens
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), requestKey, id)))
	})
}

func requestID(r *http.Request) string {
	id, _ := r.Context().Value(requestKey).(string)
	return id
}

// observed notes the status of an answer.
type observed struct {
	http.ResponseWriter
	status int
}

// WriteHeader notes the status and passes it on.
func (o *observed) WriteHeader(code int) {
	if o.status == 0 {
		o.status = code
	}
	o.ResponseWriter.WriteHeader(code)
}

// Unwrap gives http.ResponseController what lies below.
func (o *observed) Unwrap() http.ResponseWriter { return o.ResponseWriter }

func (s *Server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		begun := time.Now()
		o := &observed{ResponseWriter: w}
		next.ServeHTTP(o, r)
		if o.status == 0 {
			o.status = http.StatusOK
		}
		s.opt.Log.Info("request", "request", requestID(r), "method", r.Method, "path", loggedPath(r.URL.Path),
			"status", o.status, "ms", time.Since(begun).Milliseconds())
	})
}

// calendarsAt begins the addresses of calendars, which are secrets.
const calendarsAt = "/calendar/"

func loggedPath(path string) string {
	if strings.HasPrefix(path, calendarsAt) {
		return calendarsAt
	}
	return path
}

func (s *Server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			p := recover()
			if p == nil {
				return
			}
			if p == http.ErrAbortHandler {
				panic(p)
			}
			s.opt.Log.Error("panic", "request", requestID(r), "panic", fmt.Sprint(p), "stack", string(debug.Stack()))
			s.fail(w, r, fmt.Errorf("panic: %v", p))
		}()
		next.ServeHTTP(w, r)
	})
}

func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

func localName(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	ip := net.ParseIP(strings.Trim(host, "[]"))
	return strings.EqualFold(host, "localhost") || ip != nil && ip.IsLoopback()
}

func (s *Server) denyForeign(w http.ResponseWriter, r *http.Request) {
	s.refuse(w, r, http.StatusForbidden, "a page of another site tried to record something here",
		"if you meant to, open the form on this site and send it there")
}

// refuse answers with an error page that shows nothing of the yard.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, code int, msg, hint message.Text) {
	page := errorPage{Page: Page{Title: headlines[code]}, Headline: headlines[code],
		Faults: faults(&fleet.Error{Kind: fleet.Invalid, Msg: msg, Hint: hint}), Request: requestID(r)}
	if wantsJSON(r) {
		s.writeJSON(w, r, code, notTaken{saidOf(page.Faults), page.Request})
		return
	}
	s.render(w, r, code, "error", page)
}

// bodyLimit is how much a request may send: more where a recording or a picture comes in, less at the
// log-in, where everybody may send and what is refused is held for a while.
func bodyLimit(r *http.Request) int64 {
	if r.URL.Path == "/login" || r.URL.Path == "/pair" {
		return maxLogin
	}
	if r.Method == http.MethodPost && r.URL.Path == "/take" {
		return maxTaken
	}
	if r.Method == http.MethodPost && strings.HasPrefix(r.URL.Path, "/v/") {
		switch path.Base(r.URL.Path) {
		case "listen":
			return maxSound
		case "pictures", "measure", "count":
			return picture.MaxFile + maxBody
		}
	}
	return maxBody
}

func (s *Server) limits(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, bodyLimit(r))
		patience := s.opt.Patience
		if r.Method == http.MethodPost && (r.URL.Path == "/take" || strings.HasSuffix(r.URL.Path, "/handover/file")) {
			patience = filesTime
			to := http.NewResponseController(w) // a writer that knows no deadlines has none to extend
			_ = errors.Join(to.SetReadDeadline(time.Now().Add(patience)), to.SetWriteDeadline(time.Now().Add(patience)))
		}
		ctx, cancel := context.WithTimeout(r.Context(), patience)
		defer cancel()
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}
