package analyze

import "math"

// A nickel pack stands higher or lower all night by how warm it is, about 3 mV a cell for each kelvin,
// and its plateau climbs by no more than that in a tenth of its capacity: where it stands tells little of how
// full it is, and how it climbed there more. So tonight's way is laid along that of an earlier night,
// and moved up or down as much as temperatures may differ. Chosen on made-up nights; the slope with
// temperature is in makers' sheets.
const (
	shapePoints = 8     // of tonight's way that are compared
	shapeFree   = 3     // of them that tell for themselves: neighbours stray together
	shapeStrays = 0.004 // V a cell that a way strays by, moved as it best fits
	shapeWarmth = 0.003 // V a cell for each kelvin that it is colder
	shapeNights = 4     // K that nights differ by
	shapeMeters = 2     // the same where both were measured: a thermometer is not in the cell
)

// wayShape is tonight's way so far: voltages and how much has gone in since, C.
type wayShape struct {
	back, volts [shapePoints]float64
	strays      float64 // V
	perKelvin   float64 // V
	celsius     float64 // of tonight; NaN unknown
}

// wayTonight is the shape of what has gone in beyond so much, C.
func (s *sight) wayTonight(beyond float64) (w wayShape) {
	tr := &s.c.trace
	last := tr.bins[s.end].at.in
	step := (s.went() - beyond) / shapePoints
	celsius := 0.0
	for k := range shapePoints {
		b := tr.ending(0, min(tr.indexIn(last-float64(k)*step)+1, s.end), 8, 60)
		w.volts[k], w.back[k] = b.v, float64(k)*step
		celsius += b.celsius / shapePoints
	}
	cells := float64(max(s.c.bounds.of.cells, 1))
	w.strays = math.Hypot(cells*shapeStrays, s.volts.noise()/2+s.volts.step()/2)
	w.perKelvin, w.celsius = cells*shapeWarmth, celsius
	return w
}

// fits is how well it fits an earlier night's way with so much left there, C: from 0 to 1. What came
// before that night's way strays as anything may.
func (w *wayShape) fits(e *Earlier, left float64) float64 {
	const settled = 2 // parts: before, a current has just begun
	warmer, unsure := 0.0, w.perKelvin*shapeNights
	if Known(w.celsius) && e.Celsius != 0 {
		warmer, unsure = w.celsius-e.Celsius, w.perKelvin*shapeMeters
	}
	sum, squares, n := 0.0, 0.0, 0.0
	for k, v := range w.volts {
		x := (1-(left+w.back[k])/e.ConstantIn)*pathParts - 0.5
		if k > 0 && x < settled {
			break
		}
		d := v + w.perKelvin*warmer - e.voltsAt(x)
		sum, squares, n = sum+d, squares+d*d, n+1
	}
	mean := sum / n
	strays := (squares - n*mean*mean + (shapePoints-n)*w.strays*w.strays) / shapePoints
	return math.Exp(-(shapeFree*strays/(w.strays*w.strays) + mean*mean/(unsure*unsure+w.strays*w.strays)) / 2)
}
