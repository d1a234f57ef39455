package web

import (
	"net/http"
	"strconv"
)

func (s *Server) getPorts(w http.ResponseWriter, r *http.Request) error {
	if s.options.Setup.Ports == nil {
		return notFound(r)
	}
	done, err := s.oneAtATime(r)
	if err != nil {
		return err
	}
	defer done()
	ports, err := s.options.Setup.Ports()
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"ports": ports})
}

// getLines shows the last raw lines of a channel; those after a number, so that
// who looks again gets the new ones only.
func (s *Server) getLines(w http.ResponseWriter, r *http.Request) error {
	after := uint64(0)
	if text := r.URL.Query().Get("after"); text != "" {
		var err error
		if after, err = strconv.ParseUint(text, 10, 64); err != nil {
			return problemf(http.StatusBadRequest, "after is %q, want the number of a line", text)
		}
	}
	if s.options.Setup.Lines == nil {
		return notFound(r)
	}
	lines, ok := s.options.Setup.Lines(r.PathValue("name"), after)
	if !ok {
		return noChannel(r)
	}
	return writeJSON(w, http.StatusOK, map[string]any{"lines": listOf(lines)})
}

// getLayout says how the last lines of a channel are laid out, as far as can be
// told from them.
func (s *Server) getLayout(w http.ResponseWriter, r *http.Request) error {
	if s.options.Setup.Identify == nil {
		return notFound(r)
	}
	done, err := s.oneAtATime(r)
	if err != nil {
		return err
	}
	defer done()
	layout, ok := s.options.Setup.Identify(r.PathValue("name"))
	if !ok {
		return noChannel(r)
	}
	return writeJSON(w, http.StatusOK, layout)
}
