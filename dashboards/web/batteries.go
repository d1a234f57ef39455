package web

import (
	"net/http"
	"net/url"

	"amphora/analyze/logbook"
)

func (s *Server) getBatteries(w http.ResponseWriter, r *http.Request) error {
	all, err := s.book.Batteries(r.Context())
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"batteries": listOf(all)})
}

func (s *Server) getBattery(w http.ResponseWriter, r *http.Request) error {
	b, err := s.book.Battery(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, b.Noted(s.now()))
}

func (s *Server) postBattery(w http.ResponseWriter, r *http.Request) error {
	fields, err := readFields(w, r, jsonKind)
	if err != nil {
		return err
	}
	b, err := logbook.NewBattery(fields)
	if err != nil {
		return err
	}
	if err := s.book.AddBattery(r.Context(), b); err != nil {
		return err
	}
	w.Header().Set("Location", "/api/v1/batteries/"+url.PathEscape(b.Name))
	return writeJSON(w, http.StatusCreated, b.Noted(s.now()))
}

func (s *Server) patchBattery(w http.ResponseWriter, r *http.Request) error {
	fields, err := readFields(w, r, mergeKind, jsonKind)
	if err != nil {
		return err
	}
	b, err := s.book.EditBattery(r.Context(), r.PathValue("name"), fields)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, b.Noted(s.now()))
}
