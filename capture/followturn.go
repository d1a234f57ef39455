package capture

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
)

// What becomes of a log that is followed once all of it has been read: it may have been cut,
// rotated or replaced.

// errBegun says that the file was cut, and may be about to be written anew as it was.
var errBegun = errors.New("the file is being written anew")

// mostLooks is how often a file is looked at that holds no more than a beginning of what was
// read, until no more of it is waited for.
const mostLooks = 4

// comes says whether a file may be about to be written as this one was: it is empty, or holds,
// for some looks, a beginning of what was read.
func (f *followed) comes(file *os.File) bool {
	size := sizeOf(file)
	if size == 0 {
		return true
	}
	if size >= f.offset || f.short >= mostLooks || !bytes.HasPrefix(f.head, headOf(file, size)) {
		return false
	}
	f.short++
	return true
}

// turn finds out whether the file was cut or replaced. If so the error is the
// Remark that says it, and reading goes on where the log does.
func (f *followed) turn() error {
	mine, err := f.file.Stat()
	if err != nil {
		return err
	}
	if !f.still() {
		return f.cut(mine)
	}
	theirs, err := os.Stat(f.path)
	if err != nil || os.SameFile(mine, theirs) {
		f.old, f.short = false, 0
		return nil // nothing new, or moved away and not begun anew yet
	}
	if !f.old { // its writer may still have a line for it: one more look
		f.old = true
		return nil
	}
	return f.leave(mine)
}

// cut goes on after the file was cut: in the copy that was made of it before, which
// may hold lines that nobody has read, or else at its start. As long as it is empty, and
// for a moment while what it holds is its old beginning, it may be about to be written anew as
// it was, and longer.
func (f *followed) cut(mine fs.FileInfo) error {
	for _, path := range rotatedNames(f.path) {
		if file, err := os.Open(path); err == nil {
			if f.at.copiedTo(file) && sizeOf(file) >= f.offset {
				return f.change(file, "the file was copied and cut; finishing the copy")
			}
			file.Close()
		}
	}
	if theirs, err := os.Stat(f.path); err == nil && os.SameFile(mine, theirs) {
		switch {
		case f.still():
			return nil // it was, since we looked
		case f.comes(f.file):
			return errBegun
		}
	}
	if _, err := f.file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if err := f.begin(f.file); err != nil {
		return err
	}
	return Remark{Text: "the file was cut; reading it from its start", Anew: true}
}

// leave goes on in the next file, now that this one was read to its end.
func (f *followed) leave(mine fs.FileInfo) error {
	if longer := f.replacement(mine); longer != nil {
		return f.change(longer, "the file was replaced by a copy of itself; reading on in that")
	}
	next, unread, err := f.next(mine)
	if err != nil {
		return err
	}
	if f.comes(next) && standsUnder(f.path, next) { // the writer has not been told yet, or a copy is being made
		f.old = false
		return next.Close()
	}
	before := f.file
	if err := f.begin(next); err != nil {
		next.Close()
		return err
	}
	before.Close()
	return Remark{Text: "the file was rotated; the old one was read to its end" + unread, Anew: true}
}

// standsUnder says whether a file is the one of a name.
func standsUnder(path string, file *os.File) bool {
	here, errHere := file.Stat()
	there, errThere := os.Stat(path)
	return errors.Join(errHere, errThere) == nil && os.SameFile(here, there)
}

// change goes on at the same place in another file with the same bytes up to there.
func (f *followed) change(to *os.File, why string) error {
	info, err := to.Stat()
	if err == nil {
		_, err = to.Seek(f.offset, io.SeekStart)
	}
	if err != nil {
		to.Close()
		return err
	}
	f.file.Close()
	f.file, f.old = to, false
	f.at.Device, f.at.Inode = fileID(info)
	return Remark{Text: why}
}
