package plan

import (
	"fmt"

	"amphora/analyze"
)

// Plan makes the advice. Its errors are wrong input; too little input is no
// error, the advice then says what is missing and gives what it can.
func Plan(in Input) (Advice, error) {
	a := newAdvice()
	if err := in.check(); err != nil {
		return Advice{}, err
	}
	in, err := in.assume(&a)
	if err != nil {
		return Advice{}, err
	}
	a.Chemistry, a.Cells = in.Chemistry, in.Cells
	a.Celsius, a.Depth = analyze.Number(in.Celsius), analyze.Number(in.Depth)
	if in.Cells > 0 {
		a.NominalV = analyze.Number(nominalVolts(in.Chemistry) * float64(in.Cells))
	} else {
		a.Missing = append(a.Missing, "the number of cells or the nominal voltage")
	}
	a.Warnings = append(a.Warnings, unlikely(in)...)
	c, known := planCapacity(in, &a)
	planVoltage(in, &a)
	a.Cautions = Cautions(in.Chemistry)
	timer, cutOff := analyze.Unknown(), analyze.Unknown()
	if harm := harmful(in); harm != "" {
		a.MayCharge = false
		a.Warnings = append([]string{harm}, a.Warnings...)
	} else if amps := planCurrent(in, c, known, &a); known {
		timer, cutOff = planHours(in, c, amps, &a)
	}
	planLeads(in, &a)
	planVentilation(in, c, known, &a)
	hottest := analyze.HottestOnCharge(in.Chemistry)
	a.Warn = LimitsAdvice{Hours: analyze.Number(timer / hour), Celsius: analyze.Number(hottest), ChargeAh: roundAmpereHours(cutOff)}
	a.Limits = limitsYAML(timer, hottest, cutOff)
	return a, nil
}

// newAdvice has every figure unknown and every list empty, never null.
func newAdvice() Advice {
	u := analyze.Number(analyze.Unknown())
	return Advice{
		NominalV: u, Celsius: u, Depth: u, MayCharge: true,
		Warnings: []string{}, Assumptions: []string{}, Missing: []string{},
		Capacity: CapacityAdvice{CautiousAh: u, At25AAh: u, TwentyHourAh: u, TwentyHourLowAh: u, TwentyHourHighAh: u, RatedAh: u, RatedHours: u, Peukert: u, Reasons: []Reason{}},
		Current:  CurrentAdvice{CautiousA: u, FastestA: u, ChosenA: u, Reasons: []Reason{}},
		Voltage:  VoltageAdvice{AbsorptionV: u, AbsorptionLowV: u, AbsorptionHighV: u, FloatV: u, AbsorptionPerCellV: u, FloatPerCellV: u, Reasons: []Reason{}},
		Charger:  ChargerAdvice{TimerH: u, CutOffAh: u, TailA: u, OwnH: u, Reasons: []Reason{}},
	}
}

// harmful says why charging as things are would do harm, or nothing.
func harmful(in Input) string {
	if coldest, ok := coldestCharge(in.Chemistry, 1-in.Depth); ok && in.Celsius < coldest {
		if in.Chemistry.Lithium() {
			return fmt.Sprintf("do not charge: %g °C is below 0 °C, where lithium plates out", in.Celsius)
		}
		return fmt.Sprintf("do not charge: acid at this state of charge freezes at %.0f °C, so at %g °C the battery may be frozen; thaw it at room temperature first", coldest, in.Celsius)
	}
	if hottest := analyze.HottestOnCharge(in.Chemistry); in.Celsius > hottest {
		return fmt.Sprintf("do not charge: %g °C is above the %g °C limit of %s; let it cool", in.Celsius, hottest, in.Chemistry)
	}
	return ""
}

