package web

import (
	"context"
	"net/http"
	"slices"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// getSessions lists charges, the newest first unless asked otherwise. The present
// view of a charge that goes on stands in for what the logbook knows of it.
func (s *Server) getSessions(w http.ResponseWriter, r *http.Request) error {
	filter, err := filterOf(r)
	if err == nil {
		err = s.place(r.Context(), r.URL.Query().Get("before"), &filter)
	}
	if err != nil {
		return problemf(http.StatusBadRequest, "%v", err)
	}
	page, err := s.book.Sessions(r.Context(), filter)
	if err != nil {
		return err
	}
	total, err := s.book.CountSessions(r.Context(), filter)
	if err != nil {
		return err
	}
	full := len(page) == filter.Limit
	page = s.renew(page, filter)
	answer := struct {
		Sessions []analyze.Session `json:"sessions"`
		Notes    map[string]int    `json:"notes"` // how many stand beside a session, by its id
		Total    int               `json:"total"` // that were found, on all pages
		Next     *string           `json:"next"`  // for before, where there may be more
	}{Sessions: make([]analyze.Session, len(page)), Notes: map[string]int{}, Total: max(total, len(page))}
	for i, p := range page {
		answer.Sessions[i] = p.Summary
		if len(p.Notes) > 0 {
			answer.Notes[p.Summary.ID] = len(p.Notes)
		}
	}
	if full || len(page) == filter.Limit {
		answer.Next = new(filter.Next(page).String())
	}
	return writeJSON(w, http.StatusOK, answer)
}

// renew puts the charges that go on into a page of the logbook, each once: in place
// of what the book has of them, and, where the newest come first, also those that
// are not in the book yet.
func (s *Server) renew(page []logbook.Session, f logbook.Filter) []logbook.Session {
	full := len(page) == f.Limit
	newestFirst := f.Order == logbook.Order{}
	for _, c := range s.live.Snapshot() {
		charge := c.Charge()
		if charge == nil {
			continue
		}
		now := logbook.Session{Summary: *charge}
		if i := slices.IndexFunc(page, func(p logbook.Session) bool { return p.Summary.ID == charge.ID }); i >= 0 {
			if !page[i].Settled {
				page[i].Summary = *charge
			}
			continue
		}
		if !newestFirst || !fits(charge, f) {
			continue
		}
		place := now.Cursor()
		after := place.Compare(f.Before) > 0
		before := !full || place.Compare(page[len(page)-1].Cursor()) < 0
		if after && before {
			page = append(page, now)
		}
	}
	if newestFirst {
		slices.SortStableFunc(page, func(a, b logbook.Session) int { return a.Cursor().Compare(b.Cursor()) })
	}
	return page[:min(len(page), f.Limit)]
}

// fits reports whether a filter finds a charge that is not in the book. By its text
// it is found once it is there, within seconds.
func fits(s *analyze.Session, f logbook.Filter) bool {
	started := f.Since.IsZero() && f.Until.IsZero()
	if at := s.Started; at != nil {
		started = !at.Before(f.Since) && (f.Until.IsZero() || at.Before(f.Until))
	}
	return started && f.Text == "" && (f.Battery == "" || f.Battery == string(s.Battery)) &&
		(f.Channel == "" || f.Channel == s.Channel) && (f.Outcome == "" || f.Outcome == s.Outcome)
}

// place reads where a page begins: behind the place that an earlier one ended with or, where the
// newest come first, behind the charge of an ID or with those that began before a time.
func (s *Server) place(ctx context.Context, text string, f *logbook.Filter) (err error) {
	if f.Before, err = logbook.ParseCursor(text); err == nil || f.Order != (logbook.Order{}) {
		return err
	}
	if t, wrong := time.Parse(time.RFC3339, text); wrong == nil {
		if f.Until.IsZero() || t.Before(f.Until) {
			f.Until = t
		}
		return nil
	}
	known, missing := s.session(ctx, text)
	if missing != nil {
		return err
	}
	f.Before = logbook.Session{Summary: known}.Cursor()
	return nil
}

// getSession shows one charge, in the form that the command prints.
func (s *Server) getSession(w http.ResponseWriter, r *http.Request) error {
	known, err := s.session(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, known)
}

// session is a charge by its ID; one that goes on is as it is now.
func (s *Server) session(ctx context.Context, id string) (analyze.Session, error) {
	kept, err := s.book.Session(ctx, id)
	if err == nil && kept.Settled {
		return kept.Summary, nil
	}
	for _, c := range s.live.Snapshot() {
		if c.Session != nil && c.Session.ID == id {
			return *c.Session, nil
		}
	}
	return kept.Summary, err
}
