package plan

import (
	"math"

	"amphora/analyze"
)

// perCell is a charging voltage of one cell and how it moves with temperature.
type perCell struct {
	volts     float64 // at reference
	reference float64 // degrees Celsius
	perKelvin float64 // V/K, negative: less when warmer
}

// at is the voltage at a temperature. The published tables end at 0 and 40 C,
// and so does the compensation.
func (p perCell) at(celsius float64) float64 {
	celsius = min(max(celsius, compensationColdest), compensationWarmest)
	return p.volts + p.perKelvin*(celsius-p.reference)
}

const (
	referenceCelsius    = 25.0
	compensationColdest = 0.0
	compensationWarmest = 40.0
)

// absorption of lead-acid. 2.40 V is where gassing begins (two texts), the gel
// maker's cyclic voltage, and the low end of the AGM range 2.40 to 2.465.
// Another gel maker stops at 14.1 V (2.35), so the label decides. Gel's -5 mV/K
// is its maker's; the sources run from 3 to 5 and the others take the middle.
var absorption = map[analyze.Chemistry]perCell{
	analyze.LeadFlooded: {2.40, referenceCelsius, -0.004},
	analyze.LeadAGM:     {2.40, referenceCelsius, -0.004},
	analyze.LeadGel:     {2.40, referenceCelsius, -0.005},
}

// absorptionSpan is how far sources differ, V a cell at 25 C. The flooded ends
// are from memory; IEC 60095-1 8.2.2 goes up to 2.47 for 20 h in a test.
var absorptionSpan = map[analyze.Chemistry]bounds{
	analyze.LeadFlooded: {2.35, 2.45},
	analyze.LeadAGM:     {2.40, 2.465},
	analyze.LeadGel:     {2.35, 2.42},
}

// floating of lead-acid: two vendors' data for gel and AGM, referred to 20 C. The
// flooded value is the top of 2.20 to 2.25, a range from memory.
var floating = map[analyze.Chemistry]perCell{
	analyze.LeadFlooded: {2.25, referenceCelsius, -0.003},
	analyze.LeadAGM:     {2.285, 20, -0.003},
	analyze.LeadGel:     {2.265, 20, -0.003},
}

// Limits of a lithium cell while charging, V. The li-ion figure is two texts'
// maximum, the other a data sheet's, its absolute maximum too.
const (
	liIonVolts   = 4.20
	liFePO4Volts = 3.65
)

// absorptionPerCell is the voltage that one cell is charged to, in V; false for
// nickel, whose charge no voltage limits.
func absorptionPerCell(c analyze.Chemistry, celsius float64) (float64, bool) {
	switch c {
	case analyze.LiIon:
		return liIonVolts, true
	case analyze.LiFePO4:
		return liFePO4Volts, true
	}
	p, ok := absorption[c]
	return p.at(celsius), ok
}

// floatPerCell is the voltage that a full cell is held at, in V; false for the
// chemistries that are not floated.
func floatPerCell(c analyze.Chemistry, celsius float64) (float64, bool) {
	p, ok := floating[c]
	return p.at(celsius), ok
}

// nominalVolts is what a label counts for one cell, V.
func nominalVolts(c analyze.Chemistry) float64 {
	switch {
	case c.Lead():
		return 2.0
	case c.Nickel():
		return 1.2
	case c == analyze.LiIon:
		return 3.6
	}
	return 3.2
}

// cellsFor is how many cells a nominal voltage means. A voltage that lies
// between two counts is an error: one cell too many overcharges the others.
func cellsFor(c analyze.Chemistry, volts float64) (int, error) {
	// Two blocks of 12 V, of four cells each, are sold as 24 V; seven cells are not.
	if c == analyze.LiFePO4 && volts == 24 {
		return 8, nil
	}
	cells := volts / nominalVolts(c)
	n := math.Round(cells)
	if n < 1 || n > mostCells || math.Abs(cells-n) > 0.3 {
		return 0, wrong("volts", "%g V is no whole number of %s cells of %g V: count them and give the cells", volts, c, nominalVolts(c))
	}
	return int(n), nil
}
