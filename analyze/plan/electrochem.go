package plan

// Faraday's law and the gas law, with the exact constants of the 2019 SI.
const (
	faraday     = 96485.33212 // C/mol
	gasConstant = 8.314462618 // J/(mol K)
	atmosphere  = 101325.0    // Pa
	kelvin      = 273.15      // K at 0 degrees Celsius
)

// Molar masses in g/mol.
const (
	molarWater = 18.015
	molarLead  = 207.2
	molarOxide = 239.198 // PbO2
	molarAcid  = 98.079  // H2SO4
)

// HydrogenVolume is the hydrogen in m3 that charge C of overcharge sets free in
// each of cells, at a temperature in degrees Celsius and a pressure in Pa,
// nothing recombining. Two electrons make a molecule.
func HydrogenVolume(charge float64, cells int, celsius, pascal float64) float64 {
	return charge * float64(cells) / (2 * faraday) * gasConstant * (celsius + kelvin) / pascal
}

// OxygenVolume is the oxygen that comes with it: half as much.
func OxygenVolume(charge float64, cells int, celsius, pascal float64) float64 {
	return HydrogenVolume(charge, cells, celsius, pascal) / 2
}

// WaterSplit is the water in g that the same overcharge takes from the cells.
func WaterSplit(charge float64, cells int) float64 {
	return charge * float64(cells) * molarWater / (2 * faraday)
}

// Active is what one cell of lead-acid turns over with a charge in C, in g. The
// whole reaction takes one molecule of acid and makes one of water for each
// electron, and a lead and a lead dioxide for each two.
type Active struct{ Lead, LeadDioxide, Acid, Water float64 }

// ActiveMass computes it.
func ActiveMass(charge float64) Active {
	electrons := charge / faraday
	return Active{
		Lead:        electrons * molarLead / 2,
		LeadDioxide: electrons * molarOxide / 2,
		Acid:        electrons * molarAcid,
		Water:       electrons * molarWater,
	}
}
