package influx

import (
	"bytes"
	"fmt"
	"os"
	"time"
)

// asideName is the file of the points that the server will never take. It is line
// protocol, so that it can be posted once the cause is mended; the reasons are its
// comments.
const asideName = "refused.txt"

// mostAside is how large that file may become before it takes the place of an older
// one, in bytes.
const mostAside = 8 << 20

// refused is a point that the server does not take.
type refused struct {
	line []byte
	why  string
}

// putAside adds points to the file.
func putAside(file string, list []refused, now time.Time) error {
	var b bytes.Buffer
	why := ""
	for _, r := range list {
		if r.why != why {
			why = r.why
			fmt.Fprintf(&b, "# %s %s\n", now.UTC().Format(time.RFC3339), why)
		}
		b.Write(r.line)
		b.WriteByte('\n')
	}
	if info, err := os.Stat(file); err == nil && info.Size()+int64(b.Len()) > mostAside {
		if err := os.Rename(file, file+".old"); err != nil {
			return err
		}
	}
	f, err := os.OpenFile(file, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o640)
	if err != nil {
		return err
	}
	_, err = f.Write(b.Bytes())
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}
