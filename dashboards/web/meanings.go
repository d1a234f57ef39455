package web

import (
	"net/http"

	"amphora/dashboards/report"
)

// getMeanings says what each finding means and what to do about it, by its code: while it
// holds or, where past is asked for, once it is over.
func (s *Server) getMeanings(w http.ResponseWriter, r *http.Request) error {
	if r.URL.Query().Has("past") {
		return writeJSON(w, http.StatusOK, report.PastMeanings())
	}
	return writeJSON(w, http.StatusOK, report.Meanings())
}
