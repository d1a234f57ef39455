package analyze_test

import (
	"math"
	"math/rand/v2"

	"amphora/analyze"
)

// A second model of batteries, with other equations than the made-up nights have, so
// that what is measured on both does not rest on the habits of one: resistances with
// time constants in series, an overvoltage that goes with the inverse hyperbolic sine
// of the current, and lead-acid whose resistance alone grows as it fills. Its figures
// are chosen, not measured. Batteries differ in age, and from their labels.
type otherBattery struct {
	chemistry analyze.Chemistry
	cells     float64
	capacity  float64 // Ah
	state     float64 // of charge
	celsius   float64

	rest               curve
	ohm, steep, settle float64 // ohm; V; A
	slow               [3]otherSlow
	gasing             [3]float64 // A, V, V for each e-fold
	gas, reaction      float64    // A
}

// otherSlow is a resistance that takes a time to show.
type otherSlow struct{ ohm, seconds, volts float64 }

// curve is straight lines between points.
type curve [][2]float64

func (c curve) at(x float64) float64 {
	k := 1
	for k < len(c)-1 && c[k][0] < x {
		k++
	}
	a, b := c[k-1], c[k]
	return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
}

// V of a cell at rest, by state of charge; beyond full it climbs without end.
var otherRest = map[analyze.Chemistry]curve{
	analyze.LeadAGM: {{-0.2, 1.80}, {0, 1.945}, {0.05, 1.965}, {0.97, 2.13}, {1, 2.16}, {1.015, 2.27}, {1.03, 2.42}, {1.3, 5.1}},
	analyze.LiIon: {{-0.2, 2}, {0, 3}, {0.02, 3.22}, {0.05, 3.38}, {0.1, 3.48}, {0.2, 3.57}, {0.3, 3.62}, {0.4, 3.66}, {0.5, 3.72}, {0.6, 3.82},
		{0.7, 3.91}, {0.8, 4}, {0.9, 4.085}, {1, 4.185}, {1.03, 4.235}, {1.3, 4.9}},
	analyze.LiFePO4: {{-0.2, 2}, {0, 2.7}, {0.02, 2.97}, {0.05, 3.14}, {0.1, 3.215}, {0.2, 3.255}, {0.4, 3.29}, {0.6, 3.302}, {0.68, 3.325},
		{0.9, 3.334}, {0.96, 3.345}, {0.98, 3.385}, {1, 3.46}, {1.02, 3.58}, {1.3, 5.5}},
	analyze.NiMH: {{-0.2, 0.9}, {0, 1.17}, {0.05, 1.255}, {0.2, 1.30}, {0.5, 1.335}, {0.8, 1.365}, {0.93, 1.40}, {1, 1.445}, {1.05, 1.47}, {1.12, 1.475}, {1.3, 1.475}},
}

func newOther(c analyze.Chemistry, cells, capacity, state, aged float64) *otherBattery {
	b := &otherBattery{chemistry: c, cells: cells, capacity: capacity, state: state, celsius: 21, rest: otherRest[c]}
	u := cells / capacity * aged
	switch c {
	case analyze.LiIon:
		b.ohm, b.steep, b.settle = 0.055*u, 0.010*cells, 0.15*capacity
		b.slow = [3]otherSlow{{0.03 * u, 15, 0}, {0.05 * u, 240, 0}, {0.05 * u, 1500, 0}}
	case analyze.LiFePO4:
		b.ohm, b.steep, b.settle = 0.045*u, 0.012*cells, 0.15*capacity
		b.slow = [3]otherSlow{{0.02 * u, 12, 0}, {0.05 * u, 200, 0}, {0.10 * u, 1300, 0}}
	case analyze.NiMH:
		b.ohm, b.steep, b.settle = 0.05*u, 0.012*cells, 0.1*capacity
		b.slow = [3]otherSlow{{0.02 * u, 20, 0}, {0.03 * u, 300, 0}, {0.02 * u, 1500, 0}}
	default:
		b.rest = otherRest[analyze.LeadAGM]
		b.ohm, b.steep, b.settle = 0.035*u, 0.030*cells, 0.02*capacity
		b.slow = [3]otherSlow{{0.05 * u, 40, 0}, {0.12 * u, 700, 0}, {0.10 * u, 5200, 0}}
		b.gasing = [3]float64{0.0018 * capacity, 2.40 * cells, 0.045 * cells}
	}
	return b
}

// inner is the voltage without what the current adds at once, V.
func (b *otherBattery) inner() float64 {
	v := b.cells * b.rest.at(min(max(b.state, -0.2), 1.3))
	for _, s := range b.slow {
		v += s.volts
	}
	if b.chemistry.Nickel() {
		v -= 0.0035 * b.cells * (b.celsius - 25)
	}
	return v
}

func (b *otherBattery) ohms() float64 {
	if b.chemistry.Lead() {
		return b.ohm * (1 + 9*math.Pow(0.035/max(0.012, 1.03-b.state), 1.15))
	}
	return b.ohm
}

