package plot

import (
	"slices"

	"gonum.org/v1/plot/vg"
)

// span is a stretch across the paper.
type span struct{ from, to vg.Length }

func (s span) meets(o span) bool { return s.from < o.to && o.from < s.to }

func (s span) holds(x vg.Length) bool { return s.from < x && x < s.to }

// mostLanes leaves the panels their height.
const mostLanes = 5

// lanes are lines of text above the panels, the lowest first, for names that
// have no room where they belong. Each name stands near its place and a leader
// goes down from it. No name may cover another, nor a leader that passes its
// lane; leaders may run side by side.
type lanes struct {
	margins span
	taken   [mostLanes][]taken
	leaders []leader
}

// taken is what a name takes of a lane: its place with air around it, and the
// text, which no leader may cross.
type taken struct{ place, text span }

// leader comes down from a lane at x. One whose name has no place yet comes from
// above all lanes, so that no name of its own rank or lower bars its way.
type leader struct {
	x    vg.Length
	rank int // the lower the more important
	lane int
}

func newLanes(margins span, names []name) *lanes {
	l := &lanes{margins: margins}
	for _, n := range names {
		l.leaders = append(l.leaders, leader{n.x, n.rank, mostLanes})
	}
	return l
}

// put finds room for the i-th name, of a width, with a mark before it that
// leaders may cross: in the lowest lane that has any, at the first of the left
// ends that does, moved inside the margins. ok is false without room.
func (l *lanes) put(i int, mark, width vg.Length, lefts ...vg.Length) (left vg.Length, lane int, ok bool) {
	const air = 5
	for lane := range mostLanes {
		for _, left := range lefts {
			left = max(l.margins.from, min(left, l.margins.to-mark-width))
			t := taken{span{left - air, left + mark + width + air}, span{left + mark - 1, left + mark + width + 1}}
			if l.free(lane, t.place) && !l.bars(i, lane, t.text) {
				l.taken[lane] = append(l.taken[lane], t)
				l.leaders[i].lane = lane
				return left, lane, true
			}
		}
		if l.barred(lane, l.leaders[i].x) {
			break
		}
	}
	l.leaders[i].lane = -1
	return 0, 0, false
}

func (l *lanes) free(lane int, place span) bool {
	return !slices.ContainsFunc(l.taken[lane], func(t taken) bool { return t.place.meets(place) })
}

// bars reports whether the text of the i-th name would stand in the way of
// another leader that it must mind.
func (l *lanes) bars(i, lane int, text span) bool {
	for k, o := range l.leaders {
		minds := o.lane < mostLanes || o.rank <= l.leaders[i].rank
		if k != i && minds && o.lane > lane && text.holds(o.x) {
			return true
		}
	}
	return false
}

// barred reports whether a text in the lane stands in the way of a leader at x.
func (l *lanes) barred(lane int, x vg.Length) bool {
	return slices.ContainsFunc(l.taken[lane], func(t taken) bool { return t.text.holds(x) })
}
