package decoders

import "math"

// product is the column that is the product of two others, -1 for none.
func (t *table) product(a, b int) int {
	for k, c := range t.cols {
		if k == a || k == b || c.what != isNumber || c.said.of != none && c.said.of != Watts {
			continue
		}
		if f, _, ok := proportional(c.x, func(row int) float64 { return t.cols[a].x[row] * t.cols[b].x[row] }); ok && powerOfTen(f) {
			return k
		}
	}
	return -1
}

// powerOfTen tells whether units in milli could explain a factor; while the
// voltage hardly moves, a current is a constant times power by voltage too.
func powerOfTen(f float64) bool {
	for _, p := range []float64{1, 1e-3, 1e3, 1e-6} {
		if math.Abs(math.Abs(f)/p-1) < 0.05 {
			return true
		}
	}
	return false
}

// proportional tells whether y is a constant times x: to 3 % of y's size on
// nine rows of ten, some of them well away from zero. left is what the constant
// usually leaves over, in shares of that size.
func proportional(y []float64, x func(int) float64) (factor, left float64, ok bool) {
	var xy, xx, size float64
	n := 0
	for row, v := range y {
		if u := x(row); v == v && u == u {
			xy, xx = xy+u*v, xx+u*u
			size = math.Max(size, math.Abs(v))
			n++
		}
	}
	if n < 5 || xx == 0 || size == 0 {
		return 0, 0, false
	}
	factor = xy / xx
	good := 0
	low, high := math.Inf(1), math.Inf(-1)
	for row, v := range y {
		if u := x(row) * factor; v == v && u == u {
			if math.Abs(u-v) < 0.03*size {
				good++
			}
			left += math.Abs(u-v) / size / float64(n)
			low, high = math.Min(low, u), math.Max(high, u)
		}
	}
	return factor, left, good*10 >= n*9 && high-low > 0.2*size && factor != 0
}

// multiple tells whether c goes with part in all its movement: what a constant
// times part leaves over is small beside the movement itself.
func multiple(c, part *column) bool {
	factor := c.median / part.median
	left, moved, n := 0.0, 0.0, 0
	for row, x := range c.x {
		if d, m := x-factor*part.x[row], x-c.median; d == d {
			left, moved, n = left+d*d, moved+m*m, n+1
		}
	}
	return n > 5 && left < 0.04*moved
}
