package web

import (
	"net/http"
	"slices"
	"strconv"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// getSessions lists charges, the newest first. The present view of a charge that
// goes on stands in for what the logbook knows of it.
func (s *Server) getSessions(w http.ResponseWriter, r *http.Request) error {
	filter, err := filterOf(r)
	if err != nil {
		return problemf(http.StatusBadRequest, "%v", err)
	}
	page, err := s.book.Sessions(r.Context(), filter)
	if err != nil {
		return err
	}
	page = s.renew(page, filter)
	answer := struct {
		Sessions []analyze.Session `json:"sessions"`
		Next     *string           `json:"next"` // for before, where there may be more
	}{Sessions: make([]analyze.Session, len(page))}
	for i, p := range page {
		answer.Sessions[i] = p.Summary
	}
	if n := len(page); n == filter.Limit {
		answer.Next = new(page[n-1].Cursor().String())
	}
	return writeJSON(w, http.StatusOK, answer)
}

func filterOf(r *http.Request) (logbook.Filter, error) {
	q := r.URL.Query()
	f := logbook.Filter{Battery: q.Get("battery"), Channel: q.Get("channel"), Limit: logbook.DefaultPage}
	var err error
	if f.Limit, err = number(q.Get("limit"), "limit", logbook.DefaultPage, 1, logbook.LongestPage); err != nil {
		return f, err
	}
	f.Before, err = logbook.ParseCursor(q.Get("before"))
	return f, err
}

// number reads a whole number out of a query.
func number(text, name string, otherwise, low, high int) (int, error) {
	if text == "" {
		return otherwise, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < low || n > high {
		return 0, problemf(http.StatusBadRequest, "%s is %q, want %d to %d", name, text, low, high)
	}
	return n, nil
}

// renew puts the charges that go on into a page of the logbook, each at its
// place and once.
func (s *Server) renew(page []logbook.Session, f logbook.Filter) []logbook.Session {
	full := len(page) == f.Limit
	for _, c := range s.live.Snapshot() {
		if c.Session == nil {
			continue
		}
		now := logbook.Session{Summary: *c.Session}
		if i := slices.IndexFunc(page, func(p logbook.Session) bool { return p.Summary.ID == c.Session.ID }); i >= 0 {
			if !page[i].Settled {
				page[i].Summary = *c.Session
			}
			continue
		}
		place := now.Cursor()
		after := place.Compare(f.Before) > 0
		before := !full || place.Compare(page[len(page)-1].Cursor()) < 0
		if after && before && fits(c.Session, f) {
			page = append(page, now)
		}
	}
	slices.SortStableFunc(page, func(a, b logbook.Session) int { return a.Cursor().Compare(b.Cursor()) })
	return page[:min(len(page), f.Limit)]
}

func fits(s *analyze.Session, f logbook.Filter) bool {
	return (f.Battery == "" || f.Battery == s.Battery) && (f.Channel == "" || f.Channel == s.Channel)
}

// getSession shows one charge, in the form that the command prints.
func (s *Server) getSession(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("id")
	kept, err := s.book.Session(r.Context(), id)
	if err == nil && kept.Settled {
		return writeJSON(w, http.StatusOK, kept.Summary)
	}
	for _, c := range s.live.Snapshot() {
		if c.Session != nil && c.Session.ID == id {
			return writeJSON(w, http.StatusOK, c.Session)
		}
	}
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, kept.Summary)
}
