package notify

import "time"

// A clock is set by the network, by minutes or by decades, and a host without a battery for
// it begins in 1970. How long something has waited is not changed by that.

// clock tells the time of day, and when it was set.
type clock struct {
	wall func() time.Time
	boot func() time.Duration

	looked bool
	day    time.Time     // as last looked at
	passed time.Duration // by then
}

// isSet is by how much a clock jumps that is set; one that is steered does not.
const isSet = 2 * time.Second

// look returns the time of day, and by how much it was set since the last look.
func (c *clock) look() (now time.Time, step time.Duration) {
	now, passed := c.wall(), c.boot()
	if c.looked {
		step = now.Sub(c.day) - (passed - c.passed)
	}
	c.looked, c.day, c.passed = true, now, passed
	if step.Abs() <= isSet {
		step = 0
	}
	return now, step
}

// now is the time of day by which all is reckoned that is kept here. Only the goroutine that
// holds the ledger may ask for it.
func (c *Center) now() time.Time {
	now, step := c.clock.look()
	if step != 0 {
		c.moved(step)
	}
	return now
}

// moved reckons what was noted by another time of day.
func (c *Center) moved(step time.Duration) {
	move(&c.retry, step)
	move(&c.lastAck, step)
	for _, a := range c.targets {
		move(&a.notBefore, step)
	}
	if c.ledger != nil {
		c.ledger.moved(step)
	}
}

func (l *ledger) moved(step time.Duration) {
	move(&l.first, step)
	for k := range l.Budget.Sent {
		move(&l.Budget.Sent[k], step)
	}
	for _, d := range l.Unsent {
		move(&d.since, step)
	}
	for _, c := range l.Conditions {
		move(&c.Changed, step)
		move(&c.Told, step)
	}
}

// move leaves a time alone that is none.
func move(t *time.Time, step time.Duration) {
	if !t.IsZero() {
		*t = t.Add(step)
	}
}
