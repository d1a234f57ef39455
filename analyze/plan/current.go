package plan

import "amphora/analyze"

// Shares of capacity per hour (1 is the whole capacity in one hour).
const (
	gentleShare  = 0.1 // common practice, no source; IEC 61951-2 charges nickel at it
	lithiumShare = 0.2 // what lithium cells accept even between 0 and 10 C

	leadFastest = 0.3 // common practice, no source; IEC 60095-1 tests with 0.25
	gelFastest  = 0.2 // a data sheet's limit, quoted in a forum
	ironFastest = 0.5 // common practice, no source
	cellFastest = 1.0 // lithium: a cell maker's sheet; nickel: a racing body's rule
)

// Currents when nothing is known of a battery but that it is a car's: the rough
// "3 to 5 A suits most car batteries" (common practice, no source).
const (
	unknownGentleAmps  = 3.0
	unknownFastestAmps = 5.0
)

// Limits in degrees Celsius.
const (
	lithiumCool      = 10.0 // reduced current below: the same, and the JEITA scheme
	nickelFastLowest = 5.0  // window for fast charge, 5 to 45 C
	nickelFastTop    = 45.0
)

// currentShares gives the gentle and the fastest charge current of a chemistry
// as a share of capacity at a temperature in degrees Celsius (25 where it is
// unknown), with the reason and the source of each.
func currentShares(c analyze.Chemistry, celsius float64) (gentle, fastest float64, reasons []Reason) {
	switch {
	case c.Lithium():
		return lithiumShares(c, celsius)
	case c.Nickel():
		return nickelShares(celsius)
	}
	gentle, fastest = gentleShare, leadFastest
	why := "up to three tenths of the capacity, while the battery stays cool"
	source := "common practice, no source; IEC 60095-1 8.2.2 allows five twentieths in a test"
	if c == analyze.LeadGel {
		fastest, why, source = gelFastest, "gel takes less than other lead-acid: at most a fifth of the capacity", "a gel data sheet quoted in a forum"
	}
	return gentle, fastest, []Reason{
		{"cautious_a", "a tenth of the capacity is gentle on every lead-acid battery", commonPractice},
		{"fastest_a", why, source},
	}
}

func lithiumShares(c analyze.Chemistry, celsius float64) (gentle, fastest float64, reasons []Reason) {
	fastest = cellFastest
	why, source := "at most the capacity in one hour, less if the pack's label says so", "a lithium-ion cell maker's sheet"
	if c == analyze.LiFePO4 {
		fastest, why, source = ironFastest, "half the capacity in one hour suits most packs", commonPractice
	}
	if celsius < lithiumCool {
		fastest, why, source = lithiumShare, "below 10 °C lithium takes at most a fifth of the capacity", "a lithium iron phosphate handling guide; the JEITA scheme via component data sheets reduces the current too"
	}
	return lithiumShare, fastest, []Reason{
		{"cautious_a", "a fifth of the capacity is allowed even in the cool", "a lithium iron phosphate handling guide"},
		{"fastest_a", why, source},
	}
}

func nickelShares(celsius float64) (gentle, fastest float64, reasons []Reason) {
	fastest = cellFastest
	why, source := "only with a charger that ends on the voltage peak or on temperature itself", "a racing body's rule; "+commonPractice
	if celsius < nickelFastLowest || celsius > nickelFastTop {
		fastest, why, source = gentleShare, "outside 5 to 45 °C nickel is not charged fast", "a conference text on nickel cells"
	}
	return gentleShare, fastest, []Reason{
		{"cautious_a", "a tenth of the capacity for up to 16 h needs no detection of the end", "IEC 61951-2 capacity test as quoted by research papers"},
		{"fastest_a", why, source},
	}
}

// tailShare is the charging current, as a share of capacity, at which a charge
// at held voltage counts as complete; 0 for nickel, which ends on its voltage peak.
func tailShare(c analyze.Chemistry) float64 {
	if c.Nickel() {
		return 0
	}
	return analyze.TailFraction(c)
}
