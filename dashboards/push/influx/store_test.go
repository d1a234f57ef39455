package influx

import (
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"amphora/dashboards/testhelp"
)

// point is one as a server keeps it: a second one of the same series and time takes
// its place.
type point struct {
	series string // name and tags
	at     int64  // ns since 1970
}

// decoded reads line protocol as a server does, and writes the fields in the order of
// their names.
func decoded(t testing.TB, text []byte) (order []point, fields map[point]string) {
	t.Helper()
	fields = map[point]string{}
	for _, one := range testhelp.Points(t, text) {
		var all []string
		for _, k := range slices.Sorted(maps.Keys(one.Fields)) {
			all = append(all, fmt.Sprintf("%s=%v", k, one.Fields[k]))
		}
		p := point{named(one.Name, one.Tags), one.At.UnixNano()}
		order = append(order, p)
		fields[p] = strings.Join(all, ",")
	}
	return order, fields
}

// named is the name of a series, its tags in order; an empty one is none.
func named(name string, tags map[string]string) string {
	var list []string
	for _, k := range slices.Sorted(maps.Keys(tags)) {
		if tags[k] != "" {
			list = append(list, ","+k+"="+tags[k])
		}
	}
	return name + strings.Join(list, "")
}

// store is a server in memory, between which and the sink there is no network.
type store struct {
	t testing.TB

	mu       sync.Mutex
	fault    func(r *http.Request, text string) (status int, why string) // 0: none; -1: no connection; -2: no answer
	points   map[point]string
	order    []point // of first arrival
	twice    int     // points that came again
	requests int
	asked    []time.Time
	slow     time.Duration // that it takes for a request
}

func newStore(t testing.TB) *store { return &store{t: t, points: map[point]string{}} }

func (s *store) setFault(f func(*http.Request, string) (int, string)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fault = f
}

func (s *store) setSlow(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.slow = d
}

func (s *store) RoundTrip(r *http.Request) (*http.Response, error) {
	unpacked, err := gzip.NewReader(r.Body)
	require.NoError(s.t, err)
	text, err := io.ReadAll(unpacked)
	require.NoError(s.t, err)
	s.mu.Lock()
	s.requests++
	s.asked = append(s.asked, time.Now())
	slow := s.slow
	status, why := 0, ""
	if s.fault != nil {
		status, why = s.fault(r, string(text))
	}
	s.mu.Unlock()
	time.Sleep(slow)
	switch status {
	case 0:
		s.keep(text)
		status = http.StatusNoContent
	case -1:
		return nil, errors.New("connection refused")
	case -2:
		<-r.Context().Done()
		return nil, r.Context().Err()
	}
	return &http.Response{StatusCode: status, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(why)), Request: r}, nil
}

func (s *store) keep(text []byte) {
	order, fields := decoded(s.t, text)
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, p := range order {
		if _, again := s.points[p]; again {
			s.twice++
		} else {
			s.order = append(s.order, p)
		}
		s.points[p] = fields[p]
	}
}

// times are those of a series, in the order in which they first came.
func (s *store) times(series string) (at []int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, p := range s.order {
		if p.series == series {
			at = append(at, p.at)
		}
	}
	return at
}

// requireInOrder fails where a series has more or less than so many points, or they
// came in another order than that of their times.
func (s *store) requireInOrder(series string, points int) {
	s.t.Helper()
	at := s.times(series)
	require.Len(s.t, at, points, series)
	require.True(s.t, slices.IsSorted(at), series)
}

// always is a fault that never ends.
func always(status int, why string) func(*http.Request, string) (int, string) {
	return func(*http.Request, string) (int, string) { return status, why }
}
