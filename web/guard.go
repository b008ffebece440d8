package web

import (
	"crypto/subtle"
	"net"
	"net/http"
	"strings"
)

// policy lets the page load only what this server serves.
const policy = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard checks host, token and size before anything else looks at a request.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if strings.HasPrefix(r.URL.Path, "/api/") {
			h.Set("Cache-Control", "no-store")
		}
		if !s.hostOK(r.Host) {
			// Another name that resolves to this machine must not reach the jobs.
			fail(w, http.StatusForbidden, "this page is served under "+strings.Join(s.opt.Hosts, ", ")+" only")
			return
		}
		if s.opt.Token != "" && !s.tokenOK(w, r) {
			fail(w, http.StatusForbidden, "open the page by the address that was printed: it holds a token")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, maxBody)
		next.ServeHTTP(w, r)
	})
}

func (s *Server) hostOK(hostport string) bool {
	host := hostport
	if h, _, err := net.SplitHostPort(hostport); err == nil {
		host = h
	}
	host = strings.Trim(host, "[]")
	for _, ok := range s.opt.Hosts {
		if strings.EqualFold(host, ok) {
			return true
		}
	}
	return false
}

const cookie = "trapweir"

func (s *Server) tokenOK(w http.ResponseWriter, r *http.Request) bool {
	same := func(t string) bool { return subtle.ConstantTimeCompare([]byte(t), []byte(s.opt.Token)) == 1 }
	if c, err := r.Cookie(cookie); err == nil && same(c.Value) {
		return true
	}
	if t := r.URL.Query().Get("token"); t != "" && same(t) {
		http.SetCookie(w, &http.Cookie{Name: cookie, Value: s.opt.Token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		return true
	}
	return false
}
