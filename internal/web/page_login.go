package web

import (
	"context"
	"net/http"
	"net/url"
	"strings"
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
			s.writeJSON(w, r, http.StatusUnauthorized,
				map[string]string{"error": "the pass-phrase is asked for first", "hint": "log in at /login"})
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
	return s.render(w, r, http.StatusOK, "login",
		loginPage{Page: s.base(r, "Pass-phrase"), Next: ownPath(r.URL.Query().Get("next"))})
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
		return s.render(w, r, http.StatusUnauthorized, "login",
			loginPage{Page: s.base(r, "Pass-phrase"), Next: next, Wrong: true})
	}
	if err := s.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	s.sessions.Put(r.Context(), sessionKey, true)
	http.Redirect(w, r, next, http.StatusSeeOther)
	return nil
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
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(p, "/") || strings.HasPrefix(p, "//") ||
		strings.ContainsAny(p, "\\\r\n") {
		return "/"
	}
	return p
}
