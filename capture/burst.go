package capture

import "time"

const (
	// denseBeat: a source whose lines usually follow each other this closely
	// writes records of several lines, or is simply fast.
	denseBeat = 20 * time.Millisecond
	// backlogLines is how many times the usual number of lines one read of such
	// a source must bring to be a backlog.
	backlogLines = 8
	// burstMost: a backlog is read within a moment. What goes on being dense
	// for longer is the source's new way.
	burstMost = 10 * time.Second
)

// bursts tells a backlog from the usual beat. After a freeze (of this program,
// of the host, of the bridge in between) a minute of lines arrives at once, and
// their stamps are not when they were measured.
type bursts struct {
	gaps  beat          // between lines; those of one read follow each other by nothing
	lines recent[int]   // in one read
	last  time.Duration // when the read before came
	dense time.Duration // when the present run of dense reads began
	run   bool          // there is such a run
	fresh bool          // nothing was read since opening: the first gap is no beat
}

// opened starts anew after a time without the source.
func (b *bursts) opened(at time.Duration) { b.last, b.run, b.fresh = at, false, true }

// read takes one read of so many lines, and says whether they are a burst.
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
	burst := b.backlog(gap, lines)
	if burst && !b.run {
		b.dense = at
	}
	b.run = burst
	if !burst || at-b.dense > burstMost {
		b.learn(gap, lines)
	}
	return burst
}

// backlog says whether more lines came at once, or far sooner, than is usual.
func (b *bursts) backlog(gap time.Duration, lines int) bool {
	usual, known := b.gaps.lowerQuartile()
	if known && usual < denseBeat {
		many, _ := b.lines.median()
		return lines > backlogLines*many
	}
	return lines > 1 || known && gap < usual/4
}

// learn keeps what one read was like.
func (b *bursts) learn(gap time.Duration, lines int) {
	b.lines.add(lines)
	b.gaps.add(gap)
	for range min(lines-1, len(b.gaps.last)) {
		b.gaps.add(0)
	}
}
