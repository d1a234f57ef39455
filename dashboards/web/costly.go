package web

import "net/http"

// oneAtATime waits until nobody else asks for what costs much, so that a crowd
// can take one processor at most from the recording. The caller calls done.
func (s *Server) oneAtATime(r *http.Request) (done func(), err error) {
	select {
	case s.costly <- struct{}{}:
		return func() { <-s.costly }, nil
	case <-r.Context().Done():
		return nil, r.Context().Err()
	}
}
