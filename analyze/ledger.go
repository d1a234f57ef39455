package analyze

import (
	"fmt"
	"slices"
)

// ledger is what happens in the log from the end of one charge to the end of
// the next, and is told with that next one: what flowed, what was missing, what
// the clock and the meter did.
type ledger struct {
	from  mark // where it begins
	notes findings
	gaps  []Gap
	ohms  ohms

	direct []DirectResistance

	gapCount, stepCount, overloadCount int
}

const gapsKept = 200 // more are counted, and the last one grows

// Rows that are missing for more than ten usual intervals and half a minute are a gap:
// shorter ones are bridged by a straight line with an error smaller than the meter's
// (see interval.go). A clock that goes backwards, or leaps by what it lost before, was
// set (timeline.go); a reading of 2000 V or A and more is a meter's way to say that its
// range is exceeded (screen.go). These are notes of moments: each is over by the time it
// is noted. Common practice, no source.

// gap, and the others, report whether what they note is news.
func (l *ledger) gap(iv *interval, flowingBefore, flowingAfter bool, p Patience) (news bool) {
	g := gapBetween(iv, flowingBefore, flowingAfter)
	if iv.dt > p.of(CodeDataGap)*max(gapSeconds, gapIntervals*iv.usual) {
		l.gapCount++
		news = l.notes.happened(CodeDataGap, float64(g.StartS), float64(g.EndS), fmt.Sprintf("no rows from %s to %s%s; what may have flowed meanwhile is estimated apart, not counted. The meter or its logger was off, or a cable loose: look at its plug and its battery",
			clock(float64(g.StartS)), clock(float64(g.EndS)), more(l.gapCount)))
	}
	if len(l.gaps) < gapsKept {
		l.gaps = append(l.gaps, g)
		return news
	}
	last := &l.gaps[len(l.gaps)-1]
	last.EndS = g.EndS
	last.ChargeAh += g.ChargeAh
	last.ChargeAhU95 += g.ChargeAhU95
	return news
}

// unseen is how much of the time since the current stopped nobody saw, s, in gaps that are
// no longer than a pause may be; or longer ones, if they began within so many seconds.
func (l *ledger) unseen(since, within float64) (seconds float64) {
	for k := len(l.gaps) - 1; k >= 0 && float64(l.gaps[k].StartS) >= since; k-- {
		dt := float64(l.gaps[k].EndS - l.gaps[k].StartS)
		if dt <= pauseLimit || dt <= holdAcrossGap && float64(l.gaps[k].StartS)-since < within {
			seconds += dt
		}
	}
	return seconds
}

// gapAfter reports whether a row is the last one before a gap.
func (l *ledger) gapAfter(t float64) bool {
	return slices.ContainsFunc(l.gaps, func(g Gap) bool { return float64(g.StartS) == t })
}

// gapBefore reports whether a row is the first one after a gap.
func (l *ledger) gapBefore(t float64) bool {
	return slices.ContainsFunc(l.gaps, func(g Gap) bool { return float64(g.EndS) == t })
}

// gapBetween bounds what may have flowed unseen. With current on both sides it
// most likely went on, between nothing and the larger of the two; with current
// on one side only it stopped or began somewhere in between.
func gapBetween(iv *interval, before, after bool) Gap {
	a, b := iv.a.i, iv.b.i
	if !before {
		a = 0
	}
	if !after {
		b = 0
	}
	g := Gap{StartS: Number(iv.a.t), EndS: Number(iv.b.t)}
	g.ChargeAh = Number(ampHours((a + b) / 2 * iv.dt))
	g.ChargeAhU95 = Number(ampHours(rectangular(min(a, b, 0), max(a, b, 0)) * iv.dt))
	return g
}

func (l *ledger) clockStep(at float64, line int, p Patience) (news bool) {
	l.stepCount++
	return l.stepCount >= p.times(CodeClockStep, 1) &&
		l.notes.happened(CodeClockStep, at, at, fmt.Sprintf("the log's clock went backwards or leapt at line %d%s; elapsed time went on by one usual interval each time. Somebody set it, summer time ended, or its battery is empty: see whether it is right now", line, more(l.stepCount)))
}

func (l *ledger) overload(at float64, line int, p Patience) (news bool) {
	l.overloadCount++
	return l.overloadCount >= p.times(CodeOverloadReading, 1) &&
		l.notes.happened(CodeOverloadReading, at, at, fmt.Sprintf("the meter showed overload at line %d%s; those readings were not used. Its range is too small, or a lead is off: look at its range and its leads", line, more(l.overloadCount)))
}

func more(count int) string {
	if count == 1 {
		return ""
	}
	return fmt.Sprintf(" (the last of %d times)", count)
}

// absorb appends what happened after.
func (l *ledger) absorb(o *ledger) {
	l.notes.merge(&o.notes)
	l.gaps = append(l.gaps, o.gaps...)
	l.gapCount += o.gapCount
	l.stepCount += o.stepCount
	l.overloadCount += o.overloadCount
	l.ohms.absorb(&o.ohms)
	for _, r := range o.direct {
		l.directly(r)
	}
}

func (l *ledger) clone() ledger {
	c := *l
	c.notes = l.notes.clone()
	c.gaps = append([]Gap(nil), l.gaps...)
	c.ohms = l.ohms.clone()
	c.direct = slices.Clone(l.direct)
	return c
}
