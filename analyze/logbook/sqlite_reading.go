package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

const readingColumns = "id, battery, at_ms, ohm, volts, gravity, celsius, remark, means"

// AddReading notes a reading of a battery that is in the book (else
// ErrNotFound) and returns it with the identity that it got.
func (b *Book) AddReading(ctx context.Context, reading Reading) (Reading, error) {
	reading, err := reading.checked()
	if err != nil {
		return Reading{}, err
	}
	err = b.change(ctx, "add reading", func(tx *sql.Tx) (err error) {
		if _, err := batteryNamed(ctx, tx, reading.Battery); err != nil {
			return err
		}
		if reading.ID, err = newIdentity(ctx, tx, readingTable, reading.At); err != nil {
			return err
		}
		_, err = insertReading(ctx, tx, reading)
		return err
	})
	return reading, err
}

// DropReading takes a reading out for good, as one that was mistyped.
func (b *Book) DropReading(ctx context.Context, id string) error {
	return b.change(ctx, "take out reading", func(tx *sql.Tx) error {
		if _, err := readingByID(ctx, tx, id); err != nil {
			if errors.Is(err, sql.ErrNoRows) {
				return fmt.Errorf("reading %q %w", id, ErrNotFound)
			}
			return err
		}
		_, err := tx.ExecContext(ctx, "DELETE FROM reading WHERE id = ?", id)
		return err
	})
}

// Readings returns the readings of a battery that is in the book (else
// ErrNotFound), the oldest first.
func (b *Book) Readings(ctx context.Context, battery string) ([]Reading, error) {
	var all []Reading
	err := b.look(ctx, "list readings", func(tx *sql.Tx) (err error) {
		if _, err := batteryNamed(ctx, tx, battery); err != nil {
			return err
		}
		all, err = collect(ctx, tx, scanReading,
			"SELECT "+readingColumns+" FROM reading WHERE battery = ? ORDER BY id", battery)
		return err
	})
	return all, err
}

func allReadings(ctx context.Context, db querier) ([]Reading, error) {
	return collect(ctx, db, scanReading, "SELECT "+readingColumns+" FROM reading ORDER BY id")
}

func readingByID(ctx context.Context, db querier, id string) (Reading, error) {
	return scanReading(db.QueryRowContext(ctx, "SELECT "+readingColumns+" FROM reading WHERE id = ?", id))
}

// insertReading reports false, and changes nothing, if the identity is taken.
func insertReading(ctx context.Context, tx *sql.Tx, r Reading) (added bool, err error) {
	return inserted(tx.ExecContext(ctx, "INSERT INTO reading ("+readingColumns+
		") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
		r.ID, r.Battery, r.At.UnixMilli(), r.Ohm, r.Volts, r.Gravity, r.Celsius, r.Remark, r.Means))
}

func scanReading(row scanner) (Reading, error) {
	var r Reading
	var at int64
	err := row.Scan(&r.ID, &r.Battery, &at, &r.Ohm, &r.Volts, &r.Gravity, &r.Celsius, &r.Remark, &r.Means)
	r.At = time.UnixMilli(at).UTC()
	return r, err
}