func (b *otherBattery) volts(amps float64) float64 {
	m := amps - b.gas
	return b.inner() + b.ohms()*m + b.steep*math.Asinh(m/b.settle)
}

// amps is the current at a held voltage: a few of Newton's steps.
func (b *otherBattery) amps(volts float64) float64 {
	over, m := volts-b.inner(), b.reaction
	for range 6 {
		f := b.ohms()*m + b.steep*math.Asinh(m/b.settle) - over
		m -= f / (b.ohms() + b.steep/math.Hypot(m, b.settle))
	}
	return m + b.gas
}

// second lets one second pass.
func (b *otherBattery) second(amps, volts float64) {
	m, taken := amps-b.gas, 1.0
	b.reaction = m
	if b.chemistry.Nickel() && m > 0 {
		taken = min(1, max(0, (1.10-b.state)/0.2))
		b.celsius += amps*volts*(1-taken)/(22.5*b.cells*b.capacity) - (b.celsius-21)/2400
	}
	b.state += m * taken / 3600 / b.capacity
	if b.chemistry.Lead() && b.state > 1 {
		b.state -= (b.state - 1) / 18000
	}
	for k := range b.slow {
		s := &b.slow[k]
		s.volts += (s.ohm*m - s.volts) * (1 - math.Exp(-1/s.seconds))
	}
	if g := b.gasing; g[0] > 0 {
		b.gas += 0.1 * (g[0]*math.Exp(min(6, (volts-g[1])/g[2])) - b.gas)
	}
}

// otherRandom draws a night of the second model, the battery so much fuller than the
// dice say. It is complete by the rule of the summary, or by the peak.
func otherRandom(seed uint64, shift float64) forecastNight {
	d := rand.New(rand.NewPCG(seed, 0x6f74686572))
	between := func(low, high float64) float64 { return low + (high-low)*d.Float64() }
	of := func(x ...float64) float64 { return x[d.IntN(len(x))] }
	var (
		kind                    analyze.Chemistry
		cells, label, amps, end float64
		limit, drop, tail       float64
	)
	state := between(0.03, 0.55)
	switch d.IntN(4) {
	case 0:
		kind, cells, label = []analyze.Chemistry{analyze.LeadFlooded, analyze.LeadAGM, analyze.LeadGel}[d.IntN(3)], 6, of(17, 35, 44, 60)
		amps, limit, tail = label*between(0.06, 0.2), 6*between(2.38, 2.43), 0.02*label
		end = of(max(0.09*amps, 0.013*label), label*between(0.015, 0.03))
	case 1:
		kind, cells, label = analyze.LiIon, of(1, 3, 5), of(2.2, 3, 4, 6, 10)
		amps, limit, tail = label*between(0.2, 0.7), 4.2*cells, 0.05*label
		end = label * between(0.015, 0.045)
	case 2:
		kind, cells, label = analyze.LiFePO4, of(4, 8), of(10, 20, 50)
		amps, limit, tail = label*between(0.1, 0.5), 3.6*cells, 0.05*label
		end = label * between(0.015, 0.045)
	default:
		kind, cells, label = analyze.NiMH, of(4, 6, 8, 10), of(0.8, 2, 2.5, 3)
		amps, limit, drop = label*between(0.4, 0.9), 99, cells*between(0.005, 0.008)
	}
	capacity, aged := label*between(0.92, 1.06), between(0.8, 1.7)
	b := newOther(kind, cells, capacity, min(max(state+shift, 0.02), 0.9), aged)
	every, noiseV, noiseA := of(1, 5, 10, 30, 60), between(0.0005, 0.010), between(0.0005, 0.010)
	if kind.Nickel() {
		every, noiseV, noiseA = min(every, 10), noiseV/5, noiseA/3
	}
	n := forecastNight{label: analyze.Options{Chemistry: kind, Cells: int(cells), Capacity: label * 3600}, start: 600, finish: math.NaN()}
	row := func(t, v, a float64) {
		if math.Mod(t, every) == 0 {
			n.rows = append(n.rows, analyze.Sample{
				At: t, Volts: rounded(v+noiseV*d.NormFloat64(), 0.001), Amps: rounded(a+noiseA*d.NormFloat64(), 0.001),
				Celsius: analyze.Unknown(), Counter: analyze.Unknown(), Line: len(n.rows) + 1,
			})
		}
	}
	t := 0.0
	for ; t < n.start; t++ {
		b.second(0, b.volts(0))
		row(t, b.volts(0), 0)
	}
	top, topAt, below := 0.0, t, 0.0
	for ; below < 20 && t < 200_000; t++ {
		v, a := b.volts(amps), amps
		if v > limit {
			v, a = limit, min(amps, b.amps(limit))
			if a <= tail && math.IsNaN(n.finish) {
				n.finish = t
			}
			if below++; a > end {
				below = 0
			}
		}
		if drop > 0 && t > n.start+1800 {
			if v > top {
				top, topAt = v, t
			}
			if v < top-drop {
				n.finish, below = topAt, 20
			}
		}
		b.second(a, v)
		row(t, v, a)
	}
	if math.IsNaN(n.finish) {
		n.finish = t
	}
	return n
}
