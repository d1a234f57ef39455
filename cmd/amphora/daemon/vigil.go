package daemon

import "time"

// vigil knows since when somebody has listened without a break. A meter can only be
// called silent by who was there: not by a host that slept or was off for hours, in the
// moment in which it wakes.
type vigil struct {
	on            bool
	began, looked time.Duration // boot clock
}

// asleep is how long there must be no look for the break to be one; there are two a second.
const asleep = 10 * time.Second

// waited is how long a meter that was heard at a moment has been waited for by now. The
// moment may be of an earlier boot, and then means nothing.
func (v *vigil) waited(now, heard time.Duration) time.Duration {
	if !v.on || now-v.looked > asleep {
		v.on, v.began = true, now
	}
	v.looked = now
	if heard > now {
		heard = 0
	}
	return now - max(heard, v.began)
}
