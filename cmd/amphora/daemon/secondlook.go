package daemon

import (
	"context"
	"math"
	"slices"
	"strings"
	"time"

	"amphora/capture"
	"amphora/capture/journal"
	"amphora/decoders"
)

// secondLook goes on looking at the lines of a source whose decoder was fitted
// from its first lines: which way the meter counts can be seen for sure only when
// current begins to flow. It ends once it has been seen.
type secondLook struct {
	told bool
	fit  fitting
	amps []float64 // of the lines that are kept, without their sign
}

const (
	// secondMost bounds what is kept for it. A charge that begins changes current
	// and voltage within these lines.
	secondMost = 120
	// secondEvery is how many lines lie between two looks at them.
	secondEvery = 20
)

// lookAgain takes a line that was decoded.
func (s *story) lookAgain(l line, text []byte, sink func(turn)) {
	k := &s.second
	if s.setting != "" || k.told || s.replaying {
		return
	}
	if !s.last.ok || s.last.at != l.at {
		return // not a row
	}
	k.fit.keep(l, text)
	k.amps = append(k.amps, math.Abs(s.last.amps))
	setting, ok := k.fit.try(0)
	switch {
	case ok && k.fit.told && leapt(k.amps):
		s.second = secondLook{told: true}
		if right := withSignOf(s.chosen, setting); right != s.chosen {
			sink(turn{chose: right, anew: true})
		}
		return
	case len(k.fit.lines) >= secondMost:
		k.fit.halve()
		k.amps = slices.Clone(k.amps[len(k.amps)-len(k.fit.lines):])
	}
	k.fit.nextN = min(k.fit.nextN, len(k.fit.lines)+secondEvery)
}

// leapt tells whether current has begun to flow, or ended, beyond all doubt: over
// days without current even a rare chance in the noise would come.
func leapt(amps []float64) bool {
	const clear, rows = 20, 3
	sorted := slices.Sorted(slices.Values(amps))
	if len(sorted) < 2*rows {
		return false
	}
	usual := sorted[len(sorted)/2]
	for _, a := range sorted {
		if a > 0 {
			usual = max(usual, a) // at least the smallest that the meter shows
			break
		}
	}
	return sorted[len(sorted)-rows] > clear*usual
}

// withSignOf is a setting with the current counted as another counts it. All else
// stays: the other may have been fitted without the header of the log.
func withSignOf(setting, other string) string {
	mine, err := decoders.Parse(setting)
	if err != nil {
		return setting
	}
	theirs, err := decoders.Parse(other)
	if err != nil {
		return setting
	}
	for k := range mine.Fields {
		for _, f := range theirs.Fields {
			if f.Quantity == decoders.Amps && mine.Fields[k].Quantity == decoders.Amps {
				mine.Fields[k].Negate = f.Negate
			}
		}
	}
	return mine.String()
}

// choosing reports whether the decoder is for the story to choose. What it chose
// last is in the journal; the place may have been written down before that.
func (s *story) choosing() bool { return s.setting == "" && s.two == nil }

// hearChoice takes the decoder that the journal names last: a later one corrects
// those before it.
func (s *story) hearChoice(data, name string, from uint64) error {
	r, err := journal.NewReader(data, name, from)
	if err != nil {
		return err
	}
	defer r.Close()
	last := ""
	for r.Next() {
		rec := r.Record()
		if rec.Flags&capture.Marked == 0 {
			continue
		}
		if setting, ok := strings.CutPrefix(string(rec.Text), decoderMark); ok {
			if _, err := decoders.Parse(setting); err == nil {
				last = setting
			}
		}
	}
	if last != "" {
		s.chosen = last
		s.restart(s.account, 0)
	}
	return r.Err()
}

// tellLimit is how long the source may wait while its story is told anew.
const tellLimit = 10 * time.Second

// tellAnew tells the present account again with a decoder that was found to be the
// right one. The caller holds mu.
func (c *channel) tellAnew() {
	if c.anew == "" {
		return
	}
	setting := c.anew
	c.anew = ""
	ctx, cancel := context.WithTimeout(c.until, tellLimit)
	defer cancel()
	if c.record.Sync(ctx) != nil {
		c.story.second = secondLook{} // it cannot be read back now; look again later
		return
	}
	c.log.Warn("the lines show that another decoder is right; telling them again", "channel", c.set.Name, "before", c.story.chosen, "now", setting)
	if c.stored.id != "" {
		c.books.drop(c.stored.id)
		c.stored = stored{}
	}
	p := c.story.place(c.story.account)
	p.Decoder, p.Told = setting, true
	if err := c.tell(ctx, p); err != nil {
		c.log.Error("cannot tell the lines again; a restart will", "channel", c.set.Name, "error", err)
	}
	c.writePlace()
	c.status.stale = true
}