// planCurrent fills in the currents and returns the one to plan for, in A.
func planCurrent(in Input, c capacities, known bool, a *Advice) float64 {
	out := &a.Current
	cautious, fastest := analyze.Unknown(), analyze.Unknown()
	switch {
	case known:
		var gentle, most float64
		gentle, most, out.Reasons = currentShares(in.Chemistry, in.Celsius)
		perHour := c.cautious / hour // A that would fill the cautious capacity in an hour
		cautious, fastest = gentle*perHour, most*perHour
	case in.Chemistry.Lead() && in.Cells == 6:
		cautious, fastest = unknownGentleAmps, unknownFastestAmps
		const why = "the capacity is unknown: 3 to 5 A suits most car batteries, and is too much for a motorcycle's"
		out.Reasons = []Reason{{"cautious_a", why, commonPractice}, {"fastest_a", why, commonPractice}}
	}
	chosen := cautious
	if analyze.Known(in.Rate) {
		chosen = in.Rate
	} else if known && analyze.Known(in.RateShare) {
		chosen = in.RateShare * c.cautious / hour
	}
	if chosen > fastest*(1+1e-9) {
		a.Warnings = append(a.Warnings, fmt.Sprintf("%.4g A is more than the %.4g A that this battery should get at most", chosen, fastest))
	}
	out.CautiousA, out.FastestA, out.ChosenA = analyze.Number(cautious), analyze.Number(fastest), analyze.Number(chosen)
	return chosen
}

// planHours fills in the times and the charger's guards, and returns the timer
// in s and the cut-off in C.
func planHours(in Input, c capacities, amps float64, a *Advice) (timer, cutOff float64) {
	hours := hoursFor(in.Chemistry, c.span, in.Depth, amps)
	quick := hoursFor(in.Chemistry, c.span, in.Depth, float64(a.Current.FastestA))
	back := chargeToReturn(in.Chemistry, c.span, in.Depth)
	f := chargeFactors(in.Chemistry)
	a.Hours = &HoursAdvice{
		LowH: analyze.Number(hours.Low / hour), HighH: analyze.Number(hours.High / hour),
		FastestLowH: analyze.Number(quick.Low / hour), FastestHighH: analyze.Number(quick.High / hour),
		ReturnLowAh: ampereHours(back.Low), ReturnHighAh: ampereHours(back.High),
		FactorLow: analyze.Number(f.Low), FactorHigh: analyze.Number(f.High),
		Spoken: spokenHours(hours),
		Reasons: []Reason{
			{"return_low_ah, return_high_ah", fmt.Sprintf("%.2f to %.2f times what was taken out has to go in", f.Low, f.High), factorSource(in.Chemistry)},
			{"low_h", "the current holds to the end, and the least charge is needed", arithmetic},
			longestReason(in.Chemistry, drownsTail(amps, tailShare(in.Chemistry)*c.span.High/hour)),
		},
	}
	timer, cutOff = timerFor(hours), cutOffFor(back)
	planCharger(in, hours, a)
	planTail(in, c, amps, hours, a)
	a.Charger.TimerH, a.Charger.CutOffAh = analyze.Number(timer/hour), roundAmpereHours(cutOff)
	return timer, cutOff
}

// longestReason says how the longest time comes about: without a voltage limit, or
// where the current is as low as the tail, there is no taper.
func longestReason(c analyze.Chemistry, untapered bool) Reason {
	if c.Nickel() || untapered {
		return Reason{"high_h", "the current holds to the end, and the most charge is needed", arithmetic}
	}
	return Reason{"high_h", "the voltage limit comes early, the current tapers to the tail, and the most charge is needed", "an encyclopaedia copy of DIN 41773 for where the taper begins; an exponential taper is our model"}
}

// planCharger explains the guards and warns of a timer that ends too early.
func planCharger(in Input, hours bounds, a *Advice) {
	out := &a.Charger
	if analyze.Known(in.Timer) {
		out.OwnH = analyze.Number(in.Timer / hour)
	}
	if warning := timerWarning(hours, in.Timer); warning != "" {
		a.Warnings = append(a.Warnings, warning)
	}
	out.Reasons = append(out.Reasons,
		Reason{"timer_h", "the longest that the plan explains; where the charger cannot be set so far, switch its timer off and let the tail current, amphora's limits and a person watch", commonPractice},
		Reason{"cut_off_ah", "the most charge that the plan explains; a cut-off at the label's capacity ends a charge too early, since more goes in than was taken out", arithmetic})
}
