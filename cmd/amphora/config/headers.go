package config

import (
	"net/http"
	"regexp"

	"github.com/goccy/go-yaml/ast"
)

// headerName is a token (RFC 9110, 5.1).
var headerName = regexp.MustCompile("^[A-Za-z0-9!#$%&'*+.^_`|~-]+$")

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
		m, ok := n.value.(*ast.MappingNode)
		if !ok {
			r.wrongShape(n, "names and texts like {X-Room: garage}")
			return
		}
		*p = http.Header{}
		for _, entry := range m.Values {
			name, _ := scalar(entry.Key)
			if r.offer != nil {
				r.offer(n.path, []string{name})
			}
			text, ok := r.scalar(node{entry.Value, placeOfEntry(entry), join(n.path, name)}, "a text like garage")
			switch why := ownHeaders[http.CanonicalHeaderKey(name)]; {
			case !headerName.MatchString(name):
				r.failAt(placeOf(entry.Key), n.path, "%q is no name for a header, want letters, digits and -", name)
			case why != "":
				r.failAt(placeOf(entry.Key), n.path, "%s %s", name, why)
			case ok && !printable.MatchString(text):
				r.failAt(placeOf(entry.Key), n.path, "%s: %q cannot be sent in a header, want plain text in one line", name, text)
			case ok:
				p.Add(name, text)
			}
		}
	}
}

// printable is what every receiver takes in a header.
var printable = regexp.MustCompile(`^[\x20-\x7e]+$`)
