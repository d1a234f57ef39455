package web

import (
	"net/http"

	"amphora/dashboards/report"
)

// mostCharges is how many of a battery's charges its condition is worked out
// from, the latest: four years of one a day.
const mostCharges = 1500

func (s *Server) getCondition(w http.ResponseWriter, r *http.Request) error {
	b, err := s.book.Battery(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	done, err := s.oneAtATime(r)
	if err != nil {
		return err
	}
	defer done()
	h, err := report.History(r.Context(), s.book, b, mostCharges)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, h.Condition)
}
