package analyze

import "slices"

// RestState is what a settled voltage says of the state of charge.
type RestState struct {
	Fraction  float64   // 0 to 1; where kinds of cells differ, the middle of what they have
	Kinds     []float64 // what each kind of cell of this chemistry has; one where the table is of the kind
	Low, High float64   // what the table's own tolerance, and the kinds, leave open
	Table     string    // its name and origin
	Note      string    // what speaks against the figure, or nothing
}

// Least and Most are what the kinds of cells leave open at this very voltage.
func (s *RestState) Least() float64 { return slices.Min(s.Kinds) }

// Most is the other end of Least.
func (s *RestState) Most() float64 { return slices.Max(s.Kinds) }

// ocvTable is rest voltage of one cell against state of charge.
type ocvTable struct {
	name      string
	tolerance float64 // V a cell
	points    Table   // V, state of charge
	top       string  // what a voltage above the table means
	others    []Table // other kinds of cells that the label's word covers as well
}

// leadTolerance is what tables of the same kind differ by: 0.05 V per 12 V. A
// sign maker's table lies up to 0.2 V lower still, for another family of cells.
const leadTolerance = 0.05 / 6

const surfaceCharge = "above the table: not settled yet, or surface charge"

var ocvTables = map[Chemistry]ocvTable{
	LeadFlooded: {"flooded lead-acid at 26.7 C in 5 % steps, a published copy", leadTolerance, twelveVolt(
		11.89, 11.92, 11.96, 11.99, 12.03, 12.06, 12.10, 12.13, 12.17, 12.20, 12.24,
		12.28, 12.32, 12.37, 12.41, 12.45, 12.49, 12.53, 12.58, 12.62, 12.66), surfaceCharge, nil},
	// The maker gives a band when full (AGM 12.80 to 12.90, gel 12.85 to 12.95);
	// its lower end is full already. A vehicle maker's AGM bands agree.
	LeadAGM: {"AGM after 24 h of rest, a battery maker's", leadTolerance,
		twelveVolt(11.80, 12.00, 12.30, 12.60, 12.80), surfaceCharge, nil},
	LeadGel: {"gel after 24 h of rest, a battery maker's", leadTolerance,
		twelveVolt(11.80, 12.00, 12.35, 12.65, 12.85), surfaceCharge, nil},
	// From memory, of cells with cobalt; see liIonKinds for the others. What makes of one kind
	// differ by is from memory too. Not to be cited, and no ground for anything but an idea.
	LiIon: {"li-ion, three kinds of cells, from memory", 0.03, Table{
		{3.00, 0}, {3.45, 0.05}, {3.68, 0.10}, {3.74, 0.20}, {3.77, 0.30}, {3.79, 0.40},
		{3.82, 0.50}, {3.87, 0.60}, {3.92, 0.70}, {3.98, 0.80}, {4.06, 0.90}, {4.18, 1}}, "above the table: not settled yet", liIonKinds},
}

// liIonKinds bound what else a label may call li-ion: "li-ion" says no more of what is inside than
// "lead-acid" does. The same 3.64 V is a tenth of the charge of a cell with cobalt, and four tenths
// of one with nickel that may be emptied to 2.5 V; 3.85 V is three tenths of one with manganese, and
// two thirds of that. Most makes, and blends, lie between them.
var liIonKinds = []Table{
	// With nickel, for power tools: some percent above published curves of two makes. Our choice.
	{{2.50, 0}, {3.15, 0.05}, {3.32, 0.10}, {3.42, 0.16}, {3.50, 0.24}, {3.57, 0.31}, {3.64, 0.40},
		{3.69, 0.49}, {3.78, 0.58}, {3.87, 0.68}, {3.97, 0.78}, {4.06, 0.89}, {4.17, 1}},
	// With manganese: an open log of a vehicle's cell that was charged in three hours, less 0.05 V
	// for what the current adds. The 0.05 V are our choice.
	{{3.00, 0}, {3.60, 0.05}, {3.70, 0.10}, {3.765, 0.20}, {3.85, 0.30}, {3.89, 0.40}, {3.93, 0.50},
		{3.97, 0.60}, {4.01, 0.70}, {4.055, 0.80}, {4.10, 0.90}, {4.18, 1}},
}

// kinds are the states of charge of all kinds at a voltage of one cell.
func (t *ocvTable) kinds(v float64) []float64 {
	list := []float64{t.points.At(v)}
	for _, other := range t.others {
		list = append(list, other.At(v))
	}
	return list
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
		Kinds: t.kinds(v),
		Low:   slices.Min(t.kinds(v - t.tolerance)),
		High:  slices.Max(t.kinds(v + t.tolerance)),
		Table: t.name,
	}
	s.Fraction = (s.Least() + s.Most()) / 2
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
