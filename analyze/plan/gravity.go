package plan

import "amphora/analyze"

// Specific gravity of the acid, of flooded batteries only.

// gravityTable is state of charge against specific gravity at gravityCelsius; three
// copies of it agree.
var gravityTable = analyze.Table{{1.120, 0}, {1.155, 0.25}, {1.190, 0.50}, {1.225, 0.75}, {1.265, 1}}

const gravityCelsius = 26.67 // 80 F

// StateFromGravity is the state of charge, 0 to 1, of a reading that was
// corrected for temperature.
func StateFromGravity(gravity float64) float64 { return gravityTable.At(gravity) }

// gravityFromState is the inverse.
func gravityFromState(state float64) float64 {
	swapped := make(analyze.Table, len(gravityTable))
	for i, p := range gravityTable {
		swapped[i] = [2]float64{p[1], p[0]}
	}
	return swapped.At(state)
}

// CorrectGravity refers a hydrometer reading at celsius to that of the table: 0.004
// is added for each 10 F above and taken off for each 10 F below.
func CorrectGravity(reading, celsius float64) float64 {
	const perKelvin = 0.004 * 9 / 50
	return reading + perKelvin*(celsius-gravityCelsius)
}
