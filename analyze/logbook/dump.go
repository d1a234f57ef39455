package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// A dump names its own form, so that a later program can still read it.
const (
	dumpFormat  = "amphora logbook"
	dumpVersion = 1
)

// dump is the whole book as one JSON document.
type dump struct {
	Format    string          `json:"format"`
	Version   int             `json:"version"`
	Batteries []Battery       `json:"batteries"` // by name
	Readings  []Reading       `json:"readings"`  // by id
	Notes     []Note          `json:"notes"`     // by id
	Sessions  []sessionRecord `json:"sessions"`  // by time and id
}

// Export writes everything as one JSON document. The same book gives the same
// bytes, and so does a book that such a document was imported into.
func (b *Book) Export(ctx context.Context, w io.Writer) error {
	d := dump{Format: dumpFormat, Version: dumpVersion}
	err := b.look(ctx, "export", func(tx *sql.Tx) (err error) {
		if d.Batteries, err = allBatteries(ctx, tx); err != nil {
			return err
		}
		if d.Readings, err = allReadings(ctx, tx); err != nil {
			return err
		}
		if d.Notes, err = allNotes(ctx, tx); err != nil {
			return err
		}
		d.Sessions, err = collect(ctx, tx, scanSession, "SELECT "+sessionColumns+" FROM session ORDER BY started_ms, id")
		return err
	})
	if err != nil {
		return err
	}
	out := json.NewEncoder(w)
	out.SetEscapeHTML(false)
	out.SetIndent("", " ")
	if err := out.Encode(d); err != nil {
		return fmt.Errorf("export logbook: %w", err)
	}
	return nil
}

// Import adds everything in an exported document, or nothing. What stands in
// the book already stays: an equal entry is passed over, a person's entry that
// differs ends the import (ErrExists), and a session is left as it is, since the
// book's own is at least as new.
func (b *Book) Import(ctx context.Context, r io.Reader) error {
	d, err := readDump(r)
	if err != nil {
		return fmt.Errorf("import: %w", err)
	}
	err = b.change(ctx, "add entries", func(tx *sql.Tx) error {
		for i, battery := range d.Batteries {
			if err := restoreBattery(ctx, tx, battery); err != nil {
				return fmt.Errorf("battery %d: %w", i+1, err)
			}
		}
		for i, reading := range d.Readings {
			if err := restoreReading(ctx, tx, reading); err != nil {
				return fmt.Errorf("reading %d: %w", i+1, err)
			}
		}
		for i, note := range d.Notes {
			if err := restoreNote(ctx, tx, note); err != nil {
				return fmt.Errorf("note %d: %w", i+1, err)
			}
		}
		for i, session := range d.Sessions {
			if err := restoreSession(ctx, tx, session); err != nil {
				return fmt.Errorf("session %d: %w", i+1, err)
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("import: %w", err)
	}
	return nil
}

// readDump refuses what it does not know rather than drop it.
func readDump(r io.Reader) (dump, error) {
	var d dump
	in := json.NewDecoder(r)
	in.DisallowUnknownFields()
	if err := in.Decode(&d); err != nil {
		return d, fmt.Errorf("byte %d: %w; want a document that was exported from a logbook", in.InputOffset(), err)
	}
	if d.Format != dumpFormat {
		return d, fmt.Errorf("format is %q, want %q", d.Format, dumpFormat)
	}
	if d.Version != dumpVersion {
		return d, fmt.Errorf("version is %d and this program reads %d; use a newer amphora", d.Version, dumpVersion)
	}
	if _, err := in.Token(); !errors.Is(err, io.EOF) {
		return d, fmt.Errorf("byte %d: more text after the document", in.InputOffset())
	}
	return d, nil
}

func restoreBattery(ctx context.Context, tx *sql.Tx, battery Battery) error {
	battery, err := battery.checked()
	if err != nil {
		return err
	}
	added, err := insertBattery(ctx, tx, battery)
	if err != nil || added {
		return err
	}
	old, err := batteryNamed(ctx, tx, battery.Name)
	return errors.Join(err, same(battery.Name, old, battery))
}

func restoreReading(ctx context.Context, tx *sql.Tx, reading Reading) error {
	reading, err := reading.checked()
	if err = errors.Join(err, checkIdentity(reading.ID, reading.At), checkName(reading.Battery)); err != nil {
		return err
	}
	added, err := insertReading(ctx, tx, reading)
	if err != nil || added {
		return err
	}
	old, err := readingByID(ctx, tx, reading.ID)
	return errors.Join(err, same(reading.ID, old, reading))
}

func restoreNote(ctx context.Context, tx *sql.Tx, note Note) error {
	note, err := note.checked()
	if err = errors.Join(err, checkIdentity(note.ID, note.At)); err != nil {
		return err
	}
	added, err := insertNote(ctx, tx, note)
	if err != nil || added {
		return err
	}
	old, err := noteByID(ctx, tx, note.ID)
	return errors.Join(err, same(note.ID, old, note))
}

func restoreSession(ctx context.Context, tx *sql.Tx, record sessionRecord) error {
	var document bytes.Buffer // without the dump's own line breaks
	if err := json.Compact(&document, record.Document); err != nil {
		return err
	}
	record.Document = document.Bytes()
	session, err := record.session()
	if err != nil {
		return err
	}
	if err := sessionExists(ctx, tx, session.Summary.ID); !errors.Is(err, ErrNotFound) {
		return err
	}
	return putSession(ctx, tx, record)
}

// same refuses to choose between two forms of what a person typed.
func same[T any](key string, old, dumped T) error {
	a, errA := json.Marshal(old)
	b, errB := json.Marshal(dumped)
	if err := errors.Join(errA, errB); err != nil {
		return err
	}
	if !bytes.Equal(a, b) {
		return fmt.Errorf("%q %w, and differs", key, ErrExists)
	}
	return nil
}
