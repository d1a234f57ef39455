package web

import (
	"bytes"
	"net/http"

	"amphora/dashboards/report"
)

// getReport shows the report on a charge, to be printed or kept. It carries its own
// style and pictures, which the policy of our own pages would forbid.
func (s *Server) getReport(w http.ResponseWriter, r *http.Request) error {
	done, err := s.oneAtATime(r)
	if err != nil {
		return err
	}
	defer done()
	var page bytes.Buffer
	if err := s.options.Report(r.Context(), r.PathValue("id"), &page); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Security-Policy", report.Policy()+"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	_, _ = w.Write(page.Bytes()) // the asker may be gone
	return nil
}
