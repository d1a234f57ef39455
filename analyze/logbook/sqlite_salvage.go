package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	sqlitelib "modernc.org/sqlite/lib"

	"amphora/analyze"
)

// salvage copies what can be read of a damaged file into a new one.
func salvage(ctx context.Context, damage *Damage, fresh string) error {
	// Without writable_schema SQLite refuses a file that is cut short as a whole.
	// Nothing is written: the handle is for reading.
	old, err := sql.Open("sqlite", dsn(damage.Path, patience, "mode=ro", "writable_schema(1)"))
	if err != nil {
		return err
	}
	defer old.Close()
	book, err := Open(ctx, fresh)
	if err != nil {
		return err
	}
	damage.Saved = map[string]int{}
	err = inside(ctx, book.write, func(tx *sql.Tx) error {
		for _, table := range tables {
			saved, whole, err := copyTable(ctx, old, tx, table)
			if err != nil {
				return err
			}
			removed, err := weed(ctx, tx, table)
			if err != nil {
				return err
			}
			damage.Saved[table] = saved - removed
			if !whole || removed > 0 {
				damage.Torn = append(damage.Torn, table)
			}
		}
		return nil
	})
	return errors.Join(err, book.Close())
}

// copyTable copies rows from the front until the damage, and then from the back
// to it. Columns are told by their place, since the damage may be in their names:
// an earlier form has the first columns of the present one.
func copyTable(ctx context.Context, old *sql.DB, tx *sql.Tx, table string) (saved int, whole bool, err error) {
	refused := 0
	for _, direction := range []string{"ASC", "DESC"} {
		// An index may be the damaged part, so the rows are read in their own order.
		rows, readErr := old.QueryContext(ctx, "SELECT * FROM "+table+" NOT INDEXED ORDER BY rowid "+direction)
		if readErr == nil {
			n, bad, copyErr := copyRows(ctx, rows, tx, table)
			readErr = rows.Err()
			saved, refused, err = saved+n, refused+bad, errors.Join(copyErr, rows.Close(), ctx.Err())
		}
		if err != nil || readErr == nil {
			return saved, refused == 0, err
		}
	}
	return saved, false, nil
}

func copyRows(ctx context.Context, rows *sql.Rows, tx *sql.Tx, table string) (saved, refused int, err error) {
	columns, err := firstColumns(ctx, tx, table, rows)
	if err != nil {
		return 0, 0, err
	}
	insert := fmt.Sprintf("INSERT INTO %s (%s) VALUES (%s) ON CONFLICT DO NOTHING", table,
		strings.Join(columns, ", "), strings.Join(slices.Repeat([]string{"?"}, len(columns)), ", "))
	values := make([]any, len(columns))
	into := make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return saved, refused, err
		}
		added, err := inserted(tx.ExecContext(ctx, insert, values...))
		switch {
		case code(err) == sqlitelib.SQLITE_CONSTRAINT: // not what the table may hold
			refused++
		case err != nil:
			return saved, refused, err
		case added:
			saved++
		}
	}
	return saved, refused, nil
}

// firstColumns are as many of a table's columns as the rows have.
func firstColumns(ctx context.Context, tx *sql.Tx, table string, rows *sql.Rows) ([]string, error) {
	have, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	empty, err := tx.QueryContext(ctx, "SELECT * FROM "+table+" LIMIT 0")
	if err != nil {
		return nil, err
	}
	columns, err := empty.Columns()
	if err == nil && len(have) > len(columns) {
		err = fmt.Errorf("table %s has %d columns and this program knows %d; use a newer amphora", table, len(have), len(columns))
	}
	return columns[:min(len(have), len(columns))], errors.Join(err, empty.Close())
}

// weed takes out rows that were read but cannot have been written like this. One
// number beyond all bounds would spoil every list and export it stands in.
func weed(ctx context.Context, tx *sql.Tx, table string) (removed int, err error) {
	key, spoilt := "id", []string(nil)
	switch table {
	case batteryTable:
		key = "name"
		spoilt, err = spoiltAmong(ctx, tx, allBatteries, func(b Battery) (string, error) {
			_, err := b.checked()
			return b.Name, err
		})
	case readingTable:
		spoilt, err = spoiltAmong(ctx, tx, allReadings, func(r Reading) (string, error) {
			_, err := r.checked()
			return r.ID, errors.Join(err, checkIdentity(r.ID, r.At), checkName(r.Battery))
		})
	case noteTable:
		spoilt, err = spoiltAmong(ctx, tx, allNotes, func(n Note) (string, error) {
			_, err := n.checked()
			return n.ID, errors.Join(err, checkIdentity(n.ID, n.At))
		})
	case sessionTable:
		spoilt, err = spoiltAmong(ctx, tx, allSummaries, func(s storedSummary) (string, error) {
			return s.id, s.check()
		})
	}
	for _, k := range spoilt {
		if _, err := tx.ExecContext(ctx, "DELETE FROM "+table+" WHERE "+key+" = ?", k); err != nil {
			return 0, err
		}
	}
	return len(spoilt), err
}

// spoiltAmong returns the keys of the records that fail a check.
func spoiltAmong[T any](ctx context.Context, tx *sql.Tx, all func(context.Context, querier) ([]T, error),
	check func(T) (key string, err error)) ([]string, error) {
	records, err := all(ctx, tx)
	var keys []string
	for _, r := range records {
		if key, err := check(r); err != nil {
			keys = append(keys, key)
		}
	}
	return keys, err
}

// storedSummary is a session's summary and the identity it is filed under.
type storedSummary struct{ id, document string }

func allSummaries(ctx context.Context, db querier) ([]storedSummary, error) {
	return collect(ctx, db, func(row scanner) (storedSummary, error) {
		var s storedSummary
		err := row.Scan(&s.id, &s.document)
		return s, err
	}, "SELECT id, document FROM session")
}

func (s storedSummary) check() error {
	var summary analyze.Session
	if err := json.Unmarshal([]byte(s.document), &summary); err != nil {
		return err
	}
	if summary.ID != s.id {
		return fmt.Errorf("the summary of session %q is filed under %q", summary.ID, s.id)
	}
	return nil
}
