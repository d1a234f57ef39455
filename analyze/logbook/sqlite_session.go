package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"amphora/analyze"
)

const (
	sessionColumns = "document, journal_from, settled, assigned"
	sessionKeys    = "id, channel, battery, started_ms, outcome, ended_by, charge_in_ah, energy_in_wh, set_a, held_v, peak_v"
)

// overwriting ends an insertion that takes the place of a session of that identity, but not
// that of one which a person assigned.
const overwriting = ` ON CONFLICT (id) DO UPDATE SET channel = excluded.channel, battery = excluded.battery,
	started_ms = excluded.started_ms, outcome = excluded.outcome, ended_by = excluded.ended_by,
	charge_in_ah = excluded.charge_in_ah, energy_in_wh = excluded.energy_in_wh, set_a = excluded.set_a,
	held_v = excluded.held_v, peak_v = excluded.peak_v, document = excluded.document,
	journal_from = excluded.journal_from, settled = excluded.settled, assigned = excluded.assigned
	WHERE excluded.assigned OR NOT session.assigned`

// PutSession writes a session, over an earlier form of it where there is one.
// The summary and the place in the raw record change together or not at all. One that
// a person assigned to a battery stays, unless the new form is assigned too.
// Notes are left as they are; those in the argument are not looked at.
func (b *Book) PutSession(ctx context.Context, session Session) error {
	record, err := recordOf(session)
	if err != nil {
		return err
	}
	return b.change(ctx, "write session", func(tx *sql.Tx) error {
		return putSession(ctx, tx, record)
	})
}

// DropSession takes out a session that the raw record no longer bears out, or never did. Its
// notes stay in the book, and show again if a session of that identity returns.
func (b *Book) DropSession(ctx context.Context, id string) error {
	return b.change(ctx, "take out session", func(tx *sql.Tx) error {
		if err := sessionExists(ctx, tx, id); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "DELETE FROM session WHERE id = ?", id)
		return err
	})
}

// Session returns one session with its notes, or ErrNotFound.
func (b *Book) Session(ctx context.Context, id string) (Session, error) {
	found, err := b.sessions(ctx, "WHERE id = ?", id)
	if err == nil && len(found) == 0 {
		err = fmt.Errorf("session %q %w", id, ErrNotFound)
	}
	if err != nil {
		return Session{}, err
	}
	return found[0], nil
}

func (b *Book) sessions(ctx context.Context, which string, args ...any) ([]Session, error) {
	var all []Session
	err := b.look(ctx, "read sessions", func(tx *sql.Tx) error {
		records, err := collect(ctx, tx, scanSession, "SELECT "+sessionColumns+" FROM session "+which, args...)
		if err != nil {
			return err
		}
		all = make([]Session, len(records))
		for i, r := range records {
			if all[i], err = r.session(); err != nil {
				return err
			}
		}
		return addNotes(ctx, tx, all)
	})
	return all, err
}

func sessionExists(ctx context.Context, db querier, id string) error {
	var one int
	err := db.QueryRowContext(ctx, "SELECT 1 FROM session WHERE id = ?", id).Scan(&one)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("session %q %w", id, ErrNotFound)
	}
	return err
}

// sessionRecord is a session as it is stored and dumped. The document keeps the
// bytes it was written with, so that fields of a newer form survive.
type sessionRecord struct {
	JournalFrom Text            `json:"journal_from"`
	Settled     bool            `json:"settled"`
	Assigned    bool            `json:"assigned,omitempty"`
	Document    json.RawMessage `json:"document"`
}

func recordOf(s Session) (sessionRecord, error) {
	document, err := json.Marshal(s.Summary)
	if err != nil {
		return sessionRecord{}, fmt.Errorf("write summary of session %q: %w", s.Summary.ID, err)
	}
	return sessionRecord{Text(s.JournalFrom), s.Settled, s.Assigned, document}, nil
}

func (r sessionRecord) session() (Session, error) {
	s := Session{JournalFrom: string(r.JournalFrom), Settled: r.Settled, Assigned: r.Assigned}
	if err := json.Unmarshal(r.Document, &s.Summary); err != nil {
		return s, fmt.Errorf("read the summary of a session: %w", err)
	}
	return s, nil
}

// putSession also fills the columns that lists are filtered and sorted by. They
// are taken from the document, so that the two cannot differ.
func putSession(ctx context.Context, tx *sql.Tx, r sessionRecord) error {
	session, err := r.session()
	if err != nil {
		return err
	}
	s := session.Summary
	if s.ID == "" {
		return &Invalid{"id", "is missing"}
	}
	// While a charge goes on, this is all that changes of it, every few seconds: no index but
	// those of charge and length is written anew, which spares a card half of the bytes.
	grown, err := tx.ExecContext(ctx, "UPDATE session SET charge_in_ah = ?, energy_in_wh = ?, set_a = ?, held_v = ?, peak_v = ?, document = ?"+
		" WHERE id = ? AND channel = ? AND battery = ? AND started_ms = ? AND outcome = ? AND ended_by = ?"+
		" AND journal_from = ? AND settled = ? AND assigned = ?",
		known(s.ChargeInAh), known(s.EnergyInWh), known(s.SetA), known(s.HeldV), known(s.PeakV), string(r.Document),
		s.ID, s.Channel, s.Battery, startedMs(s.Started), s.Outcome, s.EndedBy, r.JournalFrom, r.Settled, r.Assigned)
	if err != nil {
		return err
	}
	if n, err := grown.RowsAffected(); err != nil || n > 0 {
		return err
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO session ("+sessionKeys+", "+sessionColumns+
		") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"+overwriting,
		s.ID, s.Channel, s.Battery, startedMs(s.Started), s.Outcome, s.EndedBy,
		known(s.ChargeInAh), known(s.EnergyInWh), known(s.SetA), known(s.HeldV), known(s.PeakV),
		string(r.Document), r.JournalFrom, r.Settled, r.Assigned)
	return err
}

// known turns an unknown number into NULL.
func known(n analyze.Number) *float64 {
	if !analyze.Known(n) {
		return nil
	}
	return new(float64(n))
}

func scanSession(row scanner) (sessionRecord, error) {
	var r sessionRecord
	var document string
	err := row.Scan(&document, &r.JournalFrom, &r.Settled, &r.Assigned)
	r.Document = json.RawMessage(document)
	return r, err
}
