package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// Backup writes a copy of the whole book to a new file while the book is in
// use. The copy holds one state, the last at the moment it began; it is checked
// and on the disk before it appears under its name. Copying the file itself
// would not do: the latest entries stand beside it, in its write-ahead log.
func (b *Book) Backup(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("backup %s: %w; name a new file", path, fs.ErrExist)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("backup %s: %w", path, err)
	}
	half := path + ".part"
	if err := removeBook(half); err != nil {
		return fmt.Errorf("backup %s: remove an unfinished one: %w", path, err)
	}
	if err := b.copyTo(ctx, half); err != nil {
		return errors.Join(fmt.Errorf("backup %s: %w", path, err), removeBook(half))
	}
	if err := replace(half, path); err != nil {
		return fmt.Errorf("backup %s: %w", path, err)
	}
	return nil
}

func (b *Book) copyTo(ctx context.Context, path string) error {
	before, err := rowCounts(ctx, b.read)
	if err != nil {
		return b.explain("count rows", err)
	}
	begin(path)
	if _, err := b.read.ExecContext(ctx, "VACUUM INTO ?", path); err != nil {
		return b.explain("copy", err)
	}
	copied, err := sql.Open("sqlite", dsn(path, patience, "mode=ro"))
	if err != nil {
		return err
	}
	if err = soundness(ctx, copied, "PRAGMA integrity_check(1)"); err == nil {
		err = compareCounts(ctx, before, copied)
	}
	return errors.Join(err, copied.Close())
}

// kept are the tables whose rows are never taken out.
var kept = []string{batteryTable, readingTable, noteTable}

func rowCounts(ctx context.Context, db *sql.DB) (map[string]int, error) {
	counts := map[string]int{}
	for _, table := range kept {
		var n int
		if err := db.QueryRowContext(ctx, "SELECT count(*) FROM "+table).Scan(&n); err != nil {
			return nil, err
		}
		counts[table] = n
	}
	return counts, nil
}

func compareCounts(ctx context.Context, before map[string]int, copied *sql.DB) error {
	after, err := rowCounts(ctx, copied)
	if err != nil {
		return fmt.Errorf("check the copy: %w", err)
	}
	for table, n := range before {
		if after[table] < n {
			return fmt.Errorf("the copy has %d of %d rows of table %s", after[table], n, table)
		}
	}
	return nil
}

// replace puts a finished file in the place of another, so that after a power
// cut either the one or the other is there, whole. SQLite does not sync what
// VACUUM INTO writes.
func replace(finished, path string) error {
	if err := syncPath(finished, os.O_RDWR); err != nil { // Windows syncs only for those who may write
		return err
	}
	if err := os.Rename(finished, path); err != nil {
		return err
	}
	if runtime.GOOS == "windows" {
		return nil // no folder can be synced there; its file system journals names itself
	}
	return syncPath(filepath.Dir(path), os.O_RDONLY)
}

func syncPath(path string, how int) error {
	f, err := os.OpenFile(path, how, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
