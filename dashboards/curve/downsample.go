package curve

import "slices"

// Downsample gives at most n of the points (12 where n is less), in their order:
// the points are cut into stretches of equally many, and of each stretch stay
// the rows with its first, last, lowest and highest volts, amperes and degrees.
// Rows in which nothing was measured are the first to go. The points must be in
// order of time; they are left as they are.
//
// Stretches hold equally many rows rather than last equally long: a hole of a
// week beside a night would else leave the night a single stretch.
func Downsample(points []Point, n int) []Point {
	n = max(n, most)
	if len(points) <= n {
		return slices.Clone(points)
	}
	// A smooth curve keeps two rows a stretch, a noisy one up to twelve: begin
	// hopeful, and take fewer stretches in proportion while there is too much.
	stretches := n / 2
	out := thin(points, stretches)
	for len(out) > n && stretches > 1 {
		stretches = max(1, part(n, stretches, len(out)))
		out = thin(points, stretches)
	}
	return out
}

// thin keeps the essential rows of so many stretches.
func thin(points []Point, stretches int) []Point {
	out := make([]Point, 0, stretches*4)
	for k := range stretches {
		from, to := part(len(points), k, stretches), part(len(points), k+1, stretches)
		out = essential(out, points[from:to])
	}
	return out
}

// part is k of so many parts of n. The product of a long night would not fit in the
// int of a machine of 32 bits.
func part(n, k, parts int) int { return int(int64(n) * int64(k) / int64(parts)) }
