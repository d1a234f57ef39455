package web

import (
	"net/http"

	"amphora/dashboards/report"
)

// getMeanings says what each finding means and what to do about it, by its code.
func (s *Server) getMeanings(w http.ResponseWriter, _ *http.Request) error {
	return writeJSON(w, http.StatusOK, report.Meanings())
}
