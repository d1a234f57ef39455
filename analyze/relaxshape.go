package analyze

import "math"

// shape is a way for a voltage to settle: 1 when the current stops, 0 in the end.
//
// Two R-C pairs, an exponential each, are the usual model. A real battery has no
// such clear time constants: that of its diffusion grows with the time since the
// current stopped (Pei, Wang, Lu, Zhu, J. Power Sources 253 (2014) 412), and
// where it grows linearly the voltage settles as a power of time. A stretched
// exponential lies between the two.
type shape struct {
	name  string
	kind  shapeKind
	power float64
	prior float64 // how far it is believed before the rest is seen
}

type shapeKind int

const (
	exponential shapeKind = iota
	stretched             // exp(-(t/tau)^power)
	powerTail             // (1 + t/tau)^-power
)

// slowShapes are what is compared as the slow part, each beside one quick
// exponential. For an hour or two a tail cannot be told from two exponentials,
// yet it ends 0.1 to 0.2 V lower; so the usual model has most of the belief and
// a tail must earn its own by the evidence. The shares are our choice.
var slowShapes = [...]shape{
	{"two exponentials", exponential, 1, 0.90},
	{"stretched tail", stretched, 0.75, 0.02},
	{"stretched tail", stretched, 0.5, 0.02},
	{"power tail", powerTail, 0.5, 0.02},
	{"power tail", powerTail, 1, 0.02},
	{"power tail", powerTail, 2, 0.02},
}

// fill puts the share that is still to settle after each of so many seconds, t, in at. All of them are taken in
// one go, since an exponential takes little longer than finding out which shape it is.
func (s *shape) fill(at, t []float64, tau float64) {
	at = at[:len(t)]
	switch {
	case s.kind == exponential:
		for k := range t {
			at[k] = math.Exp(-(t[k] / tau))
		}
	case s.kind == stretched && s.power == 0.75: // two roots take a third of the time of a power
		for k := range t {
			root := math.Sqrt(t[k] / tau)
			at[k] = math.Exp(-root * math.Sqrt(root))
		}
	case s.kind == stretched:
		for k := range t {
			at[k] = math.Exp(-math.Sqrt(t[k] / tau))
		}
	case s.power == 1:
		for k := range t {
			at[k] = 1 / (1 + t[k]/tau)
		}
	case s.power == 2:
		for k := range t {
			x := 1 + t[k]/tau
			at[k] = 1 / (x * x)
		}
	default:
		for k := range t {
			at[k] = 1 / math.Sqrt(1+t[k]/tau)
		}
	}
}
