package plan

// Specific gravity of the acid, of flooded batteries only.

// gravityTable is specific gravity against state of charge, 26.7 C; three
// copies of it agree.
var gravityTable = []point{{1.120, 0}, {1.155, 0.25}, {1.190, 0.50}, {1.225, 0.75}, {1.265, 1}}

// StateFromGravity is the state of charge, 0 to 1, of a reading that was
// corrected for temperature.
func StateFromGravity(gravity float64) float64 { return interpolate(gravityTable, gravity) }

// GravityFromState is the inverse.
func GravityFromState(state float64) float64 {
	swapped := make([]point, len(gravityTable))
	for i, p := range gravityTable {
		swapped[i] = point{p.y, p.x}
	}
	return interpolate(swapped, state)
}

// CorrectGravity refers a hydrometer reading at celsius to 26.7 C (80 F): 0.004
// is added for each 10 F above and taken off for each 10 F below.
func CorrectGravity(reading, celsius float64) float64 {
	const perKelvin = 0.004 * 9 / 50
	return reading + perKelvin*(celsius-fahrenheit(80))
}

func fahrenheit(f float64) float64 { return (f - 32) * 5 / 9 }
