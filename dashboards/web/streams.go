package web

import (
	"net/http"
	"sync"
)

const (
	mostStreams        = 64
	mostStreamsAnybody = 8 // of one address
)

// streams counts the answers that go on.
type streams struct {
	mu   sync.Mutex
	all  int
	each map[string]int
}

func newStreams() *streams { return &streams{each: make(map[string]int)} }

// enter takes a place, or says that there is none.
func (s *streams) enter(from string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.each[from] >= mostStreamsAnybody:
		return problemf(http.StatusTooManyRequests, "%d live streams go to your address already; close a page", s.each[from]).retryAfter(10)
	case s.all >= mostStreams:
		return problemf(http.StatusServiceUnavailable, "%d live streams are open already", s.all).retryAfter(10)
	}
	s.all++
	s.each[from]++
	return nil
}

func (s *streams) leave(from string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all--
	if s.each[from]--; s.each[from] == 0 {
		delete(s.each, from)
	}
}
