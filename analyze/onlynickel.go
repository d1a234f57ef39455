package analyze

// Nobody says what many a small charger's cells are. One, two, four or six of nickel stand, when they
// are nearly full, at a voltage at which no usual pack of another kind stands then: 1.5 V is
// too little for one lead-acid cell that gasses, 6 V for three of them.
const (
	nearlyFullFrom  = 0.92 // of the lowest voltage that a kind is held at: from there its voltage climbs
	nearlyFullUntil = 1.02 // of the highest: a limit may be a little off
)

// surelyNickel reports whether a battery whose voltage climbs to its end there, or stands
// full, is nickel: somebody said so, or nothing else is usual.
func surelyNickel(o *Options, volts float64) bool {
	if o.Chemistry != "" || nickelCells(volts) == 0 {
		return o.Chemistry.Nickel()
	}
	for _, f := range families {
		for _, n := range f.cells {
			if v := volts / float64(n); v >= nearlyFullFrom*f.low && v <= nearlyFullUntil*f.high && (o.Cells == 0 || o.Cells == n) {
				return false
			}
		}
	}
	return true
}
