package decoders

import "math"

// product is the column that is the product of two others, -1 for none.
func (t *table) product(a, b int) int {
	for k, c := range t.cols {
		if k == a || k == b || c.what != isNumber || c.said.of != none && c.said.of != Watts {
			continue
		}
		if f, _, ok := proportional(c.x, func(row int) float64 { return t.cols[a].x[row] * t.cols[b].x[row] }); ok && powerOfTen(f, 0.05) {
			return k
		}
		if f, ok := t.cols[a].multiplied(t.cols[b], c); ok && powerOfTen(f, 0.01) {
			return k
		}
	}
	return -1
}

// multiplied tells whether product is what two columns give to a third of a percent, row by row, and by
// what factor. That hardly comes by chance even where all of them are steady, but for one that is 1,
// or 1000: then the product is the other over again.
func (c *column) multiplied(by, product *column) (factor float64, ok bool) {
	const exact, most = 0.003, 0.98 // our own figures
	factor = product.median / (c.median * by.median)
	if product.levels <= 1 || math.IsInf(factor, 0) || math.IsNaN(factor) || powerOfTen(product.median/c.median, 0.01) || powerOfTen(product.median/by.median, 0.01) {
		return 0, false
	}
	good, n := 0, 0
	for row, x := range product.x {
		if y := factor * c.x[row] * by.x[row]; x == x && y == y {
			n++
			if math.Abs(x-y) <= exact*math.Abs(x) {
				good++
			}
		}
	}
	return factor, n > 5 && float64(good) >= most*float64(n)
}

// powerOfTen tells whether units in milli could explain a factor; while the
// voltage hardly moves, a current is a constant times power by voltage too.
func powerOfTen(f, within float64) bool {
	for _, p := range []float64{1, 1e-3, 1e3, 1e-6} {
		if math.Abs(math.Abs(f)/p-1) < within {
			return true
		}
	}
	return false
}

// proportional tells whether y is a constant times x: to 3 % of y's size on
// nine rows of ten, of which some are well away from the others: what goes from nought to a
// current that stands in the tenth row proves nothing. left is what the constant usually leaves
// over, in shares of that size.
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
			left += math.Abs(u-v) / size / float64(n)
			if math.Abs(u-v) < 0.03*size {
				good++
				low, high = math.Min(low, u), math.Max(high, u)
			}
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

// flowed tells a column that counts what has flowed by then, charge or energy, in rows that are
// equally far apart as far as anybody knows.
func flowed(c *column, volts, amps []float64) bool {
	charge, energy := 0.0, 0.0
	charges, energies := make([]float64, len(amps)), make([]float64, len(amps))
	for row, i := range amps {
		if v := volts[row]; i == i && v == v {
			charge, energy = charge+i, energy+i*v
		}
		charges[row], energies[row] = charge, energy
	}
	for _, sum := range [][]float64{charges, energies} {
		if _, _, counts := proportional(c.since(), func(row int) float64 { return sum[row] }); counts {
			return true
		}
	}
	return false
}
