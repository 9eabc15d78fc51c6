package web

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
)

// way is how a request came.
type way struct {
	secure bool // nobody on the way can read it along
	passed bool // a proxy stands between, told of or not
}

// cameBy puts in place what a proxy says of a request, where the server was told to take that proxy's
// word: who asks (X-Forwarded-For) and whether over TLS (X-Forwarded-Proto). Of others it is noted only
// that they pass something on. The name is the one that the proxy passes on as Host: browsers can set
// any other header that would name one.
func (s *Server) cameBy(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		this := way{secure: s.opt.Secure}
		for _, h := range []string{"Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "Via"} {
			this.passed = this.passed || r.Header.Get(h) != ""
		}
		from := r.RemoteAddr
		if s.trusted(peer(from)) {
			said := strings.Split(strings.Join(r.Header.Values("X-Forwarded-Proto"), ","), ",")
			this.secure = this.secure || strings.EqualFold(strings.TrimSpace(said[len(said)-1]), "https")
			from = s.asker(from, r.Header.Values("X-Forwarded-For"))
		} else if this.passed {
			s.untold.Do(func() {
				s.opt.Log.Warn("a proxy passes requests on that this server was not told of: start it with --proxy",
					"proxy", peer(from))
			})
		}
		r = r.WithContext(context.WithValue(r.Context(), wayKey, this)) // a copy, whose fields may be set
		r.RemoteAddr = from
		next.ServeHTTP(w, r)
	})
}

// asker is the last of those whom the header names that is no trusted proxy itself: each proxy adds
// whom it heard from, and what stands further left may be made up. What cannot be read ends it.
func (s *Server) asker(from string, named []string) string {
	all := strings.Split(strings.Join(named, ","), ",")
	for _, one := range slices.Backward(all) {
		ip := peer(strings.TrimSpace(one))
		if !ip.IsValid() {
			return from
		}
		from = ip.String()
		if !s.trusted(ip) {
			break
		}
	}
	return from
}

// trusted reports whether the server was told to take a machine's word as a proxy.
func (s *Server) trusted(ip netip.Addr) bool {
	return slices.ContainsFunc(s.opt.Proxies, func(p netip.Prefix) bool { return p.Contains(ip) })
}

// peer reads an address with or without a port; the zero address where it is none.
func peer(from string) netip.Addr {
	if host, _, err := net.SplitHostPort(from); err == nil {
		from = host
	}
	ip, err := netip.ParseAddr(strings.Trim(from, "[]"))
	if err != nil {
		return netip.Addr{}
	}
	return ip.Unmap().WithZone("")
}

// by returns how a request came.
func by(r *http.Request) way {
	this, _ := r.Context().Value(wayKey).(way)
	return this
}

// told reports whether the host that a request names, with or without a port, is one that the
// server was told to answer to.
func (s *Server) told(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	host = strings.Trim(host, "[]")
	return slices.ContainsFunc(s.opt.Hosts, func(h string) bool { return strings.EqualFold(h, host) })
}

// ownHost refuses requests for foreign names where no pass-phrase guards the pages: a site could point
// its own name at this machine and read them. What a proxy passes on comes from elsewhere, whatever
// name it bears.
func (s *Server) ownHost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		through := by(r).passed
		if s.opt.Passphrase != "" || s.told(r.Host) || localName(r.Host) && !through {
			next.ServeHTTP(w, r)
			return
		}
		msg, start := message.Of("this server was not told of the name %s", r.Host), "undertray serve"
		if through {
			msg, start = message.Of("%s, for which a proxy asks", msg), start+" --proxy "+peer(r.RemoteAddr).String()
		}
		s.refuse(w, r, http.StatusMisdirectedRequest, msg,
			message.Of("set a pass-phrase with: undertray passphrase. Where something else keeps others out, "+
				"start it with: %s --host %s", start, bareName(r.Host)))
	})
}

// bareName is a host without its port, fit to be typed: NAME where it is no name of a machine.
func bareName(host string) string {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	if host == "" || strings.Trim(strings.ToLower(host), "abcdefghijklmnopqrstuvwxyz0123456789.-") != "" {
		return "NAME"
	}
	return host
}
