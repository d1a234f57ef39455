package web

import (
	"errors"
	"fmt"
	"net/http"

	"amphora/analyze/logbook"
)

// patchSession says of which battery a charge was; nothing else of it can be changed. It is
// told again from the journal, which may take a second.
func (s *Server) patchSession(w http.ResponseWriter, r *http.Request) error {
	fields, err := readFields(w, r, mergeKind, jsonKind)
	if err != nil {
		return err
	}
	for name := range fields {
		if name != "battery" {
			return &logbook.Invalid{Field: name, Why: "is not to be changed; battery is"}
		}
	}
	name, ok := fields["battery"].(string)
	if !ok || name == "" {
		return &logbook.Invalid{Field: "battery", Why: "is missing, or is no text"}
	}
	battery, err := s.book.Battery(r.Context(), name)
	if errors.Is(err, logbook.ErrNotFound) {
		return &logbook.Invalid{Field: "battery", Why: fmt.Sprintf("is %q, which is not in the logbook; add it first", name)}
	}
	if err != nil {
		return err
	}
	done, err := s.oneAtATime(r)
	if err != nil {
		return err
	}
	defer done()
	told, err := s.options.Assign(r.Context(), r.PathValue("id"), battery.Name)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, told)
}
