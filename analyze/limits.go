package analyze

import (
	"fmt"
	"math"
)

// Limits are what a person sets for a channel. A zero takes the default, which
// follows from chemistry, cell count and capacity; what is not known either has
// no limit.
type Limits struct {
	Seconds      float64  // s that a charge may take until it is complete
	Charge       float64  // C that may go in
	ChargeFactor float64  // the same as a multiple of the capacity
	Hottest      float64  // degrees Celsius on charge
	Coldest      *float64 // degrees Celsius on charge; nil takes the default, since 0 is a limit
	Volts        float64  // V of the whole battery, as it stands: not compensated for temperature
	Silence      float64  // s without a reading
}

// The default limits on charge. Lithium: 0 to 45 °C, two cell makers' sheets,
// and 3.70 V for LiFePO4, its maker's 3.65 V and a meter's error more, as is
// 4.25 V for lithium-ion's 4.20 V. Lead-acid: 50 °C, and 2.65 V a cell: 16.0 V
// for six is the most that IEC 60095-1 charges any starter battery with. The 50 °C (a
// retailer's page has 49) and 55 °C are common practice, no source; what is charged fast ends
// at 45. Where the chemistry is not known the laxest stands, so that it alarms for nobody's good night:
// that of nickel, until a voltage is held, which nickel's is not.
const (
	// ColdestLithium is the temperature below which lithium must not be charged, degrees
	// Celsius (two cell makers' sheets).
	ColdestLithium = 0.0

	highestLead    = 2.65 // V a cell at 25 °C
	highestLiIon   = 4.25
	highestLiFePO4 = 3.70

	// Lead-acid is charged higher in the cold: makers say -3 to -5 mV/K a cell
	// (reference, section 4a); the tables end at 0 and 40 °C.
	leadPerKelvin   = -0.004 // V
	leadReference   = 25.0   // degrees Celsius
	compensateFrom  = 0.0
	compensateUntil = 40.0
)

// bounds are the limits in force for one charge, as far as they are known.
type bounds struct {
	of               identity // what the battery was taken for when they were resolved
	hottest, coldest float64  // degrees Celsius; NaN is none
	hotWhy, coldWhy  string
	volts            float64 // V at 25 °C; NaN is none
	leastVolts       float64 // V, the lowest that this limit is at any temperature
	perKelvin        float64 // V/K, of the whole battery
	voltsWhy         string
	halfWay          float64 // V, that it stood at half-way, where the limit follows from that (anykind.go); else 0
}

// Limit takes other limits, which hold from now on: a charge under way is judged
// by them at its next row or look. What they alone warned of before has been said
// and stays said; what they would have warned of earlier is dated back to then.
func (m *Machine) Limit(l Limits) {
	m.opt.Limits = l
	for _, c := range []*charge{m.charge, m.next} {
		if c != nil {
			c.bounds = m.opt.bounds(&c.bounds.of, c.resting)
		}
	}
}

// rebound resolves the limits anew where more is known of the battery by now.
func (m *Machine) rebound(c *charge, id identity) {
	id.cells = c.countedCells(&m.opt, &id)
	if b := &c.bounds; b.of.chemistry != id.chemistry || b.of.cells != id.cells || len(b.of.may) != len(id.may) || b.hotWhy == "" {
		c.bounds = m.opt.bounds(&id, c.resting)
	}
}

// bounds resolves the limits for a battery taken for id, whose voltage at rest
// before the charge was resting, V (NaN unknown).
func (o *Options) bounds(id *identity, resting float64) bounds {
	b := bounds{of: *id, hottest: HottestOnCharge(id.chemistry), hotWhy: "the laxest default, the chemistry is not known", coldest: Unknown(), volts: Unknown()}
	switch c := id.chemistry; {
	case c.Lead():
		b.hotWhy = "default for lead-acid"
		b.coldest, b.coldWhy = freezing(resting, id.cells), fmt.Sprintf("where the acid freezes, going by %.2f V before the charge", resting)
	case c.Lithium():
		b.hotWhy = "default for lithium"
		b.coldest, b.coldWhy = ColdestLithium, "default for lithium: metal plates out below it"
	case c.Nickel():
		b.hotWhy = "default for nickel"
	case len(id.may) > 0:
		b.hottest, b.hotWhy = 0, "the laxest default of what is held at such a voltage"
		for _, may := range id.may {
			b.hottest = max(b.hottest, HottestOnCharge(may.chemistry))
		}
	}
	b.limitVolts(id)
	if l := &o.Limits; l.Hottest != 0 {
		b.hottest, b.hotWhy = l.Hottest, "as set"
	}
	if o.Limits.Coldest != nil {
		b.coldest, b.coldWhy = *o.Limits.Coldest, "as set"
	}
	if o.Limits.Volts != 0 {
		b.volts, b.perKelvin, b.voltsWhy = o.Limits.Volts, 0, "as set"
	}
	b.leastVolts = min(b.highest(compensateFrom), b.highest(compensateUntil))
	return b
}

// limitVolts takes the limit of a battery, or that of lead-acid if it may be such, which is
// the laxest: it lies a tenth above what is held. What only seemed to be held, while a load
// or a cloud took the current, passes the others' on its way up.
func (b *bounds) limitVolts(id *identity) {
	laxest := ""
	if len(id.may) > 0 && id.may[0].chemistry.Lead() {
		id, laxest = &id.may[0], ", the laxest of what is held at such a voltage"
	}
	n := float64(id.cells)
	if id.cells == 0 || len(id.may) > 0 {
		return
	}
	perCell := highestOf(id.chemistry)
	if math.IsInf(perCell, 1) {
		return
	}
	if id.chemistry.Lead() {
		b.perKelvin = leadPerKelvin * n
	}
	b.volts = perCell * n
	b.voltsWhy = fmt.Sprintf("%.2f V a cell, default for %s%s", perCell, id.chemistry, laxest)
}

// whyVolts says where the voltage limit is from.
func (b *bounds) whyVolts() string {
	if b.halfWay > 0 {
		return fmt.Sprintf("no kind of battery that stood at %.2f V half-way is charged to more", b.halfWay)
	}
	return b.voltsWhy
}

// highestOf is the voltage limit of a cell, V at 25 °C. Nickel is charged with a
// current; its voltage is not limited.
func highestOf(c Chemistry) float64 {
	switch {
	case c.Lead():
		return highestLead
	case c == LiFePO4:
		return highestLiFePO4
	case c == LiIon:
		return highestLiIon
	}
	return math.Inf(1)
}

// HottestOnCharge is the temperature above which charging has to stop, degrees Celsius.
func HottestOnCharge(c Chemistry) float64 {
	switch {
	case c.Lead():
		return 50
	case c.Lithium():
		return 45
	}
	return 55
}

// HighestVolts is what a battery is charged to at most, V at 25 °C; infinite for nickel.
func HighestVolts(c Chemistry, cells int) float64 { return highestOf(c) * float64(cells) }

// highest is the voltage limit at a temperature, V.
func (b *bounds) highest(celsius float64) float64 {
	if b.perKelvin == 0 || celsius != celsius {
		return b.volts
	}
	return b.volts + b.perKelvin*(min(max(celsius, compensateFrom), compensateUntil)-leadReference)
}
