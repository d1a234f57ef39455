package analyze

import (
	"fmt"
	"math"
	"time"
)

// clock writes elapsed seconds as people read them: 45 s, 12 min 30 s, 8 h 05 min.
func clock(s float64) string {
	switch {
	case !Known(s):
		return "unknown"
	case s < 0:
		return "-" + clock(-s)
	case math.Round(s) < 60:
		return fmt.Sprintf("%.0f s", s)
	case math.Round(s) < 3600:
		n := int(math.Round(s))
		return fmt.Sprintf("%d min %02d s", n/60, n%60)
	}
	n := int(math.Round(s / 60))
	return fmt.Sprintf("%d h %02d min", n/60, n%60)
}

// Clock writes elapsed seconds as people read them: 45 s, 12 min 30 s, 8 h 05 min.
func Clock(s float64) string { return clock(s) }

// Dated tells a date from that of a clock which nobody had set yet: one before 2020.
func Dated(t time.Time) bool { return t.Year() >= 2020 }

// TimeOfDay writes a time of its zone. In the night in which summer time ends an hour of the
// clock comes twice, and which it was says how far it is from UTC.
func TimeOfDay(t time.Time, layout string) string {
	const minute = "2006-01-02 15:04"
	text := t.Format(minute)
	for _, back := range []time.Duration{time.Hour, 30 * time.Minute} { // by which clocks are set back somewhere
		if t.Add(back).Format(minute) == text || t.Add(-back).Format(minute) == text {
			return t.Format(layout + " -07:00")
		}
	}
	return t.Format(layout)
}
