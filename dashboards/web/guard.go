package web

import (
	"net/http"
	"net/url"
	"path"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

const (
	bodyWithin   = 10 * time.Second // for a request's body to arrive
	answerWithin = 30 * time.Second // for an answer to be taken
	longestPath  = 600              // bytes; a battery's name may have 64 letters of 4 bytes, written as %XX
)

// policy lets a page of ours use its own files and this server, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// secure sets what every answer says, errors too.
func secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Referrer-Policy", "no-referrer")
}

// deadlines bounds how long a request may last. A stream sets its own.
func deadlines(w http.ResponseWriter, r *http.Request) {
	c := http.NewResponseController(w)
	if r.ContentLength != 0 {
		_ = c.SetReadDeadline(time.Now().Add(bodyWithin)) // a recorder in a test has none
	}
	_ = c.SetWriteDeadline(time.Now().Add(answerWithin))
}

// refuse says why a request is turned away before anybody looks at what it
// wants, or nil.
func (s *Server) refuse(r *http.Request) error {
	switch {
	case !s.hosts.allows(r.Host):
		return problemf(http.StatusMisdirectedRequest,
			"this server does not go by the name %q; add it to the hosts under access in the configuration if it should", r.Host)
	case !tidy(r.URL.Path):
		return notFound(r)
	case foreign(r):
		return problemf(http.StatusForbidden, "requests that come from another site's page are refused")
	case probes[r.URL.Path] && s.login.stranger(r):
		return nil
	}
	return s.login.check(r)
}

// tidy reports whether a path could be one of ours: no way around, no bytes that
// belong in no name.
func tidy(p string) bool {
	return len(p) <= longestPath && strings.HasPrefix(p, "/") && path.Clean(p) == p &&
		utf8.ValidString(p) && !strings.ContainsRune(p, '\\') && !strings.ContainsFunc(p, unicode.IsControl)
}

// foreign reports whether a request was made by the page of another site. What a
// browser says of itself in Sec-Fetch-Site must fit, and so must Origin: browsers
// leave the first out on plain HTTP. A link from elsewhere may lead to the page
// itself, which holds no data.
func foreign(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "none", "same-origin":
	default:
		return r.Method != http.MethodGet || r.URL.Path != "/" || r.Header.Get("Sec-Fetch-Mode") != "navigate"
	}
	for _, origin := range r.Header.Values("Origin") {
		u, err := url.Parse(origin)
		if err != nil || u.Host == "" || !strings.EqualFold(u.Host, r.Host) {
			return true
		}
	}
	return false
}

func notFound(r *http.Request) *problem {
	return problemf(http.StatusNotFound, "there is nothing at %q", r.URL.Path)
}
