package analyze

import "math"

// Earlier is what is remembered of a complete charge of the same battery on an
// earlier night. It bounds what tonight can need, and sharpens its forecast.
type Earlier struct {
	ChargeIn  float64 `json:"charge_c"`   // C until it was complete
	Seconds   float64 `json:"seconds"`    // s from the first current until it was complete
	Constant  float64 `json:"constant_s"` // s of constant current; 0 unknown
	SetAmps   float64 `json:"set_a"`      // A
	HeldVolts float64 `json:"held_v"`     // V; 0 unknown
	TailAmps  float64 `json:"tail_a"`     // A at which the charger ended it; 0 unknown
}

// EarlierOf remembers a session, if it was a complete charge.
func EarlierOf(s *Session) (e Earlier, ok bool) {
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
			e.ChargeIn += float64(g.ChargeAh) * secondsPerHour
		case ConstantVoltage:
			e.ChargeIn += float64(g.ChargeAh) * secondsPerHour
		}
	}
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
// logarithm, of s: how long it took from the set current down to the tail.
func tapers(nights []Earlier, tail, power float64) (g guess, ok bool) {
	sum, n := 0.0, 0.0
	for _, e := range nights {
		to := max(tail, e.TailAmps)
		if long := e.Seconds - e.Constant; e.Constant > 0 && long > 60 && e.SetAmps > 1.5*to {
			sum, n = sum+math.Log(long/taper{1, power}.time(math.Log(e.SetAmps/to))), n+1
		}
	}
	return guess{sum / n, earlierTaperSpread}, n > 0
}

// earlierTaperSpread is how far the tapers of one battery's nights differ.
const earlierTaperSpread = 0.12
