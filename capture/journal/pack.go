package journal

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"strings"

	"github.com/klauspost/compress/zstd"
)

// A compressed segment is a row of Zstandard frames (RFC 8878), so that the
// usual tools read it. Each holds whole lines and can be read alone; before each
// stands a skippable frame of 20 bytes that says how long it is and seals it.
// Damage therefore costs one frame, not the rest of the day.
//
//	50 2a 4d 18  0c 00 00 00  "amph"  length, 4 bytes  CRC-32C, 4 bytes
//
// All numbers are little-endian; length and checksum are of the frame behind.
const (
	packedText = 128 << 10 // of text in one frame
	packedMax  = 4 << 20   // longest frame that is believed
	markLen    = 20
)

var markStart = []byte("\x50\x2a\x4d\x18\x0c\x00\x00\x00amph")

// lostFrameMark begins the line that stands for a frame which cannot be read. No
// record begins so; the line keeps the damage in its place among the records.
const lostFrameMark = "! "

func packedPath(plain string) string { return strings.TrimSuffix(plain, plainEnd) + packedEnd }

// pack compresses a segment's text from src to dst. No frame looks back further than its
// own beginning: with the room that a library sets aside for that else, 21 MiB, the program
// would need twice its memory once a day.
func pack(dst io.Writer, src io.Reader) error {
	enc, err := zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1), zstd.WithWindowSize(packedText), zstd.WithLowerEncoderMem(true))
	if err != nil {
		return err
	}
	defer enc.Close()
	var out []byte
	text := make([]byte, packedText)
	kept := 0
	for {
		n, err := io.ReadFull(src, text[kept:])
		have := text[:kept+n]
		last := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
		if err != nil && !last {
			return err
		}
		cut := len(have)
		if i := bytes.LastIndexByte(have, '\n'); i >= 0 && !last {
			cut = i + 1
		}
		if cut > 0 {
			out = appendFrame(out[:0], enc, have[:cut])
			if _, err := dst.Write(out); err != nil {
				return err
			}
		}
		if last {
			return nil
		}
		kept = copy(text, have[cut:])
	}
}

func appendFrame(dst []byte, enc *zstd.Encoder, text []byte) []byte {
	dst = append(dst, markStart...)
	dst = append(dst, make([]byte, markLen-len(markStart))...)
	dst = enc.EncodeAll(text, dst)
	frame := dst[markLen:]
	binary.LittleEndian.PutUint32(dst[12:], uint32(len(frame)))
	binary.LittleEndian.PutUint32(dst[16:], crc32.Checksum(frame, castagnoli))
	return dst
}

// unpacker reads back what pack wrote. It has no error of its own but those of
// the file: for bytes that are no good frame it gives one line that begins with
// lostFrameMark.
type unpacker struct {
	file   io.Closer
	in     *bufio.Reader
	dec    *zstd.Decoder
	offset int64 // of in, in the file
	frame  []byte
	text   []byte // unpacked; text[given:] is still to be given out
	given  int
}

func newUnpacker(f File) *unpacker {
	return &unpacker{file: f, in: bufio.NewReaderSize(f, 64<<10)}
}

func (u *unpacker) Close() error {
	if u.dec != nil {
		u.dec.Close()
	}
	return u.file.Close()
}

func (u *unpacker) Read(p []byte) (int, error) {
	for u.given == len(u.text) {
		if err := u.load(); err != nil {
			return 0, err
		}
	}
	n := copy(p, u.text[u.given:])
	u.given += n
	return n, nil
}

// load unpacks the next frame, or stands in for it.
func (u *unpacker) load() error {
	u.text, u.given = u.text[:0], 0
	at := u.offset
	mark, err := u.in.Peek(markLen)
	if len(mark) == 0 {
		return err
	}
	if len(mark) < markLen || !bytes.HasPrefix(mark, markStart) {
		return u.skip(at)
	}
	length := binary.LittleEndian.Uint32(mark[12:])
	sum := binary.LittleEndian.Uint32(mark[16:])
	u.discard(markLen)
	if length > packedMax {
		return u.skip(at)
	}
	u.frame = append(u.frame[:0], make([]byte, length)...)
	n, err := io.ReadFull(u.in, u.frame)
	u.offset += int64(n)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return err
	}
	if n < len(u.frame) || crc32.Checksum(u.frame, castagnoli) != sum {
		// The length may be what was hit: look for the next mark inside.
		return u.resume(at, u.frame[:n])
	}
	return u.decode(at)
}

func (u *unpacker) decode(at int64) (err error) {
	if u.dec == nil {
		if u.dec, err = zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(packedMax)); err != nil {
			return err
		}
	}
	u.text, err = u.dec.DecodeAll(u.frame, u.text)
	if err != nil {
		u.standIn(at)
	}
	return nil
}

// resume goes on at the next mark inside bytes that were taken for a frame.
func (u *unpacker) resume(at int64, frame []byte) error {
	if i := bytes.Index(frame, markStart); i >= 0 {
		rest := bytes.Clone(frame[i:])
		u.offset -= int64(len(rest))
		u.in = bufio.NewReaderSize(io.MultiReader(bytes.NewReader(rest), u.in), 64<<10)
		u.standIn(at)
		return nil
	}
	return u.skip(at)
}

// skip passes over bytes up to the next mark or the end.
func (u *unpacker) skip(at int64) error {
	for {
		have, err := u.in.Peek(4 << 10)
		if i := bytes.Index(have, markStart); i > 0 || i == 0 && u.offset > at {
			u.discard(i)
			break
		}
		if err != nil {
			u.discard(len(have))
			if !errors.Is(err, io.EOF) {
				return err
			}
			break
		}
		u.discard(len(have) - len(markStart) + 1) // a mark may straddle the edge
	}
	u.standIn(at)
	return nil
}

func (u *unpacker) discard(n int) {
	n, _ = u.in.Discard(n) // n bytes were peeked at
	u.offset += int64(n)
}

// standIn gives out a line in place of the bytes from at to here.
func (u *unpacker) standIn(at int64) {
	u.text = fmt.Appendf(u.text[:0], "%sbytes %d to %d of the file\n", lostFrameMark, at, u.offset)
}
