package capture

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"time"
)

// followed is an open log.
type followed struct {
	path    string
	save    func(Position)
	at      *Position // behind the last whole line
	file    *os.File
	head    []byte // its first bytes, up to headMost of them, as they were read
	offset  int64  // where the next read begins
	safe    int64  // behind the last line end that was read
	written int64  // when the file had been written to, as the last read began; see Position
	idle    bool   // the last read found nothing new
	old     bool   // another file stands under the name now: this one is read to its end
	half    bool   // it was entered inside a line
	short   int    // looks in a row at which it held no more than a beginning of what was read
	said    string // a remark that waits to be read
}

// begin starts a file from its beginning.
func (f *followed) begin(file *os.File) error {
	at, err := positionOf(file)
	if err != nil {
		return err
	}
	f.file, f.head, f.offset, f.safe, f.old, f.short, *f.at = file, nil, 0, 0, false, 0, at
	return nil
}

// pass passes over what the file holds by now, and tells that place: whoever begins anew
// before a line has come goes on there.
func (f *followed) pass() error {
	end, err := f.file.Seek(0, io.SeekEnd)
	if err != nil {
		return err
	}
	f.half = end > 0 && !endsLine(f.file, end)
	f.head, f.offset, f.safe = headOf(f.file, end), end, end
	f.tell()
	return nil
}

// endsLine says whether a line ends at a place.
func endsLine(file *os.File, at int64) bool {
	var last [1]byte
	n, _ := file.ReadAt(last[:], at-1)
	return n == 1 && (last[0] == '\n' || last[0] == '\r')
}

// midway is true where the rest of a line comes first.
func (f *followed) midway() bool { return f.half }

// find goes on where the position says: in the file itself, whatever its name
// is by now, or else in the copy that was made before it was cut.
func (f *followed) find() bool {
	paths := append([]string{f.path}, rotatedNames(f.path)...)
	for _, same := range []func(Position, *os.File) bool{Position.in, Position.copiedTo} {
		for _, path := range paths {
			if f.resume(path, same) {
				return true
			}
		}
	}
	return false
}

// resume opens the file at the path if it is the same.
func (f *followed) resume(path string, same func(Position, *os.File) bool) bool {
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	info, err := file.Stat()
	if err != nil || !same(*f.at, file) {
		file.Close()
		return false
	}
	f.half = f.at.Offset > 0 && !endsLine(file, f.at.Offset)
	// A line that ended in CR was given before its LF was seen.
	var end [2]byte
	if n, _ := file.ReadAt(end[:], max(0, f.at.Offset-1)); f.at.Offset > 0 && n == 2 && string(end[:]) == "\r\n" {
		f.at.Offset++
	}
	head := headOf(file, f.at.Offset)
	if _, err := file.Seek(f.at.Offset, io.SeekStart); err != nil || !f.at.isOf(head) {
		file.Close()
		return false
	}
	f.file, f.head, f.offset, f.safe = file, head, f.at.Offset, f.at.Offset
	f.at.Device, f.at.Inode = fileID(info)
	return true
}

// Read gives what was added, and at the end looks whether the file is still the
// one to read.
func (f *followed) Read(p []byte) (int, error) {
	f.saved()
	if text := f.said; text != "" {
		f.said = ""
		return 0, Remark{Text: text}
	}
	if f.idle {
		if err := f.turn(); err == errBegun {
			time.Sleep(tick)
			return 0, nil
		} else if err != nil {
			return 0, err
		}
	}
	f.written = writtenAt(f.file)
	n, err := f.file.Read(p)
	return f.took(p[:n], err)
}

// took takes what a read gave.
func (f *followed) took(block []byte, err error) (int, error) {
	if len(block) > 0 && !f.still() && f.holds(block) { // written anew since the last look, and longer: turn looks again
		f.idle = true
		_, err := f.file.Seek(f.offset, io.SeekStart)
		return 0, err
	}
	f.idle = len(block) == 0
	f.advance(block)
	if !f.idle {
		f.short = 0
		return len(block), nil
	}
	if err != io.EOF {
		return 0, err
	}
	time.Sleep(tick)
	return 0, nil
}

// still says whether the file is as it was read, as far as its beginning and its length tell.
func (f *followed) still() bool {
	return sizeOf(f.file) >= f.offset && bytes.Equal(headOf(f.file, int64(len(f.head))), f.head)
}

// holds says whether a block stands in the file where it was read. Where the file was written
// anew and it does not, it was read before that, and stands nowhere else any more.
func (f *followed) holds(block []byte) bool {
	now := make([]byte, len(block))
	n, _ := f.file.ReadAt(now, f.offset)
	return bytes.Equal(now[:n], block)
}

// saved tells the position, now that the lines before it were emitted.
func (f *followed) saved() {
	if f.safe != f.at.Offset {
		f.tell()
	}
}

// tell tells that all before the last line end need not be read again.
func (f *followed) tell() {
	f.at.Offset, f.at.Written = f.safe, f.written
	f.at.look(f.head)
	if f.save != nil {
		f.save(*f.at)
	}
}

// advance counts what was read.
func (f *followed) advance(block []byte) {
	if end := max(bytes.LastIndexByte(block, '\n'), bytes.LastIndexByte(block, '\r')); end >= 0 {
		f.safe = f.offset + int64(end) + 1
	}
	if int64(len(f.head)) == f.offset {
		f.head = append(f.head, block[:min(len(block), headMost-len(f.head))]...)
	}
	f.offset += int64(len(block))
}

// Close ends the following.
func (f *followed) Close() error { return f.file.Close() }

func (f *followed) String() string { return fmt.Sprint(f.file.Name(), AtByte, f.offset) }
