package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// unwritable says why neither the file nor one beside it can be written, and both must be;
// nil where they can.
func unwritable(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	_ = f.Close() // nothing was written
	beside, err := os.CreateTemp(filepath.Dir(path), ".trial-*")
	if err != nil {
		return err
	}
	return errors.Join(beside.Close(), os.Remove(beside.Name()))
}

// openAsItIs opens a book that nobody can change, without a file beside it. What stands in
// its log, and was not brought into the file before, is not seen.
func openAsItIs(ctx context.Context, path string) (*Book, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("logbook %s: %w", path, err)
	}
	b := &Book{path: path, unwritable: unwritable(path)}
	if err := b.connectAsItIs(ctx); err != nil {
		return nil, errors.Join(b.explain("open", err), b.Close())
	}
	return b, nil
}

func (b *Book) connectAsItIs(ctx context.Context) error {
	for _, db := range []**sql.DB{&b.write, &b.read} {
		var err error
		if *db, err = sql.Open("sqlite", dsn(b.path, patience, "mode=ro&immutable=1")); err != nil {
			return err
		}
	}
	if err := quickCheck(ctx, b.read); err != nil {
		return err
	}
	if taken, err := stepsTaken(ctx, b.read); err != nil || taken != len(steps) {
		return errors.Join(err, fmt.Errorf("its tables are of form %d, want %d, and it cannot be changed", taken, len(steps)))
	}
	return checkColumns(ctx, b.read)
}

// standIn is an empty book that nobody can change, in place of one that cannot even be read: a
// charger and its meter do not wait until somebody has seen to it.
func standIn(ctx context.Context, path string, why error) (*Book, error) {
	b := &Book{path: path, unwritable: why}
	for _, db := range []**sql.DB{&b.write, &b.read} {
		var err error
		if *db, err = sql.Open("sqlite", ":memory:"); err != nil {
			return nil, errors.Join(err, b.Close())
		}
		(*db).SetMaxOpenConns(1) // each connection has a memory of its own
		err = migrate(ctx, *db, steps)
		if err == nil {
			_, err = (*db).ExecContext(ctx, "PRAGMA query_only = 1")
		}
		if err != nil {
			return nil, errors.Join(err, b.Close())
		}
	}
	return b, nil
}

// Unwritable says why nothing can be written into the book, for as long as it is open; nil
// where it can.
func (b *Book) Unwritable() error { return b.unwritable }
