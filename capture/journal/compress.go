package journal

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
)

// Compress packs every closed segment that is not packed yet. The original goes
// only after the packed file is durable and was read back and compared. It may
// run beside the writers; call it now and then, for instance once an hour.
func (j *Journal) Compress(ctx context.Context) error {
	all, err := j.everything()
	for _, segs := range all {
		for _, seg := range segs {
			if err := ctx.Err(); err != nil {
				return err
			}
			if seg.Packed {
				continue
			}
			if err := j.compress(ctx, seg); err != nil {
				return fmt.Errorf("compress journal %s: %w", seg.Path, err)
			}
		}
	}
	return err
}

// wanted reads on as long as somebody wants it: a whole segment may take longer than a stop.
type wanted struct {
	ctx  context.Context
	from io.Reader
}

func (w wanted) Read(p []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.from.Read(p)
}

func (j *Journal) compress(ctx context.Context, seg Segment) error {
	j.files.Lock()
	defer j.files.Unlock()
	if j.busy(seg) {
		return nil
	}
	fsys, packed := j.opt.FS, packedPath(seg.Path)
	err := writeWhole(fsys, packed, func(dst File) error {
		src, err := fsys.Open(seg.Path)
		if err != nil {
			return err
		}
		defer src.Close()
		return pack(io.NewOffsetWriter(dst, 0), wanted{ctx, src})
	})
	if err != nil {
		return err
	}
	if err := sameText(ctx, fsys, seg, packed); err != nil {
		return errors.Join(err, fsys.Remove(packed))
	}
	return fsys.Remove(seg.Path)
}

// busy tells whether a channel is writing seg.
func (j *Journal) busy(seg Segment) bool {
	j.mu.Lock()
	c := j.channels[seg.Channel]
	j.mu.Unlock()
	return c != nil && c.busy(seg.Path)
}

var errUnlike = errors.New("the compressed copy reads back differently; is the disk failing?")

// sameText compares a segment with its packed copy, byte for byte.
func sameText(ctx context.Context, fsys FS, seg Segment, packed string) error {
	plain, err := openText(fsys, &seg)
	if err != nil {
		return err
	}
	defer plain.Close()
	copied, err := openText(fsys, &Segment{Path: packed, Packed: true})
	if err != nil {
		return err
	}
	defer copied.Close()
	a, b := bufio.NewReaderSize(wanted{ctx, plain}, 32<<10), bufio.NewReaderSize(wanted{ctx, copied}, 32<<10)
	for {
		x, errA := a.Peek(4 << 10)
		y, errB := b.Peek(4 << 10)
		if !bytes.Equal(x, y) || (errA == nil) != (errB == nil) {
			return errUnlike
		}
		if errA != nil {
			if !errors.Is(errA, io.EOF) || !errors.Is(errB, io.EOF) {
				return errors.Join(errA, errB)
			}
			return nil
		}
		_, _ = a.Discard(len(x)) // peeked at, so it is there
		_, _ = b.Discard(len(y))
	}
}
