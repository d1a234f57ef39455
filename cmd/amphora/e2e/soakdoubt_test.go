//go:build linux

package e2e

import (
	"math"
	"slices"
)

// What of a day nobody can tell, so that the observer does not insist on it.

// doubtful is how many ampere-hours of a day hang on what nobody can tell: whether a row
// was used that cannot be told from a sound one, and when between two rows a current
// changed at once. What hangs on rows after its charge may count for the next one.
func (o *observer) doubtful(day int) (ah, after float64) {
	over := o.ceased(day)
	var before *heard
	var between []*heard
	for k := range o.copy {
		h := &o.copy[k]
		switch {
		case h.day != day:
		case !h.usable && (h.isRow || h.damaged):
			between = append(between, h)
		case h.usable:
			if before != nil {
				by := swing(before.row, h.row, between)
				ah += by
				if before.row.at > over {
					after += by
				}
			}
			before, between = h, nil
		}
	}
	return ah, after
}

// ceased is when current last flowed on a day, s; a time before all where none did.
func (o *observer) ceased(day int) float64 {
	for _, r := range slices.Backward(o.rows(day)) {
		if r.amps >= 0.05 {
			return r.at
		}
	}
	return math.Inf(-1)
}

// swing is by how much what flowed between two rows, Ah, may be other than by a straight
// line: where the current changed by a tenth, and with rows in between that may have been
// used. One whose time is not between theirs can be told from a sound one.
func swing(from, to row, between []*heard) (ah float64) {
	took, change := to.at-from.at, math.Abs(to.amps-from.amps)
	if took <= 10*rowEvery && change > 0.1*math.Max(from.amps, to.amps) {
		ah += change * took / 2 / 3600
	}
	const standsOut = 5 // times the current of its neighbours: the program leaves such a row out
	for _, h := range between {
		switch {
		case !h.isRow: // but the program may read more generously
			ah += standsOut * math.Max(from.amps, to.amps) * rowEvery / 3600
		case h.row.at > from.at && h.row.at < to.at:
			if took > 10*rowEvery { // without it there was a gap
				ah += math.Max(from.amps, to.amps) * took / 3600
			}
			straight := from.amps + (to.amps-from.amps)*(h.row.at-from.at)/took
			ah += math.Abs(h.row.amps-straight) * took / 2 / 3600
		}
	}
	return ah
}

// toldAgain is how many ampere-hours of a day a restart in the next charge may count with
// that: where the current ceased and rows are missing, an account begins up to a minute
// earlier, so that the hole is told of; and with it what a hole too short for a gap may have had.
func (o *observer) toldAgain(day int) (ah float64) {
	rows := o.rows(day)
	for k := len(rows) - 1; k >= 0; k-- {
		if rows[k].amps < 0.05 {
			continue
		}
		hole := math.Inf(1)
		if k+1 < len(rows) {
			hole = rows[k+1].at - rows[k].at
		}
		switch {
		case hole <= 60:
			return 0
		case hole <= 10*rowEvery:
			return rows[k].amps * (60 + rowEvery + hole/2) / 3600
		}
		return rows[k].amps * (60 + rowEvery) / 3600
	}
	return 0
}
