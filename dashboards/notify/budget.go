package notify

import "time"

const (
	// mostAnHour is how many messages are sent in an hour. What is beyond waits and
	// comes together in one.
	mostAnHour = 12
	// forAlarms are those of them that only a message with an alarm may use.
	forAlarms = 2
	// alarmsTogether is how long an alarm waits at most where all of them are spent: for
	// others, and no longer, since somebody may have to get up for it.
	alarmsTogether = time.Minute
)

// budget counts the messages of the last hour.
type budget struct {
	Sent []time.Time `json:"sent"`
	Held bool        `json:"held"` // something had to wait for it
}

// free is when the next message may be sent: now, or later. News is an alarm that nobody
// has heard of, other urgent messages repeat one.
func (b *budget) free(now time.Time, urgent, news bool) time.Time {
	b.clean(now)
	most := mostAnHour
	if !urgent {
		most -= forAlarms
	}
	if len(b.Sent) < most {
		return now
	}
	at := b.Sent[len(b.Sent)-most].Add(time.Hour)
	if news {
		at = earlier(at, b.Sent[len(b.Sent)-1].Add(alarmsTogether))
	}
	return at
}

func (b *budget) spend(now time.Time) {
	b.Sent, b.Held = append(b.Sent, now), false
}

// clean forgets what is an hour old, and what a clock that was set since dated.
func (b *budget) clean(now time.Time) {
	kept := b.Sent[:0]
	for _, at := range b.Sent {
		if age := now.Sub(at); age >= 0 && age < time.Hour {
			kept = append(kept, at)
		}
	}
	b.Sent = kept
}
