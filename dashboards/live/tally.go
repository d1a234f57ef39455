package live

import "amphora/analyze"

// tally adds up the charges of a channel. Within a charge it follows the highest
// value seen: a counter that falls would count as a restart with those who read
// it, and the whole charge would be added once more.
type tally struct {
	session string // the charge that is being followed
	start   analyze.Number
	undated bool   // it was named while the clock of the host was not set yet
	before  Totals // all the charges before it
	now     Totals // and with it
}

func newTally() tally {
	none := analyze.Number(analyze.Unknown())
	unknown := Totals{none, none, none, none}
	return tally{before: unknown, now: unknown}
}

// follow takes the newest view of a charge.
func (t *tally) follow(s *analyze.Session) {
	if s == nil {
		return
	}
	if renamed := t.undated && s.StartS == t.start; s.ID != t.session && !renamed {
		t.before = t.now
	}
	t.session, t.start = s.ID, s.StartS
	t.undated = s.Started != nil && !analyze.Dated(*s.Started)
	rise(&t.now.ChargeInAh, t.before.ChargeInAh, s.ChargeInAh)
	rise(&t.now.ChargeOutAh, t.before.ChargeOutAh, s.ChargeOutAh)
	rise(&t.now.EnergyInWh, t.before.EnergyInWh, s.EnergyInWh)
	rise(&t.now.EnergyOutWh, t.before.EnergyOutWh, s.EnergyOutWh)
}

// rise lifts a total to what it was before plus what was added since.
func rise(total *analyze.Number, before, added analyze.Number) {
	if !analyze.Known(added) {
		return
	}
	if analyze.Known(before) {
		added += before
	}
	if !analyze.Known(*total) || added > *total {
		*total = added
	}
}
