//go:build linux

package e2e

import (
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/influxdata/line-protocol/v2/lineprotocol"
	"github.com/stretchr/testify/assert"
)

// shelf is a server that keeps points by series and time, while it is open.
type shelf struct {
	t      testing.TB
	server *httptest.Server
	open   atomic.Bool

	mu     sync.Mutex
	hung   chan struct{} // until this is closed no call is answered; nil while they are
	points map[string]map[int64]map[string]float64
	twice  int
}

func newShelf(t testing.TB) *shelf {
	s := &shelf{t: t, points: map[string]map[int64]map[string]float64{}}
	s.server = httptest.NewServer(s)
	t.Cleanup(func() {
		s.letGo()
		s.server.Close()
	})
	return s
}

// hang leaves all calls without an answer, until letGo.
func (s *shelf) hang() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.hung = make(chan struct{})
}

func (s *shelf) letGo() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.hung != nil {
		close(s.hung)
		s.hung = nil
	}
}

// wait is as long as it hangs, or the caller has patience.
func (s *shelf) wait(r *http.Request) {
	s.mu.Lock()
	hung := s.hung
	s.mu.Unlock()
	if hung == nil {
		return
	}
	_, _ = io.Copy(io.Discard, r.Body) // else nobody would notice that the caller has gone
	select {
	case <-hung:
	case <-r.Context().Done():
	}
}

func (s *shelf) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.wait(r)
	if !s.open.Load() {
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	text, err := gzip.NewReader(r.Body)
	if err == nil {
		var all []byte
		if all, err = io.ReadAll(text); err == nil {
			s.keep(all)
			w.WriteHeader(http.StatusNoContent)
			return
		}
	}
	w.WriteHeader(http.StatusInternalServerError) // the program was killed in the middle of it
}

func (s *shelf) keep(text []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	d := lineprotocol.NewDecoderWithBytes(text)
	for d.Next() {
		name, err := d.Measurement()
		assert.NoError(s.t, err)
		series := string(name)
		for {
			k, v, err := d.NextTag()
			assert.NoError(s.t, err)
			if k == nil {
				break
			}
			series += fmt.Sprintf(",%s=%s", k, v)
		}
		fields := map[string]float64{}
		for {
			k, v, err := d.NextField()
			assert.NoError(s.t, err)
			if k == nil {
				break
			}
			fields[string(k)] = v.FloatV()
		}
		at, err := d.Time(lineprotocol.Nanosecond, time.Time{})
		assert.NoError(s.t, err)
		if s.points[series] == nil {
			s.points[series] = map[int64]map[string]float64{}
		}
		if _, again := s.points[series][at.UnixNano()]; again {
			s.twice++
		}
		s.points[series][at.UnixNano()] = fields
	}
}

// found is a point of the shelf.
type found struct {
	series string
	at     time.Time
	fields map[string]float64
}

// all are the points whose series begins with a name, in the order of their times.
func (s *shelf) all(name string) (list []found) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for series, points := range s.points {
		for at, fields := range points {
			if strings.HasPrefix(series, name) {
				list = append(list, found{series, time.Unix(0, at), fields})
			}
		}
	}
	slices.SortFunc(list, func(a, b found) int { return a.at.Compare(b.at) })
	return list
}
