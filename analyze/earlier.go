package analyze

import (
	"iter"
	"math"
)

// Earlier is what is remembered of a complete charge of the same battery on an
// earlier night. It bounds what tonight can need, and sharpens its forecast.
type Earlier struct {
	ChargeIn   float64   `json:"charge_c"`             // C until it was complete
	Seconds    float64   `json:"seconds"`              // s from the first current until it was complete
	Constant   float64   `json:"constant_s"`           // s of constant current; 0 unknown
	ConstantIn float64   `json:"constant_c,omitempty"` // C that went in meanwhile
	Path       []float64 `json:"path_v,omitempty"`     // V, the mean of each of equal parts of that charge; none unknown
	Celsius    float64   `json:"celsius,omitempty"`    // degrees Celsius, the mean over the first half of it; 0 unknown
	SetAmps    float64   `json:"set_a"`                // A
	HeldVolts  float64   `json:"held_v"`               // V; 0 unknown
	TailAmps   float64   `json:"tail_a"`               // A at which the charger ended it; 0 unknown
}

// EarlierOf remembers a session, if it was a complete charge. Its rows, by its own time (or
// those of a curve of it, or none), tell how its voltage went.
func EarlierOf(s *Session, rows iter.Seq[Sample]) (e Earlier, ok bool) {
	if s.Outcome != Complete {
		return Earlier{}, false
	}
	e = Earlier{Seconds: float64(s.FinishS - s.StartS), SetAmps: float64(s.SetA)}
	if Known(float64(s.HeldV)) {
		e.HeldVolts = float64(s.HeldV)
	}
	if s.EndedBy != EndFloat && Known(float64(s.TailA)) {
		e.TailAmps = float64(s.TailA)
	}
	for _, g := range s.Stages {
		switch g.Stage {
		case ConstantCurrent:
			e.Constant = float64(g.EndS - g.StartS)
			e.ConstantIn += float64(g.ChargeAh) * secondsPerHour
		case ConstantVoltage:
			e.ChargeIn += float64(g.ChargeAh) * secondsPerHour
		}
	}
	e.ChargeIn += e.ConstantIn
	e.along(s, rows)
	return e, e.ChargeIn > 0 && e.Seconds > 0 && e.SetAmps > 0
}

// most is the largest charge of the nights before, C; 0 of none.
func most(nights []Earlier) float64 {
	q := 0.0
	for _, n := range nights {
		q = max(q, n.ChargeIn)
	}
	return q
}

// tapers is what the nights before say of the taper's time constant, as its
// logarithm, of s: how long it took from the set current down to the tail. Tonight so much
// charge will have gone in, C.
func tapers(nights []Earlier, c Chemistry, in, tail, power float64) (g guess, ok bool) {
	sum, depths, n := 0.0, 0.0, 0.0
	for _, e := range nights {
		to := max(tail, e.TailAmps)
		if long := e.Seconds - e.Constant; e.Constant > 0 && long > 60 && e.SetAmps > 1.5*to {
			sum += math.Log(long / taper{1, power}.time(math.Log(e.SetAmps/to)))
			depths, n = depths+math.Abs(math.Log(in/e.ChargeIn)), n+1
		}
	}
	spread := earlierTaperSpread
	if c.Lead() {
		spread = math.Hypot(spread, earlierTaperDepth*depths/n)
	}
	return guess{sum / n, spread}, n > 0
}

const (
	// How far the tapers of one battery's nights differ, as a logarithm.
	earlierTaperSpread = 0.12
	// And those of lead-acid for each e-fold that one went deeper: a 17 Ah battery took 1.55 times
	// as long for its taper when it was 2.2 times as empty (two open logs).
	earlierTaperDepth = 0.55
)
