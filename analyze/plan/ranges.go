package plan

// Range is what is known of a figure on which sources or batteries differ.
type Range struct {
	Low, High float64
}

// point is one row of a table.
type point struct{ x, y float64 }

// interpolate reads a table with rising x by straight lines. Outside the table
// the nearest row holds: nobody vouches for what lies beyond.
func interpolate(table []point, x float64) float64 {
	if x <= table[0].x {
		return table[0].y
	}
	for i := 1; i < len(table); i++ {
		a, b := table[i-1], table[i]
		if x <= b.x {
			return a.y + (b.y-a.y)*(x-a.x)/(b.x-a.x)
		}
	}
	return table[len(table)-1].y
}

// Seconds in an hour and coulombs in an ampere-hour.
const (
	hour       = 3600.0
	ampereHour = 3600.0
	minute     = 60.0
)
