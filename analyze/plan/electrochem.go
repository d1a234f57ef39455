package plan

// Faraday's law and the gas law, with the exact constants of the 2019 SI.
const (
	faraday     = 96485.33212 // C/mol
	gasConstant = 8.314462618 // J/(mol K)
	atmosphere  = 101325.0    // Pa
	kelvin      = 273.15      // K at 0 degrees Celsius
)

// hydrogenVolume is the hydrogen in m3 that charge C of overcharge sets free in
// each of cells, at a temperature in degrees Celsius and a pressure in Pa,
// nothing recombining. Two electrons make a molecule.
func hydrogenVolume(charge float64, cells int, celsius, pascal float64) float64 {
	return charge * float64(cells) / (2 * faraday) * gasConstant * (celsius + kelvin) / pascal
}
