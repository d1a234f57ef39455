package analyze

import "math"

// A gap is longer than this many usual intervals, and than this many seconds.
const (
	gapIntervals = 10
	gapSeconds   = 30
)

// interval is the time between two rows that follow each other, seen with two
// intervals before it and two after.
type interval struct {
	a, b   *row    // in the window, which keeps them for some rows to come
	dt     float64 // s
	before float64 // s, the interval before this one; 0 at the start
	usual  float64 // s, lower median of the five intervals around
	gap    bool
	aEarly bool // row a came before its turn, so something had made it be written
	bEarly bool // row b did
}

// window holds the last rows, so that the interval in the middle can be judged
// by what comes after it as well.
type window struct {
	rows [windowRows]row
	n    int // rows held
	done int // of them, the first one of the next interval to hand out

	onChange onChange

	stoodOut float64 // A, the last row that stood alone; see alone
	leapt    float64 // V, the last that did among next to nothing
	twice    float64 // A, the most that two rows in a row have had, either way
}

// windowRows is those that an interval is judged by, six, and as many as are worth
// keeping in one go (see evenly.go).
const windowRows = 6 + 250

// full reports whether the next row takes the place of old ones.
func (w *window) full() bool { return w.n == len(w.rows) }

// next is the place for the next row.
func (w *window) next() *row {
	if w.full() {
		w.onChange.stand(w.rows[:w.done])
		old := w.done - 2
		copy(w.rows[:], w.rows[old:])
		w.n, w.done = w.n-old, 2
	}
	w.n++
	return &w.rows[w.n-1]
}

// drop takes the last row out again.
func (w *window) drop() { w.n-- }

// newest is the last row that the next interval waits for, once it is ready.
func (w *window) newest() *row { return &w.rows[w.done+3] }

// ready reports whether an interval can be judged by what comes after it.
func (w *window) ready() bool { return w.n-w.done >= 4 }

// flush hands out the intervals that still wait for rows to come.
func (w *window) flush(iv *interval) (ok bool) {
	if w.n-w.done < 2 {
		return false
	}
	w.take(iv)
	return true
}

// take hands out the next interval.
func (w *window) take(iv *interval) {
	k := w.done
	w.done++
	iv.a, iv.b = &w.rows[k], &w.rows[k+1]
	iv.dt, iv.before = iv.b.t-iv.a.t, 0
	if k > 0 {
		iv.before = iv.a.t - w.rows[k-1].t
	}
	iv.gap, iv.aEarly, iv.bEarly = false, false, false
	// Rows at a steady pace, the common case, need no sorting.
	if k > 0 && k+2 < w.n && steadyPace(w.rows[k-1:k+3]) {
		iv.usual = iv.dt
		return
	}
	var d [5]float64
	n, middle := 0, 0
	for j := max(k-2, 0); j < min(k+3, w.n-1); j++ {
		if j == k {
			middle = n
		}
		d[n] = w.rows[j+1].t - w.rows[j].t
		n++
	}
	iv.usual = lowerMedian(d[:n])
	iv.gap = iv.dt > gapSeconds && iv.dt > gapIntervals*iv.usual
	iv.aEarly = middle > 0 && offBeat(d[:n], middle-1, iv.usual)
	iv.bEarly = offBeat(d[:n], middle, iv.usual)
	if w.writtenOnChange(k) {
		iv.gap, iv.bEarly = false, true // what a row shows holds until the next
	}
}

// onBeat is how far from the usual an interval may be, as a share of it, before
// it is more than a logger's own unsteadiness.
const onBeat = 0.02

// steadyPace reports whether three intervals between four rows are alike, which makes
// the one in the middle as long as is usual.
func steadyPace(rows []row) bool {
	dt := rows[2].t - rows[1].t
	return near(rows[1].t-rows[0].t, dt) && near(rows[3].t-rows[2].t, dt)
}

func near(x, y float64) bool { return x > y*(1-onBeat) && x < y*(1+onBeat) }

// offBeat reports whether interval k is shorter than the beat of the others
// explains. Loggers that tick steadily also write a row at the very moment when
// something is switched.
func offBeat(d []float64, k int, usual float64) bool {
	var off [5]float64
	n := 0
	for j, x := range d {
		if j != k {
			off[n] = math.Abs(x - usual)
			n++
		}
	}
	return n >= 3 && d[k] < usual-max(4*lowerMedian(off[:n]), onBeat*usual)
}
