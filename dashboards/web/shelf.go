package web

import (
	"context"
	"slices"
	"sync"
	"time"

	"amphora/dashboards/curve"
)

const (
	// shelved is how many curves are at hand: one that somebody looks into, and one
	// that it is compared with. A long one takes 6 MB.
	shelved = 2
	// shelfLife is how long a curve stays at hand. One that still grows is soon read
	// anew.
	shelfLife        = 3 * time.Minute
	shelfLifeGrowing = 15 * time.Second
)

// shelf keeps the curves that were shown last at hand. Who looks into one asks for
// stretch after stretch of it, and each time to go through the journal again would
// take a second in a long night. Curves are read one at a time, so that many readers
// cost a small machine no more than one.
type shelf struct {
	read func(ctx context.Context, session string) ([]curve.Point, error)
	turn chan struct{}

	mu   sync.Mutex
	held []*onShelf // the latest last
}

type onShelf struct {
	session string
	points  []curve.Point
}

func newShelf(read func(context.Context, string) ([]curve.Point, error)) *shelf {
	return &shelf{read: read, turn: make(chan struct{}, 1)}
}

// get returns the curve of a session; nobody may change it. life is how long it may
// be shown again.
func (s *shelf) get(ctx context.Context, session string, life time.Duration) ([]curve.Point, error) {
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if held := s.find(session); held != nil {
		return held.points, nil
	}
	points, err := s.read(ctx, session)
	if err == nil {
		s.put(&onShelf{session, points}, life)
	}
	return points, err
}

func (s *shelf) find(session string) *onShelf {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, h := range s.held {
		if h.session == session {
			return h
		}
	}
	return nil
}

// put makes room for a curve, and takes it away again when its time is over.
func (s *shelf) put(h *onShelf, life time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.held = append(s.held, h)
	if len(s.held) > shelved {
		s.held = s.held[1:]
	}
	time.AfterFunc(life, func() { s.drop(h) })
}

func (s *shelf) drop(gone *onShelf) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.held = slices.DeleteFunc(s.held, func(h *onShelf) bool { return h == gone })
}
