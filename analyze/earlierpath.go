package analyze

import (
	"iter"
	"math"
)

// pathParts is in how many parts of equal charge the way of a voltage is remembered.
const pathParts = 32

// along remembers how the voltage went in constant current that night.
func (e *Earlier) along(s *Session, rows iter.Seq[Sample]) {
	from, to := constantOf(s)
	var volts, charge, warmth []float64 // V, C and degrees Celsius of each interval between rows
	total := 0.0
	var a *Sample
	for b := range rows {
		if !Known(b.Volts) || !Known(b.Amps) || b.At < from || b.At > to {
			continue
		}
		if a != nil {
			q := max((a.Amps+b.Amps)/2, 0) * (b.At - a.At)
			volts, charge, warmth, total = append(volts, (a.Volts+b.Volts)/2), append(charge, q), append(warmth, b.Celsius), total+q
		}
		a = &b
	}
	if total > 0 {
		e.Path = pathOf(volts, charge, total/pathParts)
		e.Celsius = warmthOf(warmth, charge, total/2)
	}
}

// warmthOf is the mean temperature until so much had gone in, C, to a tenth of a degree; 0 where it is not known
// throughout. What nickel makes of heat before its peak comes later.
func warmthOf(celsius, charge []float64, until float64) float64 {
	sum, in := 0.0, 0.0
	for j, q := range charge {
		if in >= until {
			break
		}
		sum, in = sum+q*celsius[j], in+q
	}
	if mean := sum / in; Known(mean) {
		return math.Round(10*mean) / 10
	}
	return 0
}

// constantOf is from when to when the current of a charge was constant, s.
func constantOf(s *Session) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, g := range s.Stages {
		if g.Stage == ConstantCurrent {
			from, to = min(from, float64(g.StartS)), max(to, float64(g.EndS))
		}
	}
	return from, to
}

// pathOf is the mean voltage of each part of a charge, V to a tenth of a millivolt: as fine
// as meters are, and short enough for the journal.
func pathOf(volts, charge []float64, part float64) []float64 {
	path := make([]float64, pathParts)
	k, room := 0, part
	for j, q := range charge {
		for q > room && k < pathParts-1 {
			path[k] += volts[j] * room / part
			q -= room
			k, room = k+1, part
		}
		path[k] += volts[j] * q / part
		room -= q
	}
	for k := range path {
		path[k] = math.Round(1e4*path[k]) / 1e4
	}
	return path
}
