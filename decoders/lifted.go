package decoders

import "math"

// A battery that has given current stands lower without it than before, but for what it recovers from a load
// minutes ago. One that stands clearly higher has been given some; or what shows is the charger's own voltage,
// since a lead works loose, and then the voltage steps against each step of the current.
const (
	stoodRows   = 3    // without current, on either side, at least
	stoodLatest = 8    // of those before count
	stoodLifted = 0.05 // by more than this share no battery recovers (common practice, no source)
	stoodLeast  = 0.5  // of what it is later: with less there was no battery before
	stoodOneWay = 0.9  // of the rows with current go one way
)

// liftedBy is the sign of the current that lifted the voltage which stands without any; 0 where none did.
func liftedBy(v, i *column) float64 {
	none := 0.1 * i.size()
	if i.idles() {
		return 0
	}
	var before, after mean
	flowed, way := 0.0, 0.0
	for row, x := range i.x {
		y := v.x[row]
		switch {
		case x != x || y != y:
		case math.Abs(x) > none:
			flowed, way = flowed+1, way+sign(x)
		case flowed == 0:
			before.add(y, stoodLatest)
		default:
			after.add(y, math.Inf(1))
		}
	}
	if before.n < stoodRows || after.n < stoodRows || math.Abs(way) < stoodOneWay*flowed {
		return 0
	}
	if was, is := math.Abs(before.of), math.Abs(after.of); was < stoodLeast*is || is < was*(1+stoodLifted) {
		return 0
	}
	return sign(way)
}

// mean is a running one, of about the latest so many.
type mean struct{ n, of float64 }

func (m *mean) add(x, most float64) {
	m.n = math.Min(m.n+1, most)
	m.of += (x - m.of) / m.n
}
