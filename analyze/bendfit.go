package analyze

import "math"

// joined is the bins around a bend, made ready for trying one moment after another (see
// findBend). Bins before the moment have nothing in the columns for after it, and the other
// way round, so that of the products that a least-squares fit needs, two in three are nothing,
// and both fits share the rest.
type joined struct {
	points         []joinedPoint
	scale          float64 // s, so that columns are of the order of one
	rows, v, i     float64 // sums over all points, weighted by rows
	vv, ii         float64
	floorV, floorI float64 // what a reading's own digits may leave, in its unit squared
}

// joinedPoint is a bin, its volts and amps less those of the first one, so that small
// leftovers are not lost in large squares.
type joinedPoint struct{ t, v, i, rows float64 }

func newJoined(bins []bin, floorV, floorI float64) *joined {
	j := &joined{points: make([]joinedPoint, len(bins)), floorV: floorV, floorI: floorI}
	v0, i0 := bins[0].v(), bins[0].i()
	for k := range bins {
		b := &bins[k]
		p := joinedPoint{b.t(), b.v() - v0, b.i() - i0, b.rows}
		j.points[k] = p
		j.rows += p.rows
		j.v += p.rows * p.v
		j.i += p.rows * p.i
		j.vv += p.rows * p.v * p.v
		j.ii += p.rows * p.i * p.i
	}
	j.scale = bins[len(bins)-1].t() - bins[0].t()
	return j
}

// score is the less, the better both fits joined at t leave both curves.
func (j *joined) score(t float64) float64 {
	v, i := j.left(t)
	return math.Log(v+j.floorV) + math.Log(i+j.floorI)
}

// left is the mean square that remains of volts and of amps after fitting, joined at
// t: a constant, and for the volts slope and bend before, slope after; for the amps
// slope before, slope and root after.
func (j *joined) left(t float64) (volts, amps float64) {
	var (
		s1, s2, s11, s12, s22 float64 // before: powers of the time that is left until t
		v1, v2, i1            float64 // and with what is fitted
		s3, s4, s33, s34, s44 float64 // after: the time since, and its root
		v3, i3, i4            float64
	)
	k := 0
	for ; k < len(j.points) && j.points[k].t < t; k++ {
		p := &j.points[k]
		x := (p.t - t) / j.scale
		rx, xx := p.rows*x, x*x
		rxx := p.rows * xx
		s1, s2 = s1+rx, s2+rxx
		s11, s12, s22 = s11+rx*x, s12+rx*xx, s22+rxx*xx
		v1, v2, i1 = v1+rx*p.v, v2+rxx*p.v, i1+rx*p.i
	}
	for ; k < len(j.points); k++ {
		p := &j.points[k]
		x := (p.t - t) / j.scale
		root := math.Sqrt(x)
		rx, rr := p.rows*x, p.rows*root
		s3, s4 = s3+rx, s4+rr
		s33, s34, s44 = s33+rx*x, s34+rx*root, s44+rr*root
		v3, i3, i4 = v3+rx*p.v, i3+rx*p.i, i4+rr*p.i
	}
	volt := equations{{j.rows, s1, s2, s3, j.v}, {s1, s11, s12, 0, v1}, {s2, s12, s22, 0, v2}, {s3, 0, 0, s33, v3}}
	amp := equations{{j.rows, s1, s3, s4, j.i}, {s1, s11, 0, 0, i1}, {s3, 0, s33, s34, i3}, {s4, 0, s34, s44, i4}}
	return max(j.vv-volt.explained(), 0) / j.rows, max(j.ii-amp.explained(), 0) / j.rows
}

// equations are the normal equations of four columns, with the right-hand side as last.
type equations [4][5]float64

// explained is the part of the sum of squares that a least-squares fit accounts for:
// elimination without pivoting is enough for a positive definite matrix, and a column
// that depends on others, or is empty, is passed over. The matrix is spent on it.
func (a *equations) explained() float64 {
	const n = len(a)
	var diagonal [n]float64
	for p := range n {
		diagonal[p] = a[p][p]
	}
	sum := 0.0
	for p := range n {
		d := a[p][p]
		if d <= 1e-12*diagonal[p] {
			continue
		}
		sum += a[p][n] * a[p][n] / d
		for r := p + 1; r < n; r++ {
			f := a[r][p] / d
			for q := p; q <= n; q++ {
				a[r][q] -= f * a[p][q]
			}
		}
	}
	return sum
}
