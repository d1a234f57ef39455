package journal

import (
	"cmp"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"amphora/capture"
)

// Options set how a journal is written. The zero value is the default.
type Options struct {
	// SyncEvery is the longest time between a line's arrival and its sync, and
	// so what a power cut may cost. 0 means 1 s; more spares a memory card.
	SyncEvery time.Duration
	// RetryEvery is how long to wait after the disk failed. 0 means 10 s.
	RetryEvery time.Duration
	// MaxLines and MaxBytes bound what one channel keeps in memory while the
	// disk is away. 0 means 100 000 lines and 16 MiB of written form.
	MaxLines, MaxBytes int
	// SegmentBytes is the size beyond which a new segment begins. 0 means 64 MiB.
	SegmentBytes int64
	// BootID names this start of the machine: letters, digits and "-". Empty
	// means to ask the system.
	BootID string
	// Log gets a line when the journal repairs something, when the disk fails
	// and when it is back. nil means slog.Default().
	Log *slog.Logger
	// OnSync, if set, is told how long each sync took. It must not block.
	OnSync func(channel string, took time.Duration)
	// FS stands in for the machine's file system. nil means the real one.
	FS FS
}

// MaxSyncEvery bounds Options.SyncEvery: no setting may put more of a night at
// risk.
const MaxSyncEvery = time.Minute

func (o Options) withDefaults() (Options, error) {
	o.SyncEvery = cmp.Or(o.SyncEvery, time.Second)
	o.RetryEvery = cmp.Or(o.RetryEvery, 10*time.Second)
	o.MaxLines = cmp.Or(o.MaxLines, 100_000)
	o.MaxBytes = cmp.Or(o.MaxBytes, 16<<20)
	o.SegmentBytes = cmp.Or(o.SegmentBytes, 64<<20)
	if o.BootID == "" {
		o.BootID = capture.BootID()
	}
	if o.Log == nil {
		o.Log = slog.Default()
	}
	if o.FS == nil {
		o.FS = osFS{}
	}
	switch {
	case o.SyncEvery < 0 || o.SyncEvery > MaxSyncEvery:
		return o, fmt.Errorf("journal sync interval %v is outside 0 to %v", o.SyncEvery, MaxSyncEvery)
	case o.RetryEvery < 0 || o.MaxLines < 0 || o.MaxBytes < 0 || o.SegmentBytes < 0:
		return o, errors.New("journal limits must not be negative")
	case !validBootID(o.BootID):
		return o, fmt.Errorf("boot id %q must be 1 to 64 letters, digits or \"-\"", o.BootID)
	}
	return o, nil
}

func validBootID(id string) bool {
	for i := range len(id) {
		c := id[i]
		if (c < '0' || c > '9') && (c < 'a' || c > 'z') && (c < 'A' || c > 'Z') && c != '-' {
			return false
		}
	}
	return id != "" && len(id) <= 64
}
