package web

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"time"

	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/message"
)

// loginPage asks for the pass-phrase.
type loginPage struct {
	Page
	Next  string
	Wrong bool
}

const (
	sessionKey   = "in"
	deviceCookie = "undertray-device"
	deviceStays  = 400 * 24 * time.Hour // the most that browsers keep
)

// visitor is who a request comes from where a pass-phrase guards the pages.
type visitor struct {
	may    door.May
	person string // of a device that was let in, else ""
}

// session keeps who gave the pass-phrase. Where a request came over TLS its cookie is never sent without.
func (s *Server) session(next http.Handler) http.Handler {
	over := *s.sessions
	over.Cookie.Secure = true
	secure, plain := over.LoadAndSave(next), s.sessions.LoadAndSave(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if by(r).secure {
			secure.ServeHTTP(w, r)
			return
		}
		plain.ServeHTTP(w, r)
	})
}

// requireLogin lets through who has given the pass-phrase and devices that were let in,
// each as far as it may, and everybody to the log-in, the door and their style.
func (s *Server) requireLogin(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		in, err := s.visitor(r)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		r = r.WithContext(context.WithValue(r.Context(), visitorKey, in))
		open := r.URL.Path == "/login" || r.URL.Path == "/pair" || r.URL.Path == "/"+door.CAFile ||
			strings.HasPrefix(r.URL.Path, "/assets/") || strings.HasPrefix(r.URL.Path, calendarsAt)
		switch {
		case open || in != nil && (reads(r) || in.may.Includes(door.Write)):
			next.ServeHTTP(w, r)
		case in != nil:
			s.notYours(w, r, in)
		case wantsJSON(r):
			hint := message.Text("log in at /login")
			if strings.HasPrefix(r.URL.Path, httpAt) {
				w.Header().Set("WWW-Authenticate", "Bearer")
				hint = "make a token with: undertray devices token NAME, and send it as: Authorization: Bearer TOKEN"
			}
			s.refuse(w, r, http.StatusUnauthorized, "the pass-phrase is asked for first", hint)
		default:
			http.Redirect(w, r, "/login?next="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
		}
	})
}

// visitor tells who a request comes from, nil where nobody let them in.
func (s *Server) visitor(r *http.Request) (*visitor, error) {
	if in := came(r); in != nil {
		return in, nil // by a token
	}
	if s.sessions.GetBool(r.Context(), sessionKey) {
		return &visitor{may: door.All}, nil
	}
	c, err := r.Cookie(deviceCookie)
	if err != nil {
		return nil, nil
	}
	dev, err := door.Of(s.opt.Dir).Who(c.Value, s.opt.Now())
	if dev == nil || err != nil || !dev.May.IsPerson() {
		return nil, err
	}
	return &visitor{may: dev.May, person: dev.Person}, nil
}

// notYours says that this device may not do that.
func (s *Server) notYours(w http.ResponseWriter, r *http.Request, in *visitor) {
	s.refuse(w, r, http.StatusForbidden, message.Of("this device %s", in.may.Words()),
		"ask who keeps the yard to let it in for more")
}

// owners lets a handler answer only whoever may do everything.
func (s *Server) owners(h handler) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		if !s.gives(r) {
			s.notYours(w, r, came(r))
			return nil
		}
		return h(w, r)
	}
}

// gives reports whether who looks may give vehicles away and take others in.
func (s *Server) gives(r *http.Request) bool {
	in := came(r)
	return in == nil || in.may.Includes(door.All)
}

// came tells who a request comes from: nil where no pass-phrase guards the pages, or
// nobody let them in.
func came(r *http.Request) *visitor {
	in, _ := r.Context().Value(visitorKey).(*visitor)
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
