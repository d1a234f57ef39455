package capture

import (
	"bytes"
	"hash/fnv"
	"io"
	"os"
)

// Position is a place in a log file that another program writes and rotates. It
// can be stored as JSON.
type Position struct {
	Device uint64 `json:"device"` // with Inode the file itself, whatever its name; 0 where the system has none
	Inode  uint64 `json:"inode"`
	Offset int64  `json:"offset"` // bytes from its start
	Head   int64  `json:"head"`   // how many of its first bytes Print covers
	Print  uint64 `json:"print"`  // of these, for an inode is used again and a file may be cut

	// Written is when it had last been written to before it was last read, ns since 1970
	// by the file system; 0 where an earlier version kept the position.
	Written int64 `json:"written"`
}

// How much of a file's beginning tells it from another: a heading and the first rows, with
// their times. Some headings are a page long. What has been read of a file is compared as far as
// headMost; headEnough of it may be taken for more than a heading.
const (
	headEnough = 512
	headMost   = 4096
)

// positionOf is the start of a file.
func positionOf(file *os.File) (Position, error) {
	info, err := file.Stat()
	if err != nil {
		return Position{}, err
	}
	var p Position
	p.Device, p.Inode = fileID(info)
	p.Print, _ = printOf(file, 0, 0)
	return p, nil
}

// look takes the print of a file's first bytes, as they were when they were read: the
// file may have been written anew since.
func (p *Position) look(head []byte) {
	length := min(int64(len(head)), p.Offset)
	if length == p.Head {
		return
	}
	if print, ok := printOf(bytes.NewReader(head), 0, length); ok {
		p.Head, p.Print = length, print
	}
}

// isOf says whether a file that begins so may be the one of the position. It may have been
// written anew since in or copiedTo looked at it.
func (p Position) isOf(head []byte) bool {
	print, ok := printOf(bytes.NewReader(head), 0, p.Head)
	return ok && print == p.Print
}

// headOf reads the first of so many bytes of a file that are known; what cannot be read
// tells nothing.
func headOf(file *os.File, known int64) []byte {
	head := make([]byte, min(known, headMost))
	n, _ := file.ReadAt(head, 0)
	return head[:n]
}

// in says whether a file is the one of the position, and still holds it.
func (p Position) in(file *os.File) bool {
	info, err := file.Stat()
	if err != nil {
		return false
	}
	device, inode := fileID(info)
	return device == p.Device && inode == p.Inode && p.beginsLike(file, info.Size())
}

// copiedTo says whether a file is a copy of the one of the position. A short beginning
// may be no more than the heading that every log has: then a file that nobody has written
// to since is an older log.
func (p Position) copiedTo(file *os.File) bool {
	info, err := file.Stat()
	if err != nil || p.Head == 0 {
		return false
	}
	since := p.Written != 0 && info.ModTime().UnixNano() >= p.Written
	return (p.Head >= headEnough || since) && p.beginsLike(file, info.Size())
}

// beginsLike says whether a file begins as the one of the position did, and
// reaches as far.
func (p Position) beginsLike(file *os.File, size int64) bool {
	print, ok := printOf(file, 0, p.Head)
	return ok && print == p.Print && size >= p.Offset
}

// writtenAt is when a file was last written to, ns since 1970; 0 if nobody can tell.
func writtenAt(file *os.File) int64 {
	info, err := file.Stat()
	if err != nil {
		return 0
	}
	return info.ModTime().UnixNano()
}

// printOf is a print of some of a file's bytes; ok is false if it has fewer.
func printOf(file io.ReaderAt, from, length int64) (print uint64, ok bool) {
	sum := fnv.New64a()
	n, err := io.Copy(sum, io.NewSectionReader(file, from, length))
	return sum.Sum64(), err == nil && n == length
}
