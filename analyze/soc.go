package analyze

// RestState is what a settled voltage says of the state of charge.
type RestState struct {
	Fraction  float64 // 0 to 1
	Low, High float64 // what the table's own tolerance leaves open
	Table     string  // its name and origin
	Note      string  // what speaks against the figure, or nothing
}

// ocvTable is rest voltage of one cell against state of charge.
type ocvTable struct {
	name      string
	tolerance float64 // V a cell
	points    Table   // V, state of charge
	top       string  // what a voltage above the table means
}

// leadTolerance is what tables of the same kind differ by: 0.05 V per 12 V. A
// sign maker's table lies up to 0.2 V lower still, for another family of cells.
const leadTolerance = 0.05 / 6

const surfaceCharge = "above the table: not settled yet, or surface charge"

var ocvTables = map[Chemistry]ocvTable{
	LeadFlooded: {"flooded lead-acid at 26.7 C in 5 % steps, a published copy", leadTolerance, twelveVolt(
		11.89, 11.92, 11.96, 11.99, 12.03, 12.06, 12.10, 12.13, 12.17, 12.20, 12.24,
		12.28, 12.32, 12.37, 12.41, 12.45, 12.49, 12.53, 12.58, 12.62, 12.66), surfaceCharge},
	// The maker gives a band when full (AGM 12.80 to 12.90, gel 12.85 to 12.95);
	// its lower end is full already. A vehicle maker's AGM bands agree.
	LeadAGM: {"AGM after 24 h of rest, a battery maker's", leadTolerance,
		twelveVolt(11.80, 12.00, 12.30, 12.60, 12.80), surfaceCharge},
	LeadGel: {"gel after 24 h of rest, a battery maker's", leadTolerance,
		twelveVolt(11.80, 12.00, 12.35, 12.65, 12.85), surfaceCharge},
	// From memory, and makes of cells differ by 0.03 V: not to be cited, and no
	// ground for anything but an idea.
	LiIon: {"li-ion, from memory, cells differ", 0.03, Table{
		{3.00, 0}, {3.45, 0.05}, {3.68, 0.10}, {3.74, 0.20}, {3.77, 0.30}, {3.79, 0.40},
		{3.82, 0.50}, {3.87, 0.60}, {3.92, 0.70}, {3.98, 0.80}, {4.06, 0.90}, {4.18, 1}}, "above the table: not settled yet"},
}

// twelveVolt spreads six-cell voltages evenly from empty to full.
func twelveVolt(volts ...float64) Table {
	points := make(Table, len(volts))
	for i, v := range volts {
		points[i] = [2]float64{v / 6, float64(i) / float64(len(volts)-1)}
	}
	return points
}

// restShift is how far the rest voltage of six wet cells lies from that at
// 26.7 C, in V against degrees Celsius: the full column of a published table,
// whose other columns move alike. It is +0.2 mV/K a cell at room temperature,
// as the handbooks have it. Two other copies say 0.72 mV/K at every temperature
// (the hydrometer's correction, copied) and 2.5 mV/K (ten times too big); the
// 3 to 5 mV/K of charging voltages belong to charging only.
var restShift = Table{
	{-17.8, 12.516 - 12.650}, {-12.2, 12.542 - 12.650}, {-6.7, 12.566 - 12.650}, {-1.1, 12.588 - 12.650},
	{4.4, 12.606 - 12.650}, {10.0, 12.622 - 12.650}, {15.6, 12.634 - 12.650}, {21.1, 12.643 - 12.650},
	{26.7, 0}, {37.8, 12.658 - 12.650}, {48.9, 12.663 - 12.650},
}

// StateOfCharge reads the state of charge from the settled voltage of cells in
// series, in V, at a temperature in degrees Celsius (26.7 where unknown). It is
// false where a voltage says nothing: lithium iron phosphate is flat from end
// to end, nickel nearly so.
func StateOfCharge(c Chemistry, volts float64, cells int, celsius float64) (RestState, bool) {
	t, ok := ocvTables[c]
	if !ok || cells < 1 || !Known(volts) {
		return RestState{}, false
	}
	v := volts / float64(cells)
	if c.Lead() && Known(celsius) {
		v -= restShift.At(celsius) / 6
	}
	s := RestState{
		Fraction: t.points.At(v),
		Low:      t.points.At(v - t.tolerance),
		High:     t.points.At(v + t.tolerance),
		Table:    t.name,
	}
	switch first, last := t.points[0][0], t.points[len(t.points)-1][0]; {
	case v > last+t.tolerance:
		s.Note = t.top
	case v < first-t.tolerance:
		s.Note = "below the table: deeply discharged, or a cell is dead"
	}
	return s, true
}

// leadByItself is more than any lead-acid cell shows by itself once its surface charge has
// gone, V: its voltage is the density of its acid and 0.845, and the densest acid in use, of
// some AGM batteries, has 1.33. One that stands higher for long is held there by a charger;
// one that is held lower never becomes full.
const leadByItself = 2.20

// underfed reports whether a lead-acid battery that is held at so many volts never becomes full.
func (id *identity) underfed(held float64) bool {
	return id.chemistry.Lead() && held < leadByItself*float64(id.cells)
}

// healthyFull is the settled voltage of a lead-acid cell that took its charge
// and keeps it, V: "12.6 V or a little more" (common practice, no source).
const healthyFull = 12.6 / 6

// HealthyAndFull reports whether a settled voltage in V is that of a full
// lead-acid battery in order. It needs hours to settle: texts ask for 2, 6, 8,
// 20 and 24 h, and none is the norm, so say how long it rested.
func HealthyAndFull(volts float64, cells int) bool {
	return volts >= healthyFull*float64(cells)-1e-9
}
