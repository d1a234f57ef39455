package journal

import (
	"bytes"
	"io"
	"math/rand/v2"
	"slices"
	"syscall"
	"time"
)

type memFile struct {
	data   []byte
	synced []byte
	dirty  int      // data[:dirty] is as it was at the last sync
	lost   [][2]int // ranges that a failed sync threw away; no later sync brings them back
}

// afterCrash keeps what was synced; of the rest a prefix, a random subset of
// blocks, or zeros of the right length.
func (f *memFile) afterCrash(rng *rand.Rand) []byte {
	block := []int{512, 4096}[rng.IntN(2)]
	data := slices.Clone(f.data)
	for _, r := range f.lost {
		clear(data[min(r[0], len(data)):min(r[1], len(data))])
	}
	safe := len(f.synced)
	if len(data) <= safe {
		return slices.Clone(f.synced)
	}
	copy(data, f.synced)
	switch rng.IntN(3) {
	case 0:
		cut := safe + rng.IntN(len(data)-safe+1)
		return data[:max(safe, cut/block*block)]
	case 1:
		for at := safe / block * block; at < len(data); at += block {
			if rng.IntN(2) == 0 {
				clear(data[max(at, safe):min(at+block, len(data))])
			}
		}
	case 2:
		clear(data[safe:])
	}
	return data
}

type memHandle struct {
	fs   *memFS
	file *memFile
	at   int
}

func (h *memHandle) Close() error { return nil }

func (h *memHandle) Read(p []byte) (int, error) {
	h.fs.mu.Lock()
	defer h.fs.mu.Unlock()
	if h.at >= len(h.file.data) {
		return 0, io.EOF
	}
	n := copy(p, h.file.data[h.at:])
	h.at += n
	return n, nil
}

// WriteAt stores half before it fails for want of space, as a real disk does.
func (h *memHandle) WriteAt(p []byte, off int64) (int, error) {
	h.fs.mu.Lock()
	defer h.fs.mu.Unlock()
	err := h.fs.op()
	if err == syscall.ENOSPC {
		p = p[:len(p)/2]
	} else if err != nil {
		return 0, err
	}
	end := int(off) + len(p)
	if end > len(h.file.data) {
		h.file.data = append(h.file.data, bytes.Repeat([]byte{0}, end-len(h.file.data))...)
	}
	h.file.dirty = min(h.file.dirty, int(off))
	return copy(h.file.data[off:], p), err
}

func (h *memHandle) Truncate(size int64) error {
	h.fs.mu.Lock()
	defer h.fs.mu.Unlock()
	if err := h.fs.op(); err != nil {
		return err
	}
	h.file.data = h.file.data[:size]
	h.file.dirty = min(h.file.dirty, int(size))
	return nil
}

// Sync that fails throws away what was to be written; the next one succeeds and
// proves nothing.
func (h *memHandle) Sync() error {
	time.Sleep(h.fs.stall)
	h.fs.mu.Lock()
	defer h.fs.mu.Unlock()
	f := h.file
	if err := h.fs.op(); err != nil {
		f.lost = append(f.lost, [2]int{len(f.synced), len(f.data)})
		return err
	}
	h.fs.syncs++
	f.synced = append(f.synced[:f.dirty], f.data[f.dirty:]...)
	f.dirty = len(f.data)
	for _, r := range f.lost {
		clear(f.synced[min(r[0], len(f.synced)):min(r[1], len(f.synced))])
	}
	return nil
}
