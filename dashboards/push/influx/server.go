package influx

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"amphora/dashboards/outside"
	"amphora/dashboards/push"
	"amphora/dashboards/push/points"
	"amphora/dashboards/push/spool"
)

// Server is a server as it is configured: one with a database, or one with an
// organization and a bucket.
type Server struct {
	URL      string // without /write or /api/v2/write; a query in it is sent along
	Database string
	Org      string
	Bucket   string

	User         string
	PasswordFile string
	TokenFile    string // holds a token, or a scheme and a token like "Bearer ..."
	CAFile       string // certificates to trust besides those of the system, PEM

	Tags   map[string]string // added to every point
	Limit  int64             // bytes that may wait on disk; spool.DefaultLimit where 0
	Points int               // in one request; DefaultPoints where 0
	Age    time.Duration     // of the oldest point in a request; DefaultAge where 0

	// For tests, what is in place of the network, and of spool.DefaultMemory.
	transport http.RoundTripper
	memory    int
}

const (
	// DefaultPoints is how many points go into one request, about half a megabyte
	// before compression.
	DefaultPoints = 5000
	// DefaultAge is how long a point may wait for others to go with it.
	DefaultAge = 10 * time.Second
)

// Name is the host and what the points go into there; the rest of an address may be
// a password.
func (s *Server) Name() string {
	return "influx " + outside.Host(s.URL) + " " + cmp.Or(s.Database, s.Org+"/"+s.Bucket)
}

// Folder is where the spool of this server is, and of no other.
func (s *Server) Folder() string {
	sum := sha256.Sum256([]byte(strings.Join([]string{s.URL, s.Database, s.Org, s.Bucket}, "\x00")))
	readable := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.' || r == '_' {
			return r
		}
		return '-'
	}, s.Name())
	return readable[:min(len(readable), 80)] + "-" + hex.EncodeToString(sum[:4])
}

// address is where points are posted to.
func (s *Server) address() (string, error) {
	u, err := url.Parse(s.URL)
	if err != nil || u.Host == "" {
		return "", fmt.Errorf("the address is not one that can be used, want one like http://host.local:8086")
	}
	q := u.Query()
	q.Set("precision", "ns")
	if s.Database != "" {
		u = u.JoinPath("write")
		q.Set("db", s.Database)
	} else {
		u = u.JoinPath("api", "v2", "write")
		q.Set("org", s.Org)
		q.Set("bucket", s.Bucket)
	}
	u.RawQuery = q.Encode()
	return u.String(), nil
}

// unspoken is what an address has besides the host, which may be a password too.
func (s *Server) unspoken() (all []string) {
	u, err := url.Parse(s.URL)
	if err != nil {
		return nil
	}
	if path := strings.Trim(u.EscapedPath(), "/"); path != "" {
		all = append(all, path)
	}
	for _, values := range u.Query() {
		for _, v := range values {
			all = append(all, v, url.QueryEscape(v))
		}
	}
	return all
}

// Open reads what still waits for the server and begins to deliver.
func (s *Server) Open(h push.Host) (push.Sink, error) {
	log := h.Log
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	dir := filepath.Join(h.Dir, s.Folder())
	queue := spool.Open(spool.Options{Dir: dir, Limit: s.Limit, Memory: s.memory, Log: log})
	k := &sink{
		server: s, queue: queue, dir: dir, herald: herald{log: log, name: s.Name()},
		most: cmp.Or(s.Points, DefaultPoints), age: cmp.Or(s.Age, DefaultAge), memory: cmp.Or(s.memory, spool.DefaultMemory),
		lines: points.New(s.Tags), marks: map[string]uint64{},
		wake: make(chan struct{}, 1), closing: make(chan struct{}), done: make(chan struct{}),
	}
	k.status.Name = s.Name()
	k.courier = courier{server: s, limit: tryLimit}
	_, err := os.Stat(filepath.Join(dir, knownName))
	k.known = err == nil
	ctx, cancel := context.WithCancel(context.Background())
	k.cancel = cancel
	go k.run(ctx)
	return k, nil
}
