package decoders

import "slices"

// What stands beside a voltage and a current may look like one of them: their power, and
// how warm it is.

// warm tells a column without a name that may be a room's temperature: it stands between 10 and 45. Few
// chargers give so much current (our own figures).
func (c *column) warm() bool {
	return c.said.of == none && c.median > 10 && c.median < 45 && c.spread() < 0.15*c.median
}

// wanes tells numbers below nought that go towards it: a charger's current, counted out of the battery, at held
// voltage. What counts goes away from nought, but for what is still missing from a battery.
func (c *column) wanes() bool { return c.said.of == none && c.maximum < 0 && c.rising > c.falling }

// counted tells a column that counts what another one brings, beside a voltage.
func (p *pairing) counted(v, i int) bool {
	return slices.ContainsFunc(p.free, func(k int) bool {
		return k != v && k != i && flowed(p.t.cols[i], p.t.cols[v].x, p.t.cols[k].x)
	})
}

// others tells whether there is a column besides two that does not count, and so may be one of them as well.
func (p *pairing) others(v, i int) bool {
	return slices.ContainsFunc(p.free, func(k int) bool {
		c := p.t.cols[k]
		return k != v && k != i && c.rising <= 0.9 && !c.climbs()
	})
}

// productOf is the column that is the product of two, -1 for none.
func (p *pairing) productOf(a, b int) int {
	key := [2]int{min(a, b), max(a, b)}
	w, ok := p.products[key]
	if !ok {
		w = p.t.product(a, b)
		p.products[key] = w
	}
	return w
}

// isProduct tells a column that is power rather than voltage or current: the product of
// the other of the two and of another column.
func (p *pairing) isProduct(c, of int) bool {
	return p.t.cols[c].said.of == none && slices.ContainsFunc(p.free, func(k int) bool {
		return k != c && k != of && p.productOf(k, of) == c
	})
}
