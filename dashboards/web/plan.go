package web

import (
	"errors"
	"net/http"

	"amphora/analyze/plan"
	"amphora/dashboards/label"
)

// getPlan says what to set a charger to, from a battery's label. The query has
// the names of the command's flags, and values as people type them. Nothing is
// changed by it, so that a plan can be kept as a link.
func (s *Server) getPlan(w http.ResponseWriter, r *http.Request) error {
	given := map[string]string{}
	for name, values := range r.URL.Query() {
		given[name] = values[len(values)-1]
	}
	in, wrong := label.Read(given)
	if len(wrong) > 0 {
		return errors.Join(wrong...)
	}
	advice, err := plan.Plan(in)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, advice)
}
