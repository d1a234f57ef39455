package influx

import (
	"math/rand/v2"
	"time"
)

const (
	shortestPause = time.Second
	longestPause  = time.Minute
)

// pace says when to try again after tries that failed: a second at first, then twice
// as long each time, up to a minute. Chance makes it up to half shorter, so that many
// programs do not come back to a server all at once.
type pace struct {
	base time.Duration
}

func (p *pace) reset() { p.base = 0 }

// next is the pause after another failure, at least what the server asks for.
func (p *pace) next(atLeast time.Duration) time.Duration {
	p.base = min(max(shortestPause, 2*p.base), longestPause)
	pause := p.base - rand.N(p.base/2)
	return min(max(pause, shortestPause, atLeast), longestPause)
}
