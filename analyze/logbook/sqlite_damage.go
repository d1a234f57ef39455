package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	sqlitelib "modernc.org/sqlite/lib"

	"amphora/analyze"
)

// Recover opens the logbook as Open does. If the file is damaged, it moves it
// aside, begins a new one with all that can still be read out of it, and says
// so in a *Damage; what is missing then are sessions that the raw record still
// holds and, at worst, entries that stand only in the file set aside. Nothing
// is ever deleted. Only the process that owns the data folder may call it.
func Recover(ctx context.Context, path string) (*Book, *Damage, error) {
	book, err := Open(ctx, path)
	damage, isDamage := errors.AsType[*Damage](err)
	if !isDamage {
		return book, nil, err
	}
	// The new book is made complete beside the old one and takes its place in one
	// step: a crash on the way leaves the damaged file where it was.
	fresh := damage.Path + ".saved"
	if err := removeBook(fresh); err != nil {
		return nil, damage, fmt.Errorf("logbook %s: clear the way for a new one: %w", path, err)
	}
	if err := salvage(ctx, damage, fresh); err != nil {
		return nil, damage, fmt.Errorf("logbook %s: save what can be read: %w", path, err)
	}
	if err := setAside(damage, fresh); err != nil {
		return nil, damage, fmt.Errorf("logbook %s: set the damaged file aside: %w", path, err)
	}
	book, err = Open(ctx, path)
	return book, damage, err
}

// unsound is what the check of a file complained of.
type unsound string

func (u unsound) Error() string { return string(u) }

// quickCheck walks all pages. It costs about as much as reading the file once.
func quickCheck(ctx context.Context, db *sql.DB) error {
	return soundness(ctx, db, "PRAGMA quick_check(1)")
}

func soundness(ctx context.Context, db *sql.DB, pragma string) error {
	var answer string
	if err := db.QueryRowContext(ctx, pragma).Scan(&answer); err != nil {
		return err
	}
	if answer != "ok" {
		return unsound(strings.ReplaceAll(answer, "\n", ": "))
	}
	return nil
}

func damaged(err error) bool {
	_, complaint := errors.AsType[unsound](err)
	return complaint || code(err) == sqlitelib.SQLITE_CORRUPT || code(err) == sqlitelib.SQLITE_NOTADB
}

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
			damage.Saved[table] = saved
			if !whole {
				damage.Torn = append(damage.Torn, table)
			}
		}
		return nil
	})
	return errors.Join(err, book.Close())
}

// copyTable copies rows from the front until the damage, and then from the back
// to it. It reads the columns that the file has, whatever its form.
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
	columns, err := rows.Columns()
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
		if table == sessionTable && !readable(values[slices.Index(columns, "document")]) {
			refused++
			continue
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

// readable keeps out a summary that would spoil every list it stands in.
func readable(document any) bool {
	text, ok := document.(string)
	return ok && json.Unmarshal([]byte(text), new(analyze.Session)) == nil
}

// setAside gives the damaged file another name and the new one its place.
func setAside(damage *Damage, fresh string) error {
	path := damage.Path
	for n := 1; damage.Aside == "" || exists(damage.Aside) || exists(damage.Aside+"-wal"); n++ {
		damage.Aside = fmt.Sprintf("%s.damaged-%d", path, n)
	}
	// A second name first, so that at no moment there is no logbook, in whose
	// place somebody else might begin an empty one. Not every disk can do that.
	if os.Link(path, damage.Aside) != nil {
		if err := os.Rename(path, damage.Aside); err != nil {
			return err
		}
	}
	// Left in place, the old file's log would be replayed into the new file.
	if exists(path + "-wal") {
		if err := os.Rename(path+"-wal", damage.Aside+"-wal"); err != nil {
			return err
		}
	}
	if err := os.Remove(path + "-shm"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return replace(fresh, path)
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// removeBook removes what an earlier attempt left half done.
func removeBook(path string) error {
	for _, suffix := range []string{"", "-wal", "-shm", "-journal"} {
		if err := os.Remove(path + suffix); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
