package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"amphora/analyze/logbook"
	"amphora/cmd/amphora/daemon"
)

// errNoBook says that nothing was ever written down in a data folder.
var errNoBook = errors.New("no logbook there yet; `amphora battery add NAME` begins one")

// readBook opens the logbook of a data folder for use. It begins none: a look
// around must leave no file behind, least of all one that belongs to the wrong
// user.
func (d *dataFlag) readBook(ctx context.Context, use func(*logbook.Book) error) error {
	dir, err := d.folder()
	if err != nil {
		return err
	}
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) && !d.named() {
		return fmt.Errorf("%s: %w", dir, errNoBook)
	} else if err != nil {
		return fmt.Errorf("data folder: %w; the daemon and `amphora battery add` make it, --data names another", err)
	}
	file := daemon.BookFile(dir)
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: %w", dir, errNoBook)
	}
	return useBook(ctx, file, use)
}

// writeBook is readBook for what adds something: it begins a logbook if need be.
func (d *dataFlag) writeBook(ctx context.Context, use func(*logbook.Book) error) error {
	dir, err := d.folder()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o750); err != nil {
		return fmt.Errorf("data folder: %w", err)
	}
	file := daemon.BookFile(dir)
	_, missing := os.Stat(file)
	err = useBook(ctx, file, use)
	if errors.Is(missing, fs.ErrNotExist) {
		if given := handOver(file); err == nil && given != nil {
			err = fmt.Errorf("leave the logbook to the owner of %s: %w", dir, given)
		}
	}
	return err
}

func useBook(ctx context.Context, file string, use func(*logbook.Book) error) error {
	book, err := logbook.Open(ctx, file)
	if err != nil {
		return err
	}
	err = use(book)
	if closed := book.Close(); err == nil {
		err = closed
	}
	switch {
	case errors.Is(err, logbook.ErrNotFound):
		return fmt.Errorf("%w; `amphora battery list` and `amphora session list` say what is", err)
	case errors.Is(err, logbook.ErrExists):
		return fmt.Errorf("%w; `amphora battery edit` changes it", err)
	}
	return wrongFields(err)
}

// wrongFields makes wrong use of what the logbook refuses to store, and names the
// flags that said it.
func wrongFields(err error) error {
	if _, ok := errors.AsType[*logbook.Invalid](err); ok {
		return usagef("%w", flagged(err))
	}
	return err
}

func flagged(err error) error {
	if all, ok := err.(interface{ Unwrap() []error }); ok {
		var each []error
		for _, one := range all.Unwrap() {
			each = append(each, flagged(one))
		}
		return errors.Join(each...)
	}
	bad, ok := err.(*logbook.Invalid)
	if !ok {
		return err
	}
	for _, f := range append(batteryFields[:len(batteryFields):len(batteryFields)], readingFields...) {
		if f.name == bad.Field {
			return &logbook.Invalid{Field: "--" + f.flag, Why: bad.Why}
		}
	}
	return err
}
