package logbook

import (
	"context"
	"database/sql"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// scanner is one row, alone or among others.
type scanner interface{ Scan(into ...any) error }

// collect runs a query and reads all its rows.
func collect[T any](ctx context.Context, db querier, scan func(scanner) (T, error), query string, args ...any) ([]T, error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := []T{} // an empty list is [] in JSON, not null
	for rows.Next() {
		one, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, rows.Err()
}

// inserted reports whether an insert that steps aside for an older row took place.
func inserted(result sql.Result, err error) (bool, error) {
	if err != nil {
		return false, err
	}
	n, err := result.RowsAffected()
	return n == 1, err
}

// milliseconds is a time as it is stored; the driver would store Go's own text
// form of a time.Time.
func milliseconds(t *time.Time) *int64 {
	if t == nil {
		return nil
	}
	return new(t.UnixMilli())
}

// An identity of a reading or a note is its time and a number, as in
// "20260314T214000.000Z-0001". It sorts by time, and a second entry of the same
// millisecond comes after the first.
const identityTime = "20060102T150405.000Z"

// newIdentity takes the next free one. It must run in the transaction that
// inserts the row, or another process may take the same.
func newIdentity(ctx context.Context, tx *sql.Tx, table string, at time.Time) (string, error) {
	stem := at.UTC().Format(identityTime) + "-"
	var last string
	err := tx.QueryRowContext(ctx, "SELECT coalesce(max(id), '') FROM "+table+" WHERE id > ? AND id < ?",
		stem, stem+"~").Scan(&last)
	if err != nil || last == "" {
		return stem + "0001", err
	}
	n, err := strconv.Atoi(strings.TrimPrefix(last, stem))
	if err != nil || n >= 9999 {
		return "", fmt.Errorf("no %s can follow %s in its millisecond", table, last)
	}
	return fmt.Sprintf("%s%04d", stem, n+1), nil
}

// checkIdentity holds an identity from elsewhere to the form of our own.
func checkIdentity(id string, at time.Time) error {
	stem := at.UTC().Format(identityTime) + "-"
	n, err := strconv.ParseUint(strings.TrimPrefix(id, stem), 10, 0)
	if err != nil || id != fmt.Sprintf("%s%04d", stem, n) || n < 1 || n > 9999 {
		return &Invalid{"id", fmt.Sprintf("is %q, want one like %s0001", id, stem)}
	}
	return nil
}
