package mqtt

import (
	"time"

	"amphora/analyze"
	"amphora/dashboards/live"
)

// origin is the date of a log's first row, from which the times in s count; zero
// where it is not known.
type origin struct{ time.Time }

// drift is how far a date may wander before it is another, so that one that jitters
// with each line is not told again and again.
const drift = 2 * time.Second

// follow takes the date from the last reading, which has both times.
func (o origin) follow(r *live.Reading) origin {
	if r == nil || !analyze.Dated(r.At) || !analyze.Known(r.AtS) {
		return o
	}
	at := origin{r.At.Add(-seconds(r.AtS))}
	if !o.IsZero() && at.Sub(o.Time).Abs() < drift {
		return o
	}
	return at
}

// date is when something was, to the second; nil where that is not known.
func (o origin) date(s analyze.Number) *time.Time {
	if o.IsZero() || !analyze.Known(s) {
		return nil
	}
	return new(o.Add(seconds(s)).UTC().Round(time.Second))
}

func seconds(s analyze.Number) time.Duration { return time.Duration(float64(s) * float64(time.Second)) }
