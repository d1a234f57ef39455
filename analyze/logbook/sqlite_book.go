package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"modernc.org/sqlite" // also registers the driver "sqlite"
	sqlitelib "modernc.org/sqlite/lib"
)

// patience is how long a call waits for another process to finish its change.
const patience = 5 * time.Second

// betweenTries is how long to wait where SQLite does not: of two that turn a new file to its
// write-ahead log at once it refuses one at once, lest each wait for the other.
const betweenTries = 20 * time.Millisecond

// Book is an open logbook. It is safe for use by several goroutines.
//
// All changes go through one connection, so that within this process nobody
// waits on a lock; readers have connections of their own that cannot write, and
// go on reading the last state while a change is being made.
type Book struct {
	path  string
	write *sql.DB
	read  *sql.DB

	unwritable error // why, where it was opened as it is
}

// Open opens the logbook file, or begins one where there is none; its folder
// must exist. A file that fails the check is left alone and the error is a
// *Damage: only the process that owns the data folder may move it away, with
// Recover, since another one might be writing to it.
func Open(ctx context.Context, path string) (*Book, error) {
	return open(ctx, path, patience)
}

func open(ctx context.Context, path string, busy time.Duration) (*Book, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("logbook %s: %w", path, err)
	}
	if folder, err := os.Stat(filepath.Dir(path)); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("logbook %s: its folder does not exist; create it or name another data folder: %w", path, err)
	} else if err != nil {
		return nil, fmt.Errorf("logbook %s: %w", path, err)
	} else if !folder.IsDir() {
		return nil, fmt.Errorf("logbook %s: %s is not a folder; name another data folder", path, filepath.Dir(path))
	}
	begin(path)
	b := &Book{path: path}
	for until := time.Now().Add(busy); ; time.Sleep(betweenTries) {
		err := b.connect(ctx, busy)
		if err == nil {
			return b, nil
		}
		err = errors.Join(b.explain("open", err), b.Close())
		if !errors.Is(err, ErrBusy) || time.Now().After(until) || ctx.Err() != nil {
			return nil, err
		}
	}
}

// begin makes an empty file where there is none, which is not for everybody to read;
// SQLite gives the files beside it the same mode. What cannot be made SQLite refuses
// in words of its own.
func begin(path string) {
	if f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o640); err == nil {
		f.Close()
	}
}

// connect opens both handles. Reading comes second: it cannot create the file.
func (b *Book) connect(ctx context.Context, busy time.Duration) error {
	var err error
	if b.write, err = sql.Open("sqlite", dsn(b.path, busy, "_txlock=immediate", "journal_mode(WAL)", "synchronous(FULL)")); err != nil {
		return err
	}
	b.write.SetMaxOpenConns(1)
	if err := quickCheck(ctx, b.write); err != nil {
		return err
	}
	if err := migrate(ctx, b.write, steps); err != nil {
		return err
	}
	if err := checkColumns(ctx, b.write); err != nil {
		return err
	}
	if b.read, err = sql.Open("sqlite", dsn(b.path, busy, "mode=ro")); err != nil {
		return err
	}
	b.read.SetMaxOpenConns(4)
	wait := fmt.Sprint(busy.Milliseconds())
	return errors.Join(
		readBack(ctx, b.write, map[string]string{"busy_timeout": wait, "journal_mode": "wal", "synchronous": "2"}),
		readBack(ctx, b.read, map[string]string{"busy_timeout": wait, "journal_mode": "wal"}),
	)
}

// dsn names the file and what each connection to it is set to. FULL makes every
// commit reach the disk; the default under WAL may lose the last ones at a
// power cut.
func dsn(path string, busy time.Duration, option string, pragmas ...string) string {
	query := []string{option, fmt.Sprintf("_pragma=busy_timeout(%d)", busy.Milliseconds())}
	for _, p := range pragmas {
		query = append(query, "_pragma="+p)
	}
	file := url.URL{Path: filepath.ToSlash(path)}
	return "file:" + file.EscapedPath() + "?" + strings.Join(query, "&")
}

// readBack compares settings with what the driver made of them, because it
// passes over a misspelt one in silence.
func readBack(ctx context.Context, db *sql.DB, wanted map[string]string) error {
	for name, want := range wanted {
		var got string
		if err := db.QueryRowContext(ctx, "PRAGMA "+name).Scan(&got); err != nil {
			return fmt.Errorf("read setting %s: %w", name, err)
		}
		if got != want {
			return fmt.Errorf("setting %s is %s, want %s; is the file on a local disk?", name, got, want)
		}
	}
	return nil
}

// Close lets go of the file. What was changed is on the disk already.
func (b *Book) Close() error {
	var errs []error
	for _, db := range []*sql.DB{b.read, b.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	return errors.Join(errs...)
}

// change runs one transaction that writes: all of it happens or none.
func (b *Book) change(ctx context.Context, what string, do func(*sql.Tx) error) error {
	return b.explain(what, inside(ctx, b.write, do))
}

// look runs one transaction that reads: it sees one state throughout.
func (b *Book) look(ctx context.Context, what string, do func(*sql.Tx) error) error {
	return b.explain(what, inside(ctx, b.read, do))
}

func inside(ctx context.Context, db *sql.DB, do func(*sql.Tx) error) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing after the commit
	if err := do(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// explain says where an error occurred, in this package's own terms.
func (b *Book) explain(what string, err error) error {
	if err == nil {
		return nil
	}
	// A caller's mistake is no fault of the file, and reads best alone.
	if invalid := (*Invalid)(nil); errors.As(err, &invalid) || errors.Is(err, ErrNotFound) || errors.Is(err, ErrExists) {
		return err
	}
	if damaged(err) {
		return &Damage{Path: b.path, Reason: err.Error()}
	}
	if code(err) == sqlitelib.SQLITE_BUSY {
		return fmt.Errorf("logbook %s: %s: %w: %w", b.path, what, ErrBusy, err)
	}
	if advice := remedy[code(err)]; advice != "" {
		return fmt.Errorf("logbook %s: %s: %w; %s", b.path, what, err, advice)
	}
	return fmt.Errorf("logbook %s: %s: %w", b.path, what, err)
}

// remedy is what a person can do about an error of SQLite's.
var remedy = map[int]string{
	sqlitelib.SQLITE_CANTOPEN: "check that it is a file, and that this user may write it and its folder",
	sqlitelib.SQLITE_READONLY: "check that this user may write it and its folder, and that the disk is not read-only",
	sqlitelib.SQLITE_FULL:     "make room on the disk",
	sqlitelib.SQLITE_IOERR:    "check the disk; the system's log says more",
}

// code is SQLite's primary result code, 0 for an error from elsewhere.
func code(err error) int {
	if e, ok := errors.AsType[*sqlite.Error](err); ok {
		return e.Code() & 0xff
	}
	return 0
}
