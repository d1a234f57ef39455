package notify

import (
	"fmt"
	"strings"
	"time"

	"amphora/analyze"
)

// Quiet are the hours of the local day in which only alarms are told; the zero
// value is none.
type Quiet struct {
	From, To time.Duration // since midnight; From after To is over night
}

// ParseQuiet reads hours like 22:00-07:00.
func ParseQuiet(text string) (Quiet, error) {
	from, to, ok := strings.Cut(text, "-")
	a, errA := clockTime(from)
	b, errB := clockTime(to)
	if !ok || errA != nil || errB != nil || a == b {
		return Quiet{}, fmt.Errorf("%q are no hours of the day, want text like 22:00-07:00", text)
	}
	return Quiet{From: a, To: b}, nil
}

func clockTime(text string) (time.Duration, error) {
	t, err := time.Parse("15:04", strings.TrimSpace(text))
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute, err
}

// end is when the quiet hours that now lies in end; now outside of them. A host
// whose clock was never set knows no hours.
func (q Quiet) end(now time.Time) time.Time {
	if q.From == q.To || !analyze.Dated(now) {
		return now
	}
	since := time.Duration(now.Hour())*time.Hour + time.Duration(now.Minute())*time.Minute + time.Duration(now.Second())*time.Second
	overNight := q.From > q.To
	switch {
	case !overNight && since >= q.From && since < q.To, overNight && since < q.To:
		return q.at(now, 0)
	case overNight && since >= q.From:
		return q.at(now, 1)
	}
	return now
}

// at is the end of the quiet hours some days on, also over a change of the clocks.
func (q Quiet) at(now time.Time, days int) time.Time {
	y, m, d := now.Date()
	return time.Date(y, m, d+days, int(q.To/time.Hour), int(q.To%time.Hour/time.Minute), 0, 0, now.Location())
}
