package web

import (
	"io"
	"net/http"
)

// getHealthy tells a supervisor whether recording goes well.
func (s *Server) getHealthy(w http.ResponseWriter, _ *http.Request) error {
	return state(w, "healthy", s.options.Healthy)
}

// getReady tells a supervisor whether requests can be answered.
func (s *Server) getReady(w http.ResponseWriter, _ *http.Request) error {
	return state(w, "ready", s.options.Ready)
}

func state(w http.ResponseWriter, word string, check func() error) error {
	if check != nil {
		if err := check(); err != nil {
			return problemf(http.StatusServiceUnavailable, "not %s: %v", word, err)
		}
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, _ = io.WriteString(w, word+"\n") // the asker may be gone
	return nil
}
