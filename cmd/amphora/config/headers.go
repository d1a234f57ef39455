package config

import (
	"net/http"
	"regexp"
	"sync"
)

// pattern is compiled when it is first needed, as most commands read no configuration.
func pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

// headerName is a token (RFC 9110, 5.1).
var headerName = pattern("^[A-Za-z0-9!#$%&'*+.^_`|~-]+$")

// ownHeaders are those that a message bears anyway, and what to do about those that
// are secret.
var ownHeaders = map[string]string{
	"Content-Type": "is set by amphora", "Content-Length": "is set by amphora", "Host": "is set by amphora", "User-Agent": "is set by amphora",
	"Amphora-Id": "is set by amphora", "Amphora-Signature": "is set by amphora; see signing-key-file:",
	"Authorization": "is a secret, which comes from a file; see token-file: and headers-file:",
	"Cookie":        "is a secret, which comes from a file; see headers-file:",
}

// headers reads what is sent along with each message.
func (r *reader) headers(p *http.Header) func(node) {
	return func(n node) {
		*p = http.Header{}
		r.pairs(n, "{X-Room: garage}", "a text like garage", func(at place, name, text string, ok bool) {
			switch why := ownHeaders[http.CanonicalHeaderKey(name)]; {
			case !headerName().MatchString(name):
				r.failAt(at, n.path, "%q is no name for a header, want letters, digits and -", name)
			case why != "":
				r.failAt(at, n.path, "%s %s", name, why)
			case ok && !printable().MatchString(text):
				r.failAt(at, n.path, "%s: %q cannot be sent in a header, want plain text in one line", name, text)
			case ok:
				p.Add(name, text)
			}
		})
	}
}

// printable is what every receiver takes in a header.
var printable = pattern(`^[\x20-\x7e]+$`)
