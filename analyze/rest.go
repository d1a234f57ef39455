package analyze

import "math"

// rest is what is seen after the current has stopped: the voltage in bins of
// time that grow, as a relaxation slows down, so that a second and a month fit.
type rest struct {
	rows     int
	ended    bool    // current has flowed since
	from, to float64 // s
	under    float64 // V, while current last flowed
	last     float64 // V
	sumV     float64
	sumI     float64 // A, of what the meter shows without current

	bins  [restBins]restBin
	n     int
	until float64 // s since from, where the bin under way ends

	known settling // as last worked out

	off  takenOff
	edge row  // before a fall that no rest has, if the last row had one
	let  *row // the last row in which a charger still held it; nil where none did
}

const (
	restBins     = 128 // each a tenth longer than the one before: a second to two months
	restBinRatio = 1.1
	restFirstBin = 1.0 // s

	restShownRows = 8 // of a rest, before what the meter shows there is believed
)

// restBin sums the rows in a stretch of time.
type restBin struct {
	rows float64
	t, v float64 // s since the current stopped; V
}

// add takes a row without current; stop is the last one with it.
func (r *rest) add(m, stop *row) {
	if r.n > 0 && m.t-r.from >= r.until {
		r.letGo()
	}
	if r.let != nil {
		stop = r.let
	}
	r.from, r.under = stop.t, stop.v
	r.rows++
	r.to, r.last = m.t, m.v
	r.sumV += m.v
	r.sumI += m.i
	t := m.t - stop.t
	if r.n == 0 || t >= r.until && r.n < restBins {
		r.n++
		r.until = max(r.until, restFirstBin)
		for r.until <= t {
			r.until *= restBinRatio
		}
	}
	b := &r.bins[r.n-1]
	b.rows++
	b.t += t
	b.v += m.v
}

// follow takes rows that follow one without current.
func (r *rest) follow(rows []row, stop *row) {
	for len(rows) > 0 {
		r.add(&rows[0], stop)
		rows = rows[1:]
		rows = rows[r.goOn(rows):]
	}
}

// goOn takes the rows that belong to the bin under way, and gives how many they are.
func (r *rest) goOn(rows []row) (n int) {
	b := &r.bins[r.n-1]
	sumV, sumI, t, v := r.sumV, r.sumI, b.t, b.v
	for ; n < len(rows); n++ {
		m := &rows[n]
		since := m.t - r.from
		if since >= r.until {
			break
		}
		sumV += m.v
		sumI += m.i
		t += since
		v += m.v
	}
	if n > 0 {
		r.sumV, r.sumI, b.t, b.v, b.rows = sumV, sumI, t, v, b.rows+float64(n)
		r.rows, r.to, r.last = r.rows+n, rows[n-1].t, rows[n-1].v
	}
	return n
}

// shown is what the meter shows without current, A; 0 where few rows tell.
func (r *rest) shown() float64 {
	if r.rows < restShownRows {
		return 0
	}
	return r.sumI / float64(r.rows)
}

// another reports whether a row shows another battery: one was put on while nobody
// looked. A battery that is left alone sinks slowly; it does not stand higher after
// a while, nor much lower. Or it shows one that may have been used: for longer than
// half a day, and than it had been seen to rest, nobody looked.
func (r *rest) another(m *row) bool {
	away := m.t - r.to
	return r.rows > 0 && away > pauseLimit && (m.v > r.last*(1+looseAbove) || m.v < r.last*(1-looseJump) || away > max(holdAcrossGap, r.to-r.from))
}

// points is the rest as fits want it: noise averages out over a bin.
func (r *rest) points(noise, step float64) []restPoint {
	const shape = 0.0002 // V, what the mean of a bin misses of the curve, and then some
	p := make([]restPoint, r.n)
	for k := range p {
		b := &r.bins[k]
		stuck := stuckDigit(noise, step)
		random := noise*noise + step*step/12 - stuck*stuck
		p[k] = restPoint{b.t / b.rows, b.v / b.rows, random/b.rows + stuck*stuck + shape*shape}
	}
	return p
}

// stuckDigit is what a display's last digit hides and no averaging brings back,
// V (rectangular, JCGM 100 4.3.7): noise must shake it to make it tell.
func stuckDigit(noise, step float64) float64 {
	if noise > step/2 {
		return 0
	}
	return step / math.Sqrt(12)
}

func squared(x float64) float64 { return x * x }
