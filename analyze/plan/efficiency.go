package plan

import "amphora/analyze"

// chargeFactors is how much charge must go in for each that was taken out: the
// range that sources leave open (analyze.ChargeFactorOf names them). A chemistry
// that is not known counts as lithium, of which the least is lost.
func chargeFactors(c analyze.Chemistry) bounds {
	f, known := analyze.ChargeFactorOf(c)
	if !known {
		f, _ = analyze.ChargeFactorOf(analyze.LiIon)
	}
	return bounds{f.Low, f.High}
}

// factorSource cites chargeFactors.
func factorSource(c analyze.Chemistry) string {
	f, known := analyze.ChargeFactorOf(c)
	if !known {
		f, _ = analyze.ChargeFactorOf(analyze.LiIon)
	}
	return f.Source
}
