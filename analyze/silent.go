package analyze

import "fmt"

// Meter silent: no reading for longer than expected. A log cannot tell, since its
// next row simply comes later; live, the caller tells how long it has waited. The
// default is ten usual intervals, and a minute at least, which is about where a gap
// begins; a quarter of an hour after the very first, when no interval is known yet
// (common practice, no source). It is dated to the last reading and clears with
// the next.
const (
	silentIntervals = 10
	silentLeast     = 60  // s
	silentFirst     = 900 // s
)

// Silent tells the machine that no reading came for so many seconds since the last
// one, and returns what follows from that. It may be called as often as one
// likes. The slice is valid until the next call of Silent or Step.
func (m *Machine) Silent(elapsed float64) []Event {
	m.events = m.events[:0]
	limit := m.opt.Limits.Silence
	if limit == 0 {
		limit = silentFirst
		if usual := m.timeline.usual(); usual > 0 {
			limit = max(silentLeast, silentIntervals*usual)
		}
		limit *= m.opt.Patience.of(CodeMeterSilent)
	}
	if elapsed <= limit || m.silent || !m.timeline.started {
		return m.events
	}
	m.silent = true
	m.notice(CodeMeterSilent, m.timeline.t, true, fmt.Sprintf("no reading since %s, for more than %s: the meter is off, its battery is empty, its cable is loose or its logger hangs. The charger may well go on: look at it, and see that the meter speaks again", clock(m.timeline.t), clock(limit)))
	return m.events
}
