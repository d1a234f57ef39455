package capture

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// File is a log that another program is writing, followed through rotation
// (renamed, and begun anew) and truncation (copied, and cut to nothing). A FIFO
// is read instead, through any number of writers.
type File struct {
	Path    string
	FromEnd bool // only what is added from now on; else from the start

	// Resume is where an earlier run stopped, its zero value nowhere. What was
	// rotated away since is finished first.
	Resume Position
	// Save is told the position behind the last whole line, after emit has
	// returned for it, from the goroutine of Run. Store it only once the lines
	// are safe. May be nil.
	Save func(Position)
}

// Source checks the settings. A line is never closed by silence: the writer may
// buffer, and the other half of the line comes in an hour.
func (c File) Source() (Source, error) {
	if c.Path == "" {
		return Source{}, errors.New("file has no path")
	}
	// One memory for all streams of the source, so that a read error in the
	// night does not begin the file anew.
	at := c.Resume
	var without fs.FileInfo
	return Source{
		Name: "file:" + c.Path,
		Open: func(context.Context) (Stream, error) {
			now := c
			now.FromEnd = c.FromEnd && !c.begun(without)
			stream, err := now.open(&at)
			if errors.Is(err, fs.ErrNotExist) && without == nil {
				without, _ = os.Stat(filepath.Dir(c.Path)) // nor may the folder be there
			}
			return stream, err
		},
	}, nil
}

// begun says whether all that stands in the file was added since its folder was seen
// without it. Where a disk has been mounted since, that was another folder.
func (c File) begun(without fs.FileInfo) bool {
	folder, err := os.Stat(filepath.Dir(c.Path))
	return without != nil && err == nil && os.SameFile(without, folder)
}

func (c File) open(at *Position) (Stream, error) {
	stream, err := c.openAs(at)
	if err != nil {
		return nil, explainFile(c.Path, err)
	}
	return stream, nil
}

// openAs opens what stands under the name.
func (c File) openAs(at *Position) (Stream, error) {
	info, err := os.Stat(c.Path)
	if err != nil {
		return nil, err
	}
	switch kind := info.Mode().Type(); {
	case kind == 0:
		return c.follow(at)
	case kind&fs.ModeNamedPipe != 0:
		return openFIFO(c.Path)
	case kind&fs.ModeCharDevice != 0:
		return nil, fmt.Errorf("%s is a device, not a file; for a serial port use serial:%s", c.Path, c.Path)
	}
	return nil, fmt.Errorf("%s is no file that can be followed (%s)", c.Path, info.Mode().Type())
}

// follow opens the file at the position, looking for it under another name if
// it has been rotated away.
func (c File) follow(at *Position) (Stream, error) {
	f := &followed{path: c.Path, save: c.Save, at: at}
	fresh := *at == Position{}
	if !fresh && f.find() {
		return f, nil
	}
	file, err := os.Open(c.Path)
	if err != nil {
		return nil, err
	}
	if err := f.begin(file); err != nil {
		file.Close()
		return nil, err
	}
	if !fresh {
		f.said = "the log that was read before is not there any more, or was cut; what was added to it since is not recorded; reading this one from its start"
	}
	if c.FromEnd && fresh {
		if err := f.pass(); err != nil {
			file.Close()
			return nil, err
		}
	}
	return f, nil
}
