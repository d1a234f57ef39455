package web

import (
	"context"
	"log/slog"
	"net/http"
	"time"

	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
)

// Options are what the server shows, and to whom.
type Options struct {
	Live *live.Hub
	Book *logbook.Book
	// Samples returns the rows of a session in order of time. An unknown session
	// is a logbook.ErrNotFound.
	Samples func(ctx context.Context, session string) ([]curve.Point, error)
	Metrics http.Handler
	// Ready says why requests cannot be answered usefully yet, Healthy what is
	// wrong with the recording; nil for nothing, also as a function.
	Ready, Healthy func() error
	Access         Access
	// Hostname is the name by which browsers may call this host, also with
	// ".local" behind it; empty for none.
	Hostname string
	Now      func() time.Time // time.Now where nil
	Log      *slog.Logger     // nil for nobody
}

// Access says who may look. Without a token and users, everybody who can reach
// the server may, and it serves the loopback interface only. Files are read
// again when they have changed.
type Access struct {
	TokenFile string // one line: the token
	UsersFile string // lines of "name: hash", the hash by bcrypt; "#" begins a comment
	TLSCert   string // PEM files; both or neither
	TLSKey    string
	Hosts     []string // further names by which browsers may call this host
}
