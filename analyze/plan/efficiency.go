package plan

import "amphora/analyze"

// ChargeFactors is how much charge must go in for each that was taken out.
//
// Lead-acid: a battery maker's 1.15 to 1.30 flooded and 1.04 to 1.12
// valve-regulated; two others say about 1.2 for lead in general, inside that.
// Lithium: above 99 % comes back; one page's 85 to 95 % looks dated, and 1.05
// leaves room for it where a limit is derived.
// Nickel: 66 to 92 % and 70 to 90 % of the charge comes back; the capacity test
// of IEC 61951-2 puts in 1.6 times the rating (0.1 It for 16 h).
func ChargeFactors(c analyze.Chemistry) Range {
	switch c {
	case analyze.LeadFlooded:
		return Range{1.15, 1.30}
	case analyze.LeadAGM, analyze.LeadGel:
		return Range{1.04, 1.12}
	case analyze.NiMH:
		return Range{1 / 0.92, 1.60}
	case analyze.NiCd:
		return Range{1 / 0.90, 1 / 0.70}
	}
	return Range{1.00, 1.05}
}

// ChargeFactor is the factor that belongs to a coulombic efficiency: charge
// out over charge in.
func ChargeFactor(efficiency float64) float64 { return 1 / efficiency }

// factorSource cites ChargeFactors.
func factorSource(c analyze.Chemistry) string {
	switch {
	case c.Lead():
		return "a battery maker's charge factors"
	case c.Nickel():
		return "charge efficiencies from encyclopaedia pages; IEC 61951-2 capacity test as quoted by research papers"
	}
	return "a battery engineering page: more than 99 % of the charge comes back"
}
