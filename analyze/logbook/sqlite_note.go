package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"
)

const noteColumns = "id, session, at_ms, text"

// Annotate writes a note beside a session that is in the book (else
// ErrNotFound) and returns it with the identity that it got.
func (b *Book) Annotate(ctx context.Context, session string, at time.Time, text string) (Note, error) {
	note, err := Note{Session: session, At: at, Text: Text(text)}.checked()
	if err != nil {
		return Note{}, err
	}
	err = b.change(ctx, "annotate session", func(tx *sql.Tx) (err error) {
		if err := sessionExists(ctx, tx, session); err != nil {
			return err
		}
		if note.ID, err = newIdentity(ctx, tx, noteTable, note.At); err != nil {
			return err
		}
		_, err = insertNote(ctx, tx, note)
		return err
	})
	return note, err
}

func allNotes(ctx context.Context, db querier) ([]Note, error) {
	return collect(ctx, db, scanNote, "SELECT "+noteColumns+" FROM note ORDER BY id")
}

func noteByID(ctx context.Context, db querier, id string) (Note, error) {
	return scanNote(db.QueryRowContext(ctx, "SELECT "+noteColumns+" FROM note WHERE id = ?", id))
}

// addNotes puts the notes of all given sessions where they belong, by one query.
func addNotes(ctx context.Context, db querier, sessions []Session) error {
	place := make(map[string]int, len(sessions))
	ids := make([]string, len(sessions))
	for i, s := range sessions {
		place[s.Summary.ID], ids[i] = i, s.Summary.ID
		sessions[i].Notes = []Note{}
	}
	list, err := json.Marshal(ids)
	if err != nil {
		return err
	}
	notes, err := collect(ctx, db, scanNote, "SELECT "+noteColumns+
		" FROM note WHERE session IN (SELECT value FROM json_each(?)) ORDER BY id", string(list))
	for _, n := range notes {
		s := &sessions[place[n.Session]]
		s.Notes = append(s.Notes, n)
	}
	return err
}

// insertNote reports false, and changes nothing, if the identity is taken.
func insertNote(ctx context.Context, tx *sql.Tx, n Note) (added bool, err error) {
	return inserted(tx.ExecContext(ctx, "INSERT INTO note ("+noteColumns+") VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
		n.ID, n.Session, n.At.UnixMilli(), n.Text))
}

func scanNote(row scanner) (Note, error) {
	var n Note
	var at int64
	err := row.Scan(&n.ID, &n.Session, &at, &n.Text)
	n.At = time.UnixMilli(at).UTC()
	return n, err
}
