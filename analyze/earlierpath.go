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
	var volts, charge []float64 // V and C of each interval between rows
	total := 0.0
	var a *Sample
	for b := range rows {
		if !Known(b.Volts) || !Known(b.Amps) || b.At < from || b.At > to {
			continue
		}
		if a != nil {
			q := max((a.Amps+b.Amps)/2, 0) * (b.At - a.At)
			volts, charge, total = append(volts, (a.Volts+b.Volts)/2), append(charge, q), total+q
		}
		a = &b
	}
	if total > 0 {
		e.Path = pathOf(volts, charge, total/pathParts)
	}
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
