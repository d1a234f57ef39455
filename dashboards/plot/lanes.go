package plot

import (
	"slices"

	"gonum.org/v1/plot/vg"
)

// span is a stretch across the paper.
type span struct{ from, to vg.Length }

func (s span) meets(o span) bool { return s.from < o.to && o.from < s.to }

// mostLanes leaves the panels their height.
const mostLanes = 5

// lanes are lines of text above the panels, the lowest first, for names that
// have no room where they belong. Each name stands near its place and a leader
// goes down from it. No name may cover another, nor a leader that passes its
// lane; leaders may run side by side.
type lanes struct {
	margins span
	taken   [mostLanes][]span
	leaders []leader
}

// leader comes down from a lane; from above all of them while its name has no
// place yet, so that no other name bars its way.
type leader struct {
	x    vg.Length
	lane int
}

// newLanes keeps the way free for leaders down at the given places.
func newLanes(margins span, at []vg.Length) *lanes {
	l := &lanes{margins: margins}
	for _, x := range at {
		l.leaders = append(l.leaders, leader{x, mostLanes})
	}
	return l
}

// put finds room for the i-th leader's name of a width, with a mark before it
// that leaders may cross: in the lowest lane that has any, at the first of the
// left ends that does, moved inside the margins. ok is false without room.
func (l *lanes) put(i int, mark, width vg.Length, lefts ...vg.Length) (left vg.Length, lane int, ok bool) {
	const air = 5
	for lane := range mostLanes {
		for _, left := range lefts {
			left = max(l.margins.from, min(left, l.margins.to-mark-width))
			place := span{left - air, left + mark + width + air}
			if l.free(lane, place) && !l.bars(i, lane, span{left + mark - 1, left + mark + width + 1}) {
				l.taken[lane] = append(l.taken[lane], place)
				l.leaders[i].lane = lane
				return left, lane, true
			}
		}
	}
	l.leaders[i].lane = -1
	return 0, 0, false
}

func (l *lanes) free(lane int, place span) bool {
	return !slices.ContainsFunc(l.taken[lane], place.meets)
}

// bars reports whether the i-th name would stand in another leader's way.
func (l *lanes) bars(i, lane int, name span) bool {
	for k, o := range l.leaders {
		if k != i && o.lane > lane && name.from < o.x && o.x < name.to {
			return true
		}
	}
	return false
}
