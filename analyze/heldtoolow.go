package analyze

// A voltage at which no charger stops is no limit, however still it stands while the current
// falls: below what the battery itself rests at when it is full nothing can be charged to the
// end. A charger that gives way to heat takes its current down bit by bit, and a battery that
// fills meanwhile makes up for what the leads no longer drop, so that its voltage stands. Asked
// only where the battery was stated. Common practice, no source; it rests at about 2.13 V a cell
// of lead-acid, 3.36 V of LiFePO4; li-ion is not stored at less than 3.75 V.

// heldTooLow reports whether a voltage is lower than any that is held for the stated battery.
func (c *charge) heldTooLow(o *Options) bool {
	least := 0.0 // V a cell: of others nothing is known
	switch {
	case o.Chemistry.Lead():
		least = 2.13
	case o.Chemistry == LiIon:
		least = 3.75
	case o.Chemistry == LiFePO4:
		least = 3.36
	}
	return c.hold.found && c.hold.volts < least*float64(c.bounds.of.cells)
}
