package analyze

// Table is a curve by some of its points, x and y, with rising x.
type Table [][2]float64

// At reads the table by straight lines. Outside it the nearest row holds: nobody
// vouches for what lies beyond.
func (t Table) At(x float64) float64 {
	if x <= t[0][0] {
		return t[0][1]
	}
	for i := 1; i < len(t); i++ {
		a, b := t[i-1], t[i]
		if x <= b[0] {
			return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
		}
	}
	return t[len(t)-1][1]
}
