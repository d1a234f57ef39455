package web

import (
	"crypto/sha256"
	"log/slog"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"
)

const (
	hashedAtOnce = 2
	// remembered is how many good logins are kept so that not every request of a
	// page costs a password hash.
	remembered = 256
)

// login lets in those who know a secret.
type login struct {
	secrets  *watched[*secrets] // nil where everybody may come in
	attempts *attempts
	turn     chan struct{}
	log      *slog.Logger
}

func newLogin(a Access, now func() time.Time, log *slog.Logger) (*login, error) {
	l := &login{attempts: newAttempts(now), turn: make(chan struct{}, hashedAtOnce), log: log}
	if a.TokenFile == "" && a.UsersFile == "" {
		return l, nil
	}
	var err error
	l.secrets, err = watch(log, func() (*secrets, error) { return readSecrets(a) }, a.TokenFile, a.UsersFile)
	return l, err
}

// needed reports whether there is anything to know.
func (l *login) needed() bool { return l.secrets != nil }

// stranger reports whether a request offers no secret where there is one to know.
func (l *login) stranger(r *http.Request) bool {
	_, _, given := offered(r)
	return l.needed() && !given
}

// check says why a request may not come in, or nil.
func (l *login) check(r *http.Request) error {
	switch {
	case !l.needed():
		return nil
	case l.stranger(r):
		return unauthorized()
	}
	name, secret, _ := offered(r)
	from := addressOf(r)
	key := fingerprint(from, name, secret)
	current := l.secrets.get()
	if current.good.has(key) {
		return nil
	}
	if wait := l.attempts.take(from); wait > 0 {
		return problemf(http.StatusTooManyRequests, "too many logins failed; try again in %d s", wait).retryAfter(wait)
	}
	ok, err := current.accept(r.Context(), name, secret, l.turn)
	if err != nil {
		return err
	}
	if !ok {
		l.log.Warn("login refused", "from", from) // as often as attempts allow
		return unauthorized()
	}
	l.attempts.giveBack(from)
	current.good.add(key)
	return nil
}

// watch is asked again and again whether a request that was let in may still be here: since then
// its name may have been taken out, or another password set.
func (l *login) watch(r *http.Request) func() error {
	if !l.needed() {
		return func() error { return nil }
	}
	seen := l.secrets.get()
	return func() error {
		current := l.secrets.get()
		if current == seen {
			return nil
		}
		seen = current
		return l.check(r)
	}
}

// logins are those that were right, by their fingerprints.
type logins struct {
	mu  sync.Mutex
	all map[[sha256.Size]byte]bool
}

func (l *logins) has(key [sha256.Size]byte) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.all[key]
}

func (l *logins) add(key [sha256.Size]byte) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.all == nil || len(l.all) >= remembered {
		l.all = make(map[[sha256.Size]byte]bool)
	}
	l.all[key] = true
}

// fingerprint stands for a login from an address. The address is part of it, or
// guessing would not be slowed for whoever guesses what is remembered.
func fingerprint(from, name, secret string) [sha256.Size]byte {
	return sha256.Sum256([]byte(from + "\x00" + name + "\x00" + secret))
}

// offered is the secret that a request carries.
func offered(r *http.Request) (name, secret string, given bool) {
	if name, secret, given = r.BasicAuth(); given {
		return name, secret, true
	}
	scheme, token, _ := strings.Cut(r.Header.Get("Authorization"), " ")
	token = strings.TrimSpace(token)
	return "", token, strings.EqualFold(scheme, "Bearer") && token != ""
}

// unauthorized is one and the same answer whatever was wrong.
func unauthorized() *problem {
	return problemf(http.StatusUnauthorized, "log in with a name and password, or with the token").
		with("WWW-Authenticate", `Basic realm="amphora", charset="UTF-8"`)
}

// addressOf is who a request comes from, as far as it is told apart: a whole
// network of the sixth version is one household.
func addressOf(r *http.Request) string {
	at, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	a := at.Addr().Unmap().WithZone("")
	if a.Is6() {
		return netip.PrefixFrom(a, 64).Masked().String()
	}
	return a.String()
}
