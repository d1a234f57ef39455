package decoders

import "strings"

// siblings takes names that are alike but for their first letter, of a voltage and of a current, as what
// they are: vmain and imain, u_pack and i_pack. One such name alone tells nothing, for many a word begins
// with these letters.
func (t *table) siblings() {
	byName := map[string]*column{}
	for _, c := range t.cols {
		byName[strings.ToLower(c.name)] = c
	}
	for name, c := range byName {
		if len(name) < 3 || name[0] != 'v' && name[0] != 'u' {
			continue
		}
		if other := byName["i"+name[1:]]; other != nil && c.said.of == none && other.said.of == none {
			c.said, other.said = understand("v "+name[1:]), understand("i "+name[1:])
		}
	}
}

// levelLetter takes the letter before a count for what it is, the level of a message and no current, where
// another name says which the current is: "I (1412) bat: vbat=12710mV ibat=900mA".
func (t *table) levelLetter() {
	for _, c := range t.cols {
		counts := c.what == isNumber && c.n > 4 && c.whole && c.rising > 0.95 && c.minimum >= 0
		if counts && strings.EqualFold(c.name, "i") && !c.unitBeside && t.another(c, Amps) {
			c.said = naming{of: none}
		}
	}
}

// warmLetter takes the letter T before numbers that a time does not have, but degrees do, for what it is beside
// voltage and current: {"v":12.61,"i":3.50,"t":21.4}.
func (t *table) warmLetter(span float64) {
	for _, c := range t.cols {
		if strings.EqualFold(strings.TrimSpace(c.name), "t") && c.what == isNumber && c.said.of == Time && c.said.unit == nil && c.degreesOnly(span) && t.another(c, Volts) && t.another(c, Amps) {
			c.said = naming{of: Celsius}
		}
	}
}

// degreesOnly tells numbers that may be degrees, and fall, or stand or rise in no step as those of a time would,
// of lines that took span s to come.
func (c *column) degreesOnly(span float64) bool {
	const few, cold, hot, wide, leap = 7, 5, 60, 30, 1 // rows; degrees: our own figures
	if c.n <= few || c.minimum < cold || c.maximum > hot || c.maximum-c.minimum > wide || c.stepHigh > leap {
		return false
	}
	unevenly := c.stepHigh > 1.5*c.stepLow && span > shortestSpan && c.keepsStep(span) == 0
	return c.falling > 0 || unevenly || c.rising < 0.95 && !c.ticks()
}

// another tells whether there is another column that is said to be of a quantity of the battery's.
func (t *table) another(than *column, of Quantity) bool {
	for _, c := range t.cols {
		if c != than && c.what == isNumber && c.said.of == of && !c.said.aside {
			return true
		}
	}
	return false
}

// least gives the column of the least its whole name where that of the most is beside it,
// for "min" are minutes too.
func (t *table) least() {
	most := false
	for _, c := range t.cols {
		most = most || hasAny(c.name, "max", "maximum")
	}
	for _, c := range t.cols {
		if name, ok := strings.CutSuffix(c.name, "min"); ok && most {
			c.name = name + "minimum"
		}
	}
}
