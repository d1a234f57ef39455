package plan

import (
	"math"

	"amphora/analyze"
)

// ventilation is what keeps the hydrogen of a charge below a fifth of what
// burns, by EN 50272-2 / IEC 62485-2.
type ventilation struct {
	Airflow  float64 // m3/s of fresh air
	Opening  float64 // m2 of opening, low and high each, for natural draught
	Room     float64 // m3 of free room that needs no opening
	Distance float64 // m around the vents where gas may burn anyway
}

// Gas currents in mA per Ah of capacity while boosting: 20 vented lead with
// little antimony, 8 valve-regulated, 50 vented NiCd. One page prints the
// float and boost values a hundred times smaller, "per 100 Ah"; two others
// agree with these. Recombination plugs would halve them.
var boostGas = map[analyze.Chemistry]float64{
	analyze.LeadFlooded: 20,
	analyze.LeadAGM:     8,
	analyze.LeadGel:     8,
	analyze.NiCd:        50,
}

// floatGas is the same at float voltage.
var floatGas = map[analyze.Chemistry]float64{
	analyze.LeadFlooded: 5,
	analyze.LeadAGM:     1,
	analyze.LeadGel:     1,
	analyze.NiCd:        5,
}

// gasCurrents gives the gas current in mA/Ah at float and at boost voltage;
// false for the sealed chemistries, which the standard's table does not list.
func gasCurrents(c analyze.Chemistry) (atFloat, atBoost float64, ok bool) {
	atBoost, ok = boostGas[c]
	return floatGas[c], atBoost, ok
}

const (
	// airPerGas is 24 x 0.42e-3 x 5 m3/Ah rounded as the standard rounds it:
	// dilution to 4 %, hydrogen per Ah, safety factor.
	airPerGas = 0.05
	// openingPerAir is for air that moves at 0.1 m/s, cm2 for each m3/h.
	openingPerAir = 28.0
	roomPerAir    = 2.5 // h: free m3 for each m3/h
	// distanceFactor in mm is from memory; the standard's formula was not seen.
	distanceFactorRecalled = 28.8
)

// vent computes the ventilation for cells in series of a capacity in C, at a
// gas current in mA/Ah.
func vent(gas float64, cells int, capacity float64) ventilation {
	ah := capacity / ampereHour
	air := airPerGas * float64(cells) * gas * ah * 1e-3 // m3/h
	return ventilation{
		Airflow:  air / hour,
		Opening:  openingPerAir * air * 1e-4,
		Room:     roomPerAir * air,
		Distance: distanceFactorRecalled * math.Cbrt(gas*ah) * 1e-3,
	}
}
