package madeup

import "amphora/analyze"

// kind is what one cell of a chemistry is like. Currents are in C (A per Ah of
// capacity) and resistances in V per C, so that a cell of any size is the same.
type kind struct {
	rest curve // V at rest at 25 °C over the state of charge, 0 to 1

	ohm float64 // V per C, the part that answers at once

	// transfer is the resistance of the charging reaction, in V per C at low
	// state of charge; it grows by 1 + (near/(missing+floor))^steep where
	// missing is the fraction of the capacity that still lacks.
	transfer, near, floor, steep float64
	fast                         float64 // s, the double layer's time constant at half charge

	slowOhm, slow float64 // V per C and s: diffusion

	side       side    // the reaction that makes gas instead of charge
	efficiency float64 // of the charging reaction, by charge

	heat    float64 // J/K per Ah of one cell
	cooling float64 // s, the time constant of cooling
}

// side is a reaction beside the charging one: the current rises tenfold with
// each decade of volts, and doubles with each 10 K.
type side struct {
	rate, volts float64 // C, at this voltage and 25 °C
	decade      float64 // V
	heats       float64 // share of its power that stays in the cell as heat (recombination)
}

// The figures below are of the right size for each chemistry; all but the rest
// voltages of lead-acid were chosen by us so that the made-up nights look like
// nights, and the tests hold them against published figures.

func lead(rest curve) kind {
	return kind{
		rest: rest,
		ohm:  0.060, transfer: 0.10, near: 1.3, floor: 0.02, steep: 1.6, fast: 40,
		slowOhm: 0.45, slow: 2.5 * 3600,
		side:       side{rate: 0.0010, volts: 2.40, decade: 0.20, heats: 0.9},
		efficiency: 0.96, heat: 42, cooling: 5 * 3600,
	}
}

// flooded cells gas freely, and the gas carries its heat away.
func flooded() kind {
	k := lead(evenly(1./6,
		// 12 V battery at rest, 0 to 100 % in steps of 5 % (reference, section 3, O2).
		11.89, 11.92, 11.96, 11.99, 12.03, 12.06, 12.10, 12.13, 12.17, 12.20, 12.24,
		12.28, 12.32, 12.37, 12.41, 12.45, 12.49, 12.53, 12.58, 12.62, 12.66))
	k.side = side{rate: 0.005, volts: 2.40, decade: 0.20}
	k.efficiency = 0.92
	return k
}

func kindOf(c analyze.Chemistry) kind {
	switch c {
	case analyze.LeadAGM:
		// 12 V battery after 24 h of rest (reference, section 3, O1).
		return lead(evenly(1./6, 11.80, 12.00, 12.30, 12.60, 12.85))
	case analyze.LeadGel:
		k := lead(evenly(1./6, 11.80, 12.00, 12.35, 12.65, 12.90))
		k.ohm = 0.085
		return k
	case analyze.LiIon:
		return kind{
			rest: newCurve(knot{0, 3.00}, knot{0.05, 3.35}, knot{0.1, 3.46}, knot{0.2, 3.56}, knot{0.3, 3.61},
				knot{0.4, 3.65}, knot{0.5, 3.71}, knot{0.6, 3.80}, knot{0.7, 3.90}, knot{0.8, 4.00}, knot{0.9, 4.09}, knot{1, 4.19}),
			ohm: 0.075, transfer: 0.045, near: 0.03, floor: 0.01, steep: 1, fast: 25,
			slowOhm: 0.060, slow: 900,
			efficiency: 0.996, heat: 18, cooling: 2400,
		}
	case analyze.LiFePO4:
		return kind{
			rest: newCurve(knot{0, 2.80}, knot{0.02, 3.05}, knot{0.05, 3.17}, knot{0.1, 3.215}, knot{0.2, 3.26}, knot{0.3, 3.287},
				knot{0.4, 3.293}, knot{0.6, 3.300}, knot{0.7, 3.328}, knot{0.95, 3.336}, knot{0.98, 3.36}, knot{1, 3.39}, knot{1.05, 3.42}),
			ohm: 0.055, transfer: 0.050, near: 0.12, floor: 0.010, steep: 2, fast: 4,
			slowOhm: 0.050, slow: 1500,
			efficiency: 0.997, heat: 25, cooling: 5400,
		}
	case analyze.NiMH, analyze.NiCd:
		k := kind{
			rest: newCurve(knot{0, 1.16}, knot{0.05, 1.225}, knot{0.1, 1.245}, knot{0.3, 1.275}, knot{0.5, 1.290},
				knot{0.7, 1.305}, knot{0.9, 1.335}, knot{1, 1.365}),
			ohm: 0.045, transfer: 0.040, near: 0.14, floor: 0.005, steep: 1.5, fast: 20,
			slowOhm: 0.035, slow: 1800,
			// Oxygen takes over as the cell fills and recombines inside: all its
			// power becomes heat, and the warm cell's voltage falls again.
			side:       side{rate: 0.05, volts: 1.44, decade: 0.09, heats: 1},
			efficiency: 0.97, heat: 18, cooling: 1000,
		}
		if c == analyze.NiCd {
			k.side.decade = 0.13 // a deeper fall after the peak
		}
		return k
	default:
		return flooded()
	}
}
