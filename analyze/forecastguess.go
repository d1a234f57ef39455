package analyze

import (
	"cmp"
	"math"
	"slices"
)

// guess is a quantity that is roughly known: its mean and standard deviation.
type guess struct{ x, u float64 }

// and weighs two independent guesses of the same quantity by their variance.
func (a guess) and(b guess) guess {
	wa, wb := 1/(a.u*a.u), 1/(b.u*b.u)
	return guess{(wa*a.x + wb*b.x) / (wa + wb), 1 / math.Sqrt(wa+wb)}
}

// odds is how far guesses of the same quantity may lie apart, in standard deviations,
// before the second is taken to have misunderstood something: LiFePO4 climbs a step in
// the middle of its plateau that looks like the end.
const odds = 2.5

// odds is how likely it was, on a logarithmic scale, that two guesses come out so far apart,
// and whether they can be of the same quantity.
func (a guess) odds(b guess) (likeness float64, same bool) {
	u := math.Hypot(a.u, b.u)
	z := min(math.Abs(a.x-b.x)/u, odds)
	return -z*z/2 - math.Log(u), z < odds
}

// with is both guesses together, and how likely that was. Where they cannot be of the
// same quantity, the second is left out.
func (a guess) with(b guess) (both guess, likeness float64) {
	likeness, same := a.odds(b)
	if !same {
		return a, likeness
	}
	return a.and(b), likeness
}

// positive is the guess given that the quantity is not negative: a normal
// distribution cut off at zero, its median and standard deviation. A charge that takes
// more than was thought always has a little to go. It gives the logarithm of what was
// left of it, too.
func (a guess) positive() (left guess, likeness float64) {
	z := -a.x / a.u
	if z > 6 {
		// What is left of the normal's tail falls off like an exponential.
		return guess{math.Ln2 * a.u / z, a.u / z}, -z*z/2 - math.Log(z*math.Sqrt(2*math.Pi))
	}
	share := 0.5 * math.Erfc(z/math.Sqrt2)
	h := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / share
	return guess{a.x + a.u*math.Sqrt2*math.Erfcinv(share), a.u * math.Sqrt(max(1-h*(h-z), 1e-6))}, math.Log(share)
}

// above is the guess given that the quantity is no less than that.
func (a guess) above(least float64) (guess, float64) {
	g, likeness := guess{a.x - least, a.u}.positive()
	return guess{g.x + least, g.u}, likeness
}

// mixture is what comes out of several suppositions, each as likely as it makes what
// was seen.
type mixture []supposed

// supposed is what comes out of one supposition.
type supposed struct {
	likeness float64 // a logarithm, until they are weighed
	of       guess   // s, the time that is left
	charge   float64 // C that will go in
	tau      float64 // logarithm of the taper's constant, s
	power    float64 // q of the taper
	last     float64 // s for each e-fold at the end
}

// weigh turns likenesses into shares that add up to 1.
func (m mixture) weigh() {
	most, sum := math.Inf(-1), 0.0
	for k := range m {
		most = max(most, m[k].likeness)
	}
	for k := range m {
		m[k].likeness = math.Exp(m[k].likeness - most)
		sum += m[k].likeness
	}
	for k := range m {
		m[k].likeness /= sum
	}
}

// middle is the median of what was supposed, and how far it all lies from there.
func (m mixture) middle() guess {
	slices.SortFunc(m, func(a, b supposed) int { return cmp.Compare(a.of.x, b.of.x) })
	x, below := m[len(m)-1].of.x, 0.0 // what lies below the mean of the last
	for k := range m {
		// Half of each lies on either side of its own mean.
		half := m[k].likeness / 2
		if k > 0 {
			half += m[k-1].likeness / 2
		}
		if below+half >= 0.5 {
			x = m[k].of.x
			if k > 0 {
				x = m[k-1].of.x + (0.5-below)/half*(x-m[k-1].of.x)
			}
			break
		}
		below += half
	}
	square := 0.0
	for k := range m {
		square += m[k].likeness * (m[k].of.u*m[k].of.u + (m[k].of.x-x)*(m[k].of.x-x))
	}
	return guess{x, math.Sqrt(square)}
}

// mean is that of what else follows.
func (m mixture) mean(of func(*supposed) float64) float64 {
	x := 0.0
	for k := range m {
		x += m[k].likeness * of(&m[k])
	}
	return x
}

// spread is the mean of what else follows, and its standard deviation.
func (m mixture) spread(of func(*supposed) float64) guess {
	x := m.mean(of)
	return guess{x, math.Sqrt(m.mean(func(s *supposed) float64 { return (of(s) - x) * (of(s) - x) }))}
}
