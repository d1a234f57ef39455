package web

import (
	"net/http"
)

func (s *Server) getChannels(w http.ResponseWriter, _ *http.Request) error {
	return writeJSON(w, http.StatusOK, map[string]any{"channels": s.live.Snapshot()})
}

func (s *Server) getChannel(w http.ResponseWriter, r *http.Request) error {
	c, ok := s.live.Get(r.PathValue("name"))
	if !ok {
		return noChannel(r)
	}
	return writeJSON(w, http.StatusOK, c)
}

func noChannel(r *http.Request) *problem {
	return problemf(http.StatusNotFound, "no channel is called %q", r.PathValue("name"))
}
