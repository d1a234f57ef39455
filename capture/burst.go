package capture

import "time"

const (
	// denseBeat: a source whose lines usually follow each other this closely
	// writes records of several lines, or is simply fast; the stamps are good
	// to this anyway.
	denseBeat = 20 * time.Millisecond
	// burstMost: a backlog is read within a moment. What goes on being dense
	// for longer is the source's new way.
	burstMost = 10 * time.Second
)

// bursts tells a backlog from the usual beat. After a freeze (of this program,
// of the host, of the bridge in between) a minute of lines arrives at once, and
// their stamps are not when they were measured.
type bursts struct {
	usual beat
	last  time.Duration // when the read before came
	dense time.Duration // when the present run of dense reads began
	run   bool          // there is such a run
	fresh bool          // nothing was read since opening: the first gap is no beat
}

// read takes one read of so many lines, and says whether they are a burst: more
// than one at once, or far sooner than usual.
func (b *bursts) read(at time.Duration, lines int) bool {
	if lines == 0 {
		return false
	}
	gap := at - b.last
	b.last = at
	if b.fresh {
		b.fresh = false
		return lines > 1
	}
	usual, known := b.usual.lowerQuartile()
	if known && usual < denseBeat {
		b.learn(gap, lines)
		return false
	}
	burst := lines > 1 || known && gap < usual/4
	if burst && !b.run {
		b.dense = at
	}
	b.run = burst
	if !burst || at-b.dense > burstMost {
		b.learn(gap, lines)
	}
	return burst
}

// learn adds the intervals of one read: the lines after the first came with it.
func (b *bursts) learn(gap time.Duration, lines int) {
	b.usual.add(gap)
	for range min(lines-1, len(b.usual.last)) {
		b.usual.add(0)
	}
}

// opened starts anew after a time without the source: the gap is not a beat.
func (b *bursts) opened(at time.Duration) { b.last, b.run, b.fresh = at, false, true }
