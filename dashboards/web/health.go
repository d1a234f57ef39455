package web

import (
	"io"
	"net/http"
)

// getHealthy tells a supervisor whether recording goes well.
func (s *Server) getHealthy(w http.ResponseWriter, r *http.Request) error {
	return s.state(w, r, "healthy", s.options.Healthy)
}

// getReady tells a supervisor whether requests can be answered.
func (s *Server) getReady(w http.ResponseWriter, r *http.Request) error {
	return s.state(w, r, "ready", s.options.Ready)
}

// probes are for supervisors, which have no login as a rule: they are told yes or no without one.
var probes = map[string]bool{"/-/healthy": true, "/-/ready": true}

// state answers a probe. Why the answer is no, which names channels and folders, is for those who may come in.
func (s *Server) state(w http.ResponseWriter, r *http.Request, word string, check func() error) error {
	if check != nil {
		if err := check(); err != nil && s.login.stranger(r) {
			return problemf(http.StatusServiceUnavailable, "not %s; log in to hear why", word)
		} else if err != nil {
			return problemf(http.StatusServiceUnavailable, "not %s: %v", word, err)
		}
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, _ = io.WriteString(w, word+"\n") // the asker may be gone
	return nil
}
