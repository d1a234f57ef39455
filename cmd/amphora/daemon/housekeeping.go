package daemon

import (
	"context"
	"time"

	"amphora/capture/journal"
)

const housekeepEvery = time.Hour

// housekeep compresses finished segments and removes what is too old.
func (d *Daemon) housekeep(ctx context.Context) {
	tick := time.NewTicker(housekeepEvery)
	defer tick.Stop()
	for {
		if err := d.journal.Compress(ctx); err != nil && ctx.Err() == nil {
			d.cfg.Log.Warn("cannot compress old segments of the journal", "error", err)
		}
		gone, err := d.journal.Retain(d.cfg.Retain, d.covered, d.cfg.Clock.Wall())
		if err != nil {
			d.cfg.Log.Warn("cannot remove old segments of the journal", "error", err)
		}
		for _, g := range gone {
			d.cfg.Log.Info("removed an old segment of the journal", "file", g.Path)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// covered reports whether session summaries hold all that a segment can tell:
// nothing of it would be needed to replay what is unfinished.
func (d *Daemon) covered(s journal.Segment) bool {
	for _, set := range d.cfg.Channels {
		if set.Name == s.Channel {
			at, err := readPlace(placeFile(d.cfg.Data, s.Channel))
			return err == nil && s.Last < at.From
		}
	}
	return true // a channel that is not configured any more
}
