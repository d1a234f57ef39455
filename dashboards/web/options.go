package web

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"time"

	"amphora/analyze"
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
	// Shape returns a few thousand of them with every peak among them, at once; nil
	// where nobody has them ready, also as a function.
	Shape func(ctx context.Context, session string) ([]curve.Point, error)
	// Report writes the report on a session as a page that needs no other file, as
	// the package report makes it. An unknown session is a logbook.ErrNotFound.
	Report func(ctx context.Context, session string, w io.Writer) error
	// Assign tells a session again as that of another battery. An unknown session, or one
	// whose lines are no longer kept, is a logbook.ErrNotFound; one that may still be
	// revised a logbook.ErrUnsettled.
	Assign  func(ctx context.Context, session, battery string) (analyze.Session, error)
	Metrics http.Handler
	Setup   Setup
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

// Setup is what is needed to set channels up. What is nil is not to be had here.
// What comes back is written as JSON.
type Setup struct {
	// Ports are the serial ports of this host, as the command lists them.
	Ports func() (any, error)
	// Lines are the last raw lines of a channel after the one of a number; false
	// where there is no such channel.
	Lines func(channel string, after uint64) ([]live.Line, bool)
	// Identify says how the last lines of a channel are laid out.
	Identify func(channel string) (any, bool)
	// Limit sets what is to be warned of on a channel; false where there is none.
	// No charger hears of it.
	Limit func(channel string, n live.NewLimits) (live.Limits, bool, error)
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

// Check says why the files cannot be used, without a word of what is in them; nil where they can.
func (a Access) Check() error {
	if _, err := readSecrets(a); err != nil {
		return err
	}
	_, err := newCertificate(a, slog.New(slog.DiscardHandler))
	return err
}
