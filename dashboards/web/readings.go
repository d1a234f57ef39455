package web

import (
	"net/http"

	"amphora/analyze/logbook"
)

func (s *Server) getReadings(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	if _, err := s.book.Battery(r.Context(), name); err != nil {
		return err
	}
	all, err := s.book.Readings(r.Context(), name)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"readings": listOf(all)})
}

// postReading notes a reading; one without a time was measured just now. The answer
// says what looks mistyped.
func (s *Server) postReading(w http.ResponseWriter, r *http.Request) error {
	fields, err := readFields(w, r, jsonKind)
	if err != nil {
		return err
	}
	if _, given := fields["at"]; !given {
		fields["at"] = s.now().UTC()
	}
	reading, err := logbook.NewReading(r.PathValue("name"), fields)
	if err != nil {
		return err
	}
	if reading, err = s.book.AddReading(r.Context(), reading); err != nil {
		return err
	}
	b, err := s.book.Battery(r.Context(), reading.Battery)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusCreated, reading.Noted(b, s.now()))
}
