package analyze

// latch holds whether a limit is passed, so that one odd row raises no alarm and
// a value that dances on the limit does not raise a hundred. It turns after
// some rows in a row on the other side, which for the way back lies a margin
// away.
type latch struct {
	on    bool
	need  int     // rows in a row that make a change
	rows  int     // that speak for one so far
	since float64 // s, the first of them
}

const latchRows = 3 // unless more patience is set

// resting reports whether nothing has spoken for the limit being passed lately.
func (l *latch) resting() bool { return !l.on && l.rows == 0 }

// push takes one row at t, s: beyond the limit, or back from it by the margin.
// It reports a change, which began at since.
func (l *latch) push(beyond, back bool, t float64) (changed bool) {
	if l.on && !back || !l.on && !beyond {
		l.rows = 0
		return false
	}
	if l.rows == 0 {
		l.since = t
	}
	l.rows++
	if l.rows < l.need {
		return false
	}
	l.on, l.rows = !l.on, 0
	return true
}
