package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	sqlitelib "modernc.org/sqlite/lib"
)

// Recover opens the logbook as Open does. If the file is damaged, it moves it
// aside, begins a new one with all that can still be read out of it, and says
// so in a *Damage; what is missing then are sessions that the raw record still
// holds and, at worst, entries that stand only in the file set aside. Nothing
// is ever deleted. Only the process that owns the data folder may call it.
//
// On a disk that takes no writes, as a card that has had enough, the logbook is opened as it
// is: it can be read, each change fails, and Unwritable says why. Where it cannot be read
// either, cannot be saved, or is a newer program's, an empty one stands in for it that takes no
// change. Only for another process that holds it this one would rather be started again.
func Recover(ctx context.Context, path string) (*Book, *Damage, error) {
	book, damage, err := recovered(ctx, path)
	if err == nil || errors.Is(err, ErrBusy) || ctx.Err() != nil {
		return book, damage, err
	}
	empty, none := standIn(ctx, path, err)
	if none != nil {
		return book, damage, err
	}
	return empty, nil, nil
}

func recovered(ctx context.Context, path string) (*Book, *Damage, error) {
	book, err := Open(ctx, path)
	damage, isDamage := errors.AsType[*Damage](err)
	if !isDamage {
		if err != nil && unwritable(path) != nil {
			if still, asItIs := openAsItIs(ctx, path); asItIs == nil {
				return still, nil, nil
			}
		}
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
	err := soundness(ctx, db, "PRAGMA quick_check(1)")
	if code(err) == sqlitelib.SQLITE_ERROR { // the statements are right, so what they meet is not
		return unsound(err.Error())
	}
	return err
}

// checkColumns finds damage in the stored names, which no walk over pages sees.
func checkColumns(ctx context.Context, db *sql.DB) error {
	for table, columns := range map[string]string{
		batteryTable: batteryColumns, readingTable: readingColumns, noteTable: noteColumns,
		sessionTable: sessionKeys + ", " + sessionColumns,
	} {
		rows, err := db.QueryContext(ctx, "SELECT "+columns+" FROM "+table+" LIMIT 0")
		if code(err) == sqlitelib.SQLITE_ERROR {
			return unsound(err.Error())
		}
		if err != nil {
			return err
		}
		if err := rows.Close(); err != nil {
			return err
		}
	}
	return nil
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
