package capture

import (
	"errors"
	"fmt"
	"time"
)

const (
	clockStep   = 2 * time.Second  // a wall clock that is set moves by more; one that is steered by less
	heldUpFor   = 10 * time.Second // a read returns within a tick: if it took so long nobody was awake
	briefStay   = 10 * time.Second // a source lost so soon after opening was probably taken away
	briefMany   = 3
	remarkEvery = time.Minute // how often a change of the reason for being away is worth a mark
	spinMost    = 1000        // empty reads in a row that did not wait
	silentMost  = time.Hour
	silentFirst = 5 * time.Minute // as long as the usual interval is not known: it may be long
)

// now reads the clocks, and marks a step of the wall clock against the boot clock.
func (l *listener) now() {
	wall, boot, awake := atOnce(l.clock)
	step := wall.Sub(l.wall) - (boot - l.boot)
	first, before := l.wall.IsZero(), l.wall
	l.wall, l.boot, l.slept = wall, boot, boot-awake
	if !first && step.Abs() > clockStep {
		l.mark(Marked, fmt.Sprintf("clock step: the wall clock was set by %v, from %s", step.Round(time.Second), before.UTC().Format(time.RFC3339)))
	}
}

// atOnce reads the clocks at one moment. Who was held up between two of them asks again, or a
// host that fell asleep there would look like one whose clock was set.
func atOnce(c Clock) (wall time.Time, boot, awake time.Duration) {
	for range 10 {
		before := c.Boot()
		wall, awake, boot = c.Wall(), c.Awake(), c.Boot()
		if boot-before < clockStep/2 {
			break
		}
	}
	return wall, boot, awake
}

// heldUp marks that a read took far longer than it ever waits: the host slept,
// or this program was stopped.
func (l *listener) heldUp(took time.Duration) {
	if took > heldUpFor {
		l.mark(Marked, fmt.Sprintf("held up: the host slept or stood still for %v", took.Round(time.Second)))
	}
}

// wokeUp says whether the source must be opened anew because the host slept, once it was
// asked for what it has. One that merely stood still (SIGSTOP, a debugger) has what came
// meanwhile, and keeps it.
func (l *listener) wokeUp() bool { return l.src.Wakes && l.slept-l.sleptBy > heldUpFor }

// idle is called when nothing came. It closes a line that waits for its end for
// too long, and says when the source must be taken for dead.
func (l *listener) idle(waited time.Duration) error {
	// The other end of a closed terminal line reads as nothing, at once, for
	// ever: that must neither spin nor pass for a quiet meter.
	if waited < tick/100 {
		if l.empty++; l.empty > spinMost {
			return errors.New("gone: reads return nothing, without waiting")
		}
	} else {
		l.empty = 0
	}
	// A read that took longer than it ever waits was held up, and its time was over when it
	// was looked at again: what has come meanwhile is still to be read. Nobody was silent.
	l.quiet += min(waited, 2*tick)
	if l.src.Quiet > 0 && l.quiet >= l.src.Quiet {
		l.burst = 0
		l.split.Flush(l.onLine)
	}
	if limit := l.overdue(); limit > 0 && l.quiet >= limit {
		l.patience = min(2*limit, silentMost)
		return fmt.Errorf("silent for %s", Spoken(l.quiet))
	}
	return nil
}

// overdue is how long the source may be silent; 0 is for ever. A connection can
// be dead and look alive. The limit doubles with each try that brought nothing:
// perhaps the meter is merely off, or slow.
func (l *listener) overdue() time.Duration {
	if l.src.Silence == 0 {
		return 0
	}
	limit := silentFirst
	if usual, known := l.bursts.gaps.median(); known {
		limit = 3 * usual
		if l.heard > l.opened {
			l.patience = 0
		}
	}
	return max(l.src.Silence, limit, l.patience)
}

// lost marks that the source is away. While it stays away only a new reason is
// marked, once a minute at most.
func (l *listener) lost(reason string) {
	l.now()
	if l.up {
		l.up, l.awaySince = false, l.boot
		l.mark(Lost, reason)
		l.hint()
	} else if l.away == "" || reason == stopped || reason != l.away && l.boot-l.marked >= remarkEvery {
		l.mark(Lost, reason)
	} else {
		return
	}
	l.away, l.marked = reason, l.boot
}

// hint says what it usually is when a source is lost again and again, each time
// soon after it was opened.
func (l *listener) hint() {
	if l.there || l.boot-l.opened > briefStay {
		l.brief = 0
		return
	}
	if l.brief++; l.brief == briefMany && l.src.Hint != "" {
		l.mark(Marked, HintLost+" three times within 10 s of opening; "+l.src.Hint)
	}
}
