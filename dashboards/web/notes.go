package web

import (
	"net/http"

	"amphora/analyze/logbook"
)

// getNotes shows what people wrote beside a charge, the oldest first.
func (s *Server) getNotes(w http.ResponseWriter, r *http.Request) error {
	kept, err := s.book.Session(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"notes": listOf(kept.Notes)})
}

// postNote writes a note beside a charge. Notes are only ever added.
func (s *Server) postNote(w http.ResponseWriter, r *http.Request) error {
	fields, err := readFields(w, r, jsonKind)
	if err != nil {
		return err
	}
	for name := range fields {
		if name != "text" {
			return &logbook.Invalid{Field: name, Why: "is not known; known is text"}
		}
	}
	text, ok := fields["text"].(string)
	if !ok {
		return &logbook.Invalid{Field: "text", Why: "is missing, or is no text"}
	}
	note, err := s.book.Annotate(r.Context(), r.PathValue("id"), s.now(), text)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusCreated, note)
}
