package analyze

import "math"

// RestRow is a row of a rest.
type RestRow struct {
	At    float64 // s since the current stopped
	Volts float64 // V
}

// RestForecast is what the fit of a rest says of a moment.
type RestForecast struct {
	At    float64 // s since the current stopped
	Volts float64 // V
	U95   float64 // V, expanded (k = 2); the meter's own accuracy is not in it
}

// RestCurve gives what the fit of a rest (RestFit) says of some moments, seen or to
// come, so that it can be drawn beside the rows. The rows must be in order; under
// is the voltage just before the current stopped, V. It is empty where there is
// too little to fit.
func RestCurve(rows []RestRow, under float64, moments []float64) []RestForecast {
	var r rest
	var volts meter
	stop := row{v: under}
	for _, q := range rows {
		volts.push(q.Volts)
		r.add(&row{t: q.At, v: q.Volts}, &stop)
	}
	if r.n < leastPoints || r.to-r.from < leastRest {
		return nil
	}
	p := r.points(volts.noise(), volts.step())
	list := make([]RestForecast, len(moments))
	for k, at := range moments {
		s, unseen := settleBy(p, under, at)
		// Where there were rows, all was seen; far off, nothing is.
		ahead := max(0, 1-p[len(p)-1].t/at)
		list[k] = RestForecast{at, s.volts, 2 * math.Hypot(s.u, unseen*ahead)}
	}
	return list
}
