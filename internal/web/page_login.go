package web

import (
	"cmp"
	"context"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"undertray/internal/fleet"
)

// loginPage asks for the pass-phrase.
type loginPage struct {
	Page
	Next  string
	Wrong bool
}

const sessionKey = "in"

// requireLogin lets through who has given the pass-phrase, and everybody to the
// login and its style.
func (s *Server) requireLogin(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		in := s.sessions.GetBool(r.Context(), sessionKey)
		r = r.WithContext(context.WithValue(r.Context(), loginKey, in))
		open := r.URL.Path == "/login" || strings.HasPrefix(r.URL.Path, "/assets/")
		switch {
		case in || open:
			next.ServeHTTP(w, r)
		case wantsJSON(r):
			s.writeJSON(w, r, http.StatusUnauthorized, map[string]string{"error": "the pass-phrase is asked for first", "hint": "log in at /login"})
		default:
			http.Redirect(w, r, "/login?next="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
		}
	})
}

func (s *Server) loggedIn(r *http.Request) bool {
	in, _ := r.Context().Value(loginKey).(bool)
	return in
}

func (s *Server) loginPage(w http.ResponseWriter, r *http.Request) error {
	if s.opt.Passphrase == "" {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	}
	return s.render(w, r, http.StatusOK, "login", loginPage{Page: s.base(r, "Pass-phrase"), Next: ownPath(r.URL.Query().Get("next"))})
}

// wrongPause is how long a wrong pass-phrase waits for its answer.
const wrongPause = time.Second

// mostWaiting is how many pass-phrases may wait to be tried; of more, the oldest
// are turned away.
const mostWaiting = 16

// gate lets one pass-phrase be tried at a time, as each costs 64 MiB. Who comes
// last is let in first: however many wrong ones wait, one more is tried next.
type gate struct {
	mu      sync.Mutex
	busy    bool
	waiting []chan bool // true: go on; false: too many came after
}

// enter waits for its turn; false means that it was crowded out or given up.
func (g *gate) enter(ctx context.Context) bool {
	g.mu.Lock()
	if !g.busy {
		g.busy = true
		g.mu.Unlock()
		return true
	}
	turn := make(chan bool, 1)
	g.waiting = append(g.waiting, turn)
	if len(g.waiting) > mostWaiting {
		g.waiting[0] <- false
		g.waiting = g.waiting[1:]
	}
	g.mu.Unlock()
	select {
	case in := <-turn:
		return in
	case <-ctx.Done():
	}
	g.mu.Lock()
	g.waiting = slices.DeleteFunc(g.waiting, func(c chan bool) bool { return c == turn })
	g.mu.Unlock()
	select {
	case in := <-turn: // it came in the meantime
		if in {
			g.leave()
		}
	default:
	}
	return false
}

// leave lets the next one in.
func (g *gate) leave() {
	g.mu.Lock()
	defer g.mu.Unlock()
	last := len(g.waiting) - 1
	if g.busy = last >= 0; g.busy {
		g.waiting[last] <- true
		g.waiting = g.waiting[:last]
	}
}

func (s *Server) loginTry(w http.ResponseWriter, r *http.Request) error {
	if s.opt.Passphrase == "" {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	}
	if err := form(r); err != nil {
		return err
	}
	next := ownPath(r.PostForm.Get("next"))
	ok, err := s.tryPassphrase(r, r.PostForm.Get("passphrase"))
	if err != nil {
		return err
	}
	if !ok {
		return s.render(w, r, http.StatusUnauthorized, "login", loginPage{Page: s.base(r, "Pass-phrase"), Next: next, Wrong: true})
	}
	if err := s.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	s.sessions.Put(r.Context(), sessionKey, true)
	http.Redirect(w, r, next, http.StatusSeeOther)
	return nil
}

// tryPassphrase checks one pass-phrase at a time, and lets a wrong one wait. Wrong
// ones are logged with where they came from, never with what was typed.
func (s *Server) tryPassphrase(r *http.Request, phrase string) (bool, error) {
	ctx := r.Context()
	if !s.gate.enter(ctx) {
		s.opt.Log.Warn("log-in crowded out", "request", requestID(r), "from", r.RemoteAddr)
		return false, cmp.Or(ctx.Err(), error(&fleet.Error{Kind: fleet.Unavailable, Msg: "too many pass-phrases are being tried", Hint: "try again in a moment"}))
	}
	ok, err := CheckPassphrase(s.opt.Passphrase, phrase)
	s.gate.leave()
	if ok || err != nil {
		return ok, err
	}
	s.opt.Log.Warn("wrong pass-phrase", "request", requestID(r), "from", r.RemoteAddr)
	select {
	case <-time.After(wrongPause):
	case <-ctx.Done():
	}
	return false, nil
}

func (s *Server) logout(w http.ResponseWriter, r *http.Request) error {
	if s.opt.Passphrase != "" {
		if err := s.sessions.Destroy(r.Context()); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// ownPath returns an address within this site, "/" for anything else.
func ownPath(p string) string {
	u, err := url.Parse(p)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(p, "/") || strings.HasPrefix(p, "//") || strings.ContainsAny(p, "\\\r\n") {
		return "/"
	}
	return p
}
