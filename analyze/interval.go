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
	ring [windowRows]row
	n    int // rows so far, of which the ring keeps the last
	done int // of them, how many the intervals handed out have begun with
}

const windowRows = 8 // six are needed; a power of two

// row is the kth row of all; only the last ones are there.
func (w *window) row(k int) *row { return &w.ring[k&(windowRows-1)] }

// push takes a row and reports whether an interval is ready to be taken.
func (w *window) push(r row) (ready bool) {
	*w.row(w.n) = r
	w.n++
	return w.n-w.done >= 4
}

// flush hands out the intervals that still wait for rows to come.
func (w *window) flush() (iv interval, ok bool) {
	if w.n-w.done < 2 {
		return interval{}, false
	}
	return w.take(), true
}

func (w *window) take() interval {
	k := w.done
	w.done++
	iv := interval{a: w.row(k), b: w.row(k + 1)}
	iv.dt = iv.b.t - iv.a.t
	if k > 0 {
		iv.before = iv.a.t - w.row(k-1).t
	}
	// Rows at a steady pace, the common case, need no sorting.
	if k+2 < w.n && near(iv.before, iv.dt) && near(w.row(k+2).t-iv.b.t, iv.dt) {
		iv.usual = iv.dt
		return iv
	}
	var d [5]float64
	n, middle := 0, 0
	for j := max(k-2, 0); j < min(k+3, w.n-1); j++ {
		if j == k {
			middle = n
		}
		d[n] = w.row(j+1).t - w.row(j).t
		n++
	}
	iv.usual = lowerMedian(d[:n])
	iv.gap = iv.dt > gapSeconds && iv.dt > gapIntervals*iv.usual
	iv.aEarly = middle > 0 && offBeat(d[:n], middle-1, iv.usual)
	iv.bEarly = offBeat(d[:n], middle, iv.usual)
	return iv
}

// onBeat is how far from the usual an interval may be, as a share of it, before
// it is more than a logger's own unsteadiness.
const onBeat = 0.02

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
